"""What the speaker claims about a stated thing, from the cues around it.

The cues are rows of ``status.csv`` in the manner of the ConText rules: words, the status they set, and how far they
reach. A clause is the natural end of a scope; reports and conditions reach further, until the speaker turns back to
what is so.
"""

from __future__ import annotations

from typing import cast

from shoplog.extract.clauses import FINITE, JOINED_SUBJECTS, Clauses
from shoplog.extract.lexicon import Cue, Hit
from shoplog.extract.numbers import is_number_word
from shoplog.extract.reports import LABELS, SAYS, Scope, answers, report_end, told, told_after
from shoplog.extract.stream import COMMA, SENTENCE, Stream
from shoplog.extract.wordset import wordset
from shoplog.facts import Status

#: Which status wins where several reach the same word: an explicit condition goes before a negation, a modal after it.
_RANK = {
    "other": -1,
    "denied!": 0,
    "reported": 1,
    "habit": 2,
    "rule": 2,
    "if": 3,
    "denied": 4,
    "hypothetical": 5,
    "planned": 6,
    "wait": 7,
    "piece": 8,
}
#: The status that a rank stands for where they differ; a wait is done or planned by its kind.
_STATUS_OF = {
    "": "done",
    "denied!": "denied",
    "other": "reported",
    "rule": "habit",
    "if": "hypothetical",
    "wait": "done",
    "piece": "done",
}
_SUBORDINATE = wordset("which till until unless before once while")

#: How a plan is dropped right after it was told.
_NOT_AFTER_ALL = (
    "no i'll not",
    "no i won't",
    "no i'm not",
    "but i'm not",
    "but not today",
    "but i won't",
    "actually no",
)
_GIVEN_UP = (
    "but i'm not", "but i am not", "but not today", "but i didn't", "but i won't", "but decided against",
    "but i decided against", "but i've decided against", "but i ain't", "but no", "and i'm not", "and i am not",
    "and i am certainly not", "i wouldn't", "i won't",
)  # fmt: skip
#: What one says of a thing that one has only toyed with, and how one says later that it came to nothing.
_TOYED = (
    "thought about", "thought of", "think of", "think about", "wonder about", "wondered about", "a mind to",
    "all set to", "meaning to", "was thinking", "thinking about", "planned to", "tempted",
)  # fmt: skip
_GAVE_UP = (
    "so no", "but no", "and no ", "no not", "not that", "i'm not", "i ain't", "decided against", "changed my mind",
    "off the table", "not doing", "not today", "it'll get", "thought better",
)  # fmt: skip
#: What a remark that goes on with the last one opens with.
_GOING_ON = wordset("so then and or")


