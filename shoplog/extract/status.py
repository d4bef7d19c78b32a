"""What the speaker claims about a stated thing, from the cues around it.

The cues are rows of ``status.csv`` in the manner of the ConText rules: words, the status they set, and how far they
reach. A clause is the natural end of a scope; reports and conditions reach further, until the speaker turns back to
what is so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from shoplog.extract.clauses import Clauses
from shoplog.extract.lexicon import Cue, Hit
from shoplog.extract.numbers import is_number_word
from shoplog.extract.stream import COMMA, SENTENCE, Stream
from shoplog.extract.wordset import wordset
from shoplog.facts import Status

#: Which status wins where several reach the same word: an explicit condition goes before a negation, a modal after it.
_RANK = {
    "other": -1,
    "denied!": 0,
    "reported": 1,
    "habit": 2,
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
    "if": "hypothetical",
    "wait": "done",
    "piece": "done",
}
#: Those who speak through a "says" and are no people: their word is a measurement.
INSTRUMENTS = wordset(
    "meter meter's meters readout display dial gauge gage scale scales calipers caliper callipers thermometer "
    "thermostat hygrometer tape ruler rule clock screen reading micrometer probe phone tachometer tach watch "
    "sensor readout's controller laser"
)
_SAYS = wordset(
    "says said say saying told tells claims claimed claim reckons recommends recommended suggests suggested "
    "swears swore insists insisted want wants thinks thought calls wants wanted promises wrote reckoned advised "
    "advises"
    "warns mentioned"
)
_SELF = wordset("i i'd i'll i've we we'd you let's to i'm me myself they'd and you'd don't can't")
_SOURCES = wordset(
    "can tin bottle label book note tag instructions directions manual plate box card sheet packet tube jar "
    "website article chart he she they guy guys fellow fellows man woman lady bloke folks people buddy friend "
    "neighbor neighbour brother sister wife husband father mother dad mum mom uncle aunt seller dealer yard mill "
    "customer painter teacher club somebody someone everybody everyone gentleman kid son daughter grandfather "
    "grandpa grandmother cousin boss owner farmer sawyer listing ad receipt sticker stamp some most it who driver "
    "rep forum internet video missus expert experts old"
)
_SUBORDINATE = wordset("which till until unless before once while")

#: Subjects under which a report goes on in its next clause.
_STILL_TOLD = wordset(
    "he she they you it he'd she'd they'd he's she's you're you'd you'll it'll which before until till once or "
    "unless never don't"
)


@dataclass(frozen=True, slots=True)
class _Scope:
    start: int
    end: int
    rank: str
    at: int


class Statuses:
    """The scopes of all cues of a stream, asked by token."""

    def __init__(self, stream: Stream, clauses: Clauses, hits: list[Hit]) -> None:
        self._stream, self._clauses = stream, clauses
        # Without punctuation a clause may hold several remarks: cues then reach less far.
        bare = sum(b >= SENTENCE for b in stream.border) * 40 < len(stream)
        self._reach = {"denied": 6, "planned": 12, "habit": 14, "hypothetical": 10} if bare else {"denied": 14}
        self._by_clause: dict[int, list[_Scope]] = {}
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
            if word in _SAYS and (scope := self._report(i)) is not None:
                self._add(scope)

    def _add(self, scope: _Scope) -> None:
        if scope.end <= scope.start:
            return
        first, last = self._clauses.index(scope.start), self._clauses.index(scope.end - 1)
        for index in range(first, last + 1):
            self._by_clause.setdefault(index, []).append(scope)

    def _scope(self, start: int, end: int, cue: Cue) -> _Scope | None:
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
            if end >= high and end < len(text) and end - start:
                high = clauses.clause(end)[1] if clauses.sentence(start)[1] > end else high
            return _Scope(end, high, rank, start)
        if cue.scope == "wait":
            return _Scope(start, high, "wait", start)
        if cue.scope == "near":
            left, right = start, end
            while left > max(low, start - 12) and border[left] < COMMA:
                left -= 1
            while right < min(high, end + 8) and border[right] < COMMA:
                right += 1
            return _Scope(left, right, rank, start)
        if cue.scope == "both":
            if rank == "hypothetical":
                # "a void you could post a letter through": the modal holds from its own subject on.
                for k in range(start - 1, low, -1):
                    if text[k] in wordset("you i we they he she who which"):
                        return _Scope(k, high, rank, start)
            reach = self._reach.get(rank, 1000)
            return _Scope(max(low, start - reach), min(high, end + reach), rank, start)
        if cue.scope == "back":
            return _Scope(low, end, rank, start)
        if cue.scope == "copula":
            return _Scope(end, min(high, end + 10), rank, start)
        if cue.scope == "next":
            stop = next((k for k in range(end + 1, min(high, end + 6)) if border[k] >= COMMA), min(high, end + 6))
            return _Scope(end, stop, "denied!", start)
        if cue.scope == "noun":
            if text[start] == "no" and end < len(text) and (border[end] >= COMMA or text[end][:1].isdecimal()):
                return None
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
            return _Scope(end, stop, rank, start)
        if cue.scope == "if":
            return self._condition(start, end, low)
        if cue.scope == "report":
            return _Scope(end, self._report_end(end, end), "reported", start)
        return None

    def _condition(self, start: int, end: int, low: int) -> _Scope:
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
        return _Scope(low if start - low <= 2 else start, stop, "if", start)

    def _modal(self, at: int, index: int) -> bool:
        low, high = self._clauses.bounds(index)
        return any(w in wordset("would could might i'd i'll it'd it'll could've") for w in self._stream.text[low:high])

    def _report(self, i: int) -> _Scope | None:
        """The scope of a "says" that another speaks; None where the speaker or an instrument does."""
        text, border, clauses = self._stream.text, self._stream.border, self._clauses
        low = max(clauses.sentence(i)[0], i - 9)
        person = False
        for k in range(i - 1, low - 1, -1):
            word = text[k]
            if k == i - 1 and word in _SELF:
                return None
            if word in INSTRUMENTS:
                return None
            if word in ("i", "we", "i've", "i'm") and k >= i - 2:
                break
            known = word in _SOURCES or self._stream.upper[k]
            if known or (
                word in ("my", "the", "me", "our", "his", "her") and k < i - 1 and text[k + 1] not in INSTRUMENTS
            ):
                person = True
                if word == "it":
                    if k < i - 1 or text[i] not in ("says", "said"):
                        continue
                    # "it says": a label if one was named just before.
                    person = any(
                        w in wordset("can tin bottle label box book tag plate instructions manual")
                        for w in text[max(0, k - 12) : k]
                    )
                break
            if border[k] >= COMMA and k < i - 3:
                break
        if not person:
            return None
        end = i + 1
        after = text[end] if end < len(text) else ""
        if (text[i] == "calls" and after != "for") or (
            text[i] in ("wants", "wanted") and after not in ("to", "me", "it", "them")
        ):
            return None
        return _Scope(end, self._report_end(end, i), "reported", i)

    def _report_end(self, begin: int, i: int) -> int:
        text, clauses = self._stream.text, self._clauses
        stop = min(clauses.sentence(i)[1], i + 26)
        index = clauses.index(i)
        while index + 1 < len(clauses.starts):
            index += 1
            at = clauses.starts[index]
            if at >= stop:
                return stop
            if at <= begin or (at == begin + 1 and text[begin] in ("me", "us", "you", "that", "him", "them")):
                continue  # what is said opens right after the verb
            opener = next(
                (
                    text[k]
                    for k in range(at, min(at + 3, len(text)))
                    if text[k] not in ("and", "then", "well", "though")
                ),
                "",
            )
            if text[at] in ("but", "so") or opener not in _STILL_TOLD:
                return at
        return stop

    def at(self, start: int, end: int, reach: int = 40) -> Status:
        """The status of what stands at tokens ``start`` to ``end``, by cues at most ``reach`` tokens away."""
        scopes = self._by_clause.get(self._clauses.index(start), ())
        best = ""
        index = self._clauses.index(start)
        if (
            index
            and self._stream.text[self._clauses.starts[index]] in (*_SUBORDINATE, "and")
            and self._clauses.starts[index] not in self._clauses.sentences
        ):
            # "which takes six months": a subordinate clause holds as its main clause does.
            scopes = [*scopes, *(_Scope(start, start + 1, rank, at) for rank, at in self._inherited(index))]
        for scope in scopes:
            if (
                scope.start <= start < scope.end
                and abs(start - scope.at) <= reach
                and (not best or _RANK[scope.rank] < _RANK[best])
                and not start <= scope.at < end
            ):
                best = scope.rank
        if best in ("hypothetical", "planned") and self._given_up(index):
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
            and self._stream.text[self._clauses.starts[index]] in _SUBORDINATE
            and self._clauses.starts[index] not in self._clauses.sentences
        ):
            last = self._clauses.starts[index] - 1
            index -= 1
            found += [
                (s.rank, s.at) for s in self._by_clause.get(index, ()) if s.rank != "denied" and s.start <= last < s.end
            ]
        return found

    def _given_up(self, index: int) -> bool:
        """ "I thought about X, but I'm not", "I was thinking X, so no"."""
        if index + 1 >= len(self._clauses.starts):
            return False
        at = self._clauses.starts[index + 1]
        head = self._stream.text[at : at + 4]
        if head[:1] == ["but"] and "thinking" in self._stream.text[self._clauses.starts[index] : at]:
            return True
        return head[:3] in (
            ["but", "i'm", "not"],
            ["but", "not", "today"],
            ["but", "i", "didn't"],
            ["but", "i", "won't"],
            ["but", "decided", "against"],
        ) or head == ["but", "i", "decided", "against"]

    def elsewhere(self, i: int) -> bool:
        """Whether token `i` is said of another's machine or ways: "some guys run three thousand"."""
        return any(s.rank == "other" and s.start <= i < s.end for s in self._by_clause.get(self._clauses.index(i), ()))

    def other_piece(self, i: int) -> bool:
        """Whether token ``i`` is said of another piece: "the last one I made"."""
        return any(s.rank == "piece" and s.start <= i < s.end for s in self._by_clause.get(self._clauses.index(i), ()))

    def waits(self, i: int) -> bool:
        """Whether token ``i`` stands in a wait that is still to run."""
        return any(s.rank == "wait" and s.start <= i < s.end for s in self._by_clause.get(self._clauses.index(i), ()))