class Statuses:
    """The scopes of all cues of a stream, asked by token."""

    def __init__(self, stream: Stream, clauses: Clauses, hits: list[Hit]) -> None:
        self._stream, self._clauses = stream, clauses
        # Without punctuation a clause may hold several remarks: cues then reach less far.
        bare = sum(b >= SENTENCE for b in stream.border) * 40 < len(stream)
        self._reach = {"denied": 6, "planned": 12, "habit": 14, "hypothetical": 10} if bare else {"denied": 14}
        self._by_clause: dict[int, list[Scope]] = {}
        hidden: set[int] = set()
        cues: list[tuple[int, int, Cue]] = []
        reach = -1
        for hit in hits:
            for entry in hit.entries:
                if isinstance(entry, Cue):
                    if entry.status == "pseudo":
                        hidden.update(range(hit.start, hit.end))
                    elif hit.end > reach:
                        cues.append((hit.start, hit.end, entry))
        for start, end, cue in cues:
            if start not in hidden and (scope := self._scope(start, end, cue)) is not None:
                self._add(scope)
        for i, word in enumerate(stream.text):
            if word in SAYS:
                for found in (told(stream, clauses, i), told_after(stream, clauses, i)):
                    if found is not None:
                        self._add(found)
            elif word.endswith("'ll") and word not in JOINED_SUBJECTS:
                # "epoxy'll take that up": the thing itself is in the scope.
                self._add(Scope(i, clauses.clause(i)[1], "planned", i + 1))
            elif word.endswith("'d") and word not in JOINED_SUBJECTS:
                # "a scraper'd do it as well"
                self._add(Scope(i, clauses.clause(i)[1], "hypothetical", i + 1))
            elif word in LABELS and i + 1 < len(stream) and is_number_word(stream.text[i + 1]):
                self._add(Scope(i + 1, report_end(stream, clauses, i + 1, i), "reported", i))
        for scope in answers(stream, clauses):
            self._add(scope)

    def _add(self, scope: Scope) -> None:
        if scope.end <= scope.start:
            return
        first, last = self._clauses.index(scope.start), self._clauses.index(scope.end - 1)
        for index in range(first, last + 1):
            self._by_clause.setdefault(index, []).append(scope)

    def _scope(self, start: int, end: int, cue: Cue) -> Scope | None:
        text, border, clauses = self._stream.text, self._stream.border, self._clauses
        low, high = clauses.clause(start)
        rank = cue.status
        if cue.scope == "clause":
            if start and text[start] == "not" and text[start - 1] in ("if", "or", "why"):
                return None
            high = min(high, end + self._reach.get(rank, 1000))
            if (
                rank == "planned"
                and text[end - 1] == "to"
                and text[start] == "going"
                and end < len(text)
                and is_number_word(text[end])
                and text[start - 1 : start] not in (["i'm"], ["we're"], ["not"], ["am"], ["are"])
            ):
                return None  # "half an inch at the top, going to nine sixteenths by the bottom"
            if rank == "planned" and text[end - 2 : end] == ["down", "to"]:
                # "taking it down to three eighths with the gouge": the gouge is in use.
                high = min(high, end + 5)
            if end >= high and end < len(text) and rank != "denied":
                high = clauses.clause(end)[1] if clauses.sentence(start)[1] > end else high
            return Scope(end, high, rank, start)
        if cue.scope == "wait":
            return Scope(start, high, "wait", start)
        if cue.scope == "near":
            left, right = start, end
            while left > max(low, start - 12) and border[left] < COMMA:
                left -= 1
            while right < min(high, end + 8) and border[right] < COMMA:
                right += 1
            return Scope(left, right, rank, start)
        if cue.scope == "both":
            if rank == "hypothetical":
                # "a void you could post a letter through": the modal holds from its own subject on.
                for k in range(start - 1, low, -1):
                    if text[k] in wordset("you i we they he she who which one"):
                        return Scope(k, high, rank, start)
            reach = self._reach.get(rank, 1000)
            return Scope(max(low, start - reach), min(high, end + reach), rank, start)
        if cue.scope == "back":
            return Scope(low, end, rank, start)
        if cue.scope == "closing":
            # "180 next, then 240": said at the end of a remark, of what stands in it.
            if end < len(text) and border[end] < COMMA:
                return None
            left = start - 1 if start > low and border[start] >= COMMA else start
            while left > max(low, start - 12) and border[left] < COMMA:
                left -= 1
            return Scope(left, end, rank, start)
        if cue.scope == "sentence":
            return Scope(max(clauses.sentence(start)[0], start - 20), end, rank, start)
        if cue.scope == "head":
            # "On the can is written": said where a remark opens, of what follows.
            return Scope(end, high, rank, start) if start - low <= 1 else None
        if cue.scope == "copula":
            return Scope(end, min(high, end + 10), rank, start)
        if cue.scope == "next":
            stop = next((k for k in range(end + 1, min(high, end + 6)) if border[k] >= COMMA), min(high, end + 6))
            return Scope(end, stop, "denied!", start)
        if cue.scope == "noun":
            if text[start] == "no" and end < len(text) and (border[end] >= COMMA or text[end][:1].isdecimal()):
                return None
            if text[start : start + 2] == ["no", "more"] and (
                end + 1 >= len(text) or border[end + 1] >= COMMA or text[end + 1] == "and"
            ):
                return None  # "five hundred, no more, and the live centre"
            stop = min(high, end + 8)
            for k in range(end, stop):
                if border[k] >= COMMA and k > end + 1 and text[k] not in ("or", "no", "and", "nor"):
                    stop = k
                    break
                if text[k] in ("from", "at", "since", "because", "then") or (
                    text[k] in ("just", "only", "and") and k > end + 1 and text[k + 1 : k + 2] not in (["no"],)
                ):
                    stop = k
                    break
            return Scope(end, stop, rank, start)
        if cue.scope == "if":
            return self._condition(start, end, low)
        if cue.scope == "report":
            if text[end - 1] == "told" and end < len(text) and border[end] >= COMMA:
                return None
            return Scope(end, report_end(self._stream, clauses, end, end), "reported", start)
        return None

    def _condition(self, start: int, end: int, low: int) -> Scope:
        """A condition reaches over its consequence, until the speaker turns to what is so."""
        text, clauses = self._stream.text, self._clauses
        stop = min(clauses.sentence(start)[1], start + 30)
        index = clauses.index(start)
        weak = end < len(text) and text[end] in wordset("you you're you've you'd anybody anyone somebody")
        passed = 0
        while index + 1 < len(clauses.starts):
            index += 1
            at = clauses.starts[index]
            if at >= stop:
                break
            opener = next(
                (text[k] for k in range(at, min(at + 3, len(text))) if text[k] not in ("and", "then", "well")), ""
            )
            follows = self._modal(at, index) or (
                passed == 0 and (text[at] == "then" or opener in ("i", "we", "you", "it", "which", "that"))
            )
            if weak or text[at] in ("but", "so", "because") or not follows:
                stop = at
                break
            passed += 1
        return Scope(low if start - low <= 2 else start, stop, "if", start)

    def _modal(self, at: int, index: int) -> bool:
        low, high = self._clauses.bounds(index)
        return any(w in wordset("would could might i'd i'll it'd it'll could've") for w in self._stream.text[low:high])

    def at(self, start: int, end: int, reach: int = 40, *, named: bool = False) -> Status:
        """The status of what stands at tokens ``start`` to ``end``, by cues at most ``reach`` tokens away.

        A ``named`` thing that is never used is denied, where a number that is never passed is a limit, a habit.
        """
        scopes = self._by_clause.get(self._clauses.index(start), ())
        best = ""
        index = self._clauses.index(start)
        if (
            index
            and (self._stream.text[self._clauses.starts[index]] in (*_SUBORDINATE, "and") or self._verbless(index))
            and self._clauses.starts[index] not in self._clauses.sentences
        ):
            # "which takes six months": a subordinate clause holds as its main clause does.
            scopes = [*scopes, *(Scope(start, start + 1, rank, at) for rank, at in self._inherited(index))]
        for scope in scopes:
            if (
                scope.start <= start < scope.end
                and abs(start - scope.at) <= reach
                and (not best or _RANK[scope.rank] < _RANK[best])
                and not start <= scope.at < end
            ):
                best = scope.rank
        if best in ("hypothetical", "planned", "habit") and self._given_up(index, best):
            best = "denied"
        if named and best == "rule":
            best = "denied"
        return cast(
            "Status",
            _STATUS_OF.get(best, best),
        )

    def _inherited(self, index: int) -> list[tuple[str, int]]:
        """The scopes of the main clause that a subordinate clause hangs on; what is denied there is not denied here."""
        found = []
        start = self._clauses.starts[index]
        if index and self._stream.text[start : start + 2] == ["and", "i"] and start not in self._clauses.sentences:
            # "I generally rough at eighteen hundred, and I detail at twenty-four hundred."
            return [
                (s.rank, s.at)
                for s in self._by_clause.get(index - 1, ())
                if s.rank == "habit" and s.start <= start - 1 < s.end
            ]
        while (
            index
            and (self._stream.text[self._clauses.starts[index]] in _SUBORDINATE or self._verbless(index))
            and self._clauses.starts[index] not in self._clauses.sentences
        ):
            last = self._clauses.starts[index] - 1
            concluded = self._stream.text[last + 1] == "so"
            index -= 1
            found += [
                (s.rank, s.at)
                for s in self._by_clause.get(index, ())
                if s.rank not in (("denied", "if", "hypothetical") if concluded else ("denied",))
                and s.start <= last < s.end
            ]
        return found

    def _verbless(self, index: int) -> bool:
        """ "I want it like a bun, so sixty five across": what has no verb of its own holds as what it goes on with."""
        low, high = self._clauses.bounds(index)
        words = self._stream.text[low:high]
        return words[0] in _GOING_ON and not any(w in FINITE or w.endswith("'s") for w in words)

    def _given_up(self, index: int, best: str) -> bool:
        """ "I thought about X, but I'm not", "I was thinking X, so no", "I'll use X. No I won't"."""
        text, starts = self._stream.text, self._clauses.starts
        if index + 1 >= len(starts):
            return False
        low, at = starts[index], starts[index + 1]
        own, head = " ".join(text[low:at]), " ".join(text[at : at + 14])
        if best == "planned":
            return head.startswith(_NOT_AFTER_ALL)
        if best == "habit":
            return "used to" in own and head.startswith(("but ", "and then ", "then "))
        toyed = any(p in own for p in _TOYED)
        if toyed and (" so no " in f" {own} " or own.endswith((" so no", " and no", " but no"))):
            return True
        return head.startswith(_GIVEN_UP) or (toyed and any(f" {p}" in f" {head}" for p in _GAVE_UP))

    def elsewhere(self, i: int) -> bool:
        """Whether token `i` is said of another's machine or ways: "some guys run three thousand"."""
        return any(s.rank == "other" and s.start <= i < s.end for s in self._by_clause.get(self._clauses.index(i), ()))

    def other_piece(self, i: int) -> bool:
        """Whether token ``i`` is said of another piece: "the last one I made"."""
        return any(s.rank == "piece" and s.start <= i < s.end for s in self._by_clause.get(self._clauses.index(i), ()))

    def waits(self, i: int) -> bool:
        """Whether token ``i`` stands in a wait that is still to run."""
        return any(s.rank == "wait" and s.start <= i < s.end for s in self._by_clause.get(self._clauses.index(i), ()))
