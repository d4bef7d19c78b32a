"""What the speaker claims about a stated thing, from the cues around it.

The cues are rows of ``status.csv`` in the manner of the ConText rules: words, the status they set, and how far they
reach. A clause is the natural end of a scope; reports and conditions reach further, until the speaker turns back to
what is so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from shoplog.extract.clauses import FINITE, JOINED_SUBJECTS, Clauses
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

#: A label with its "'s", by which it tells a number: "label's eight hours".
_LABELS = wordset("label's tin's can's bottle's tube's plate's box's drawing's")
#: Where something is said to stand: "it says so right on the plate", "on the bottle".
_WHERE = wordset("it so right there here on in at the wee my little side back front bottom") | _SOURCES
_NO = (
    "no ", "nope ", "nah ", "not ", "never ", "none ", "there is not ", "there isn't ", "there aren't ", "i don't ",
    "i do not ", "i didn't ", "i did not ", "i wouldn't ", "i won't ", "it isn't ", "it's not ", "hardly ",
)  # fmt: skip
_PERHAPS = ("i could ", "i might ", "maybe ", "perhaps ", "possibly ", "if ")
#: Answers that are told from what they answer without a mark: "any cracks in it no i've looked".
_NO_TO_ALL = (
    "no i ", "no sir", "no ma'am", "no never", "no not", "no there", "no thank", "nope ", "nah ", "none ", "not one ",
    "not a one", "not any ", "no it ", "no they ", "no no ",
)  # fmt: skip
_ASKS = wordset("do did would will is are should have can")
_ASKED = wordset("i you we there it they")
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
            if word in _SAYS:
                for found in (self._report(i), self._told_after(i)):
                    if found is not None:
                        self._add(found)
            elif word.endswith("'ll") and word not in JOINED_SUBJECTS:
                # "epoxy'll take that up": the thing itself is in the scope.
                self._add(_Scope(i, clauses.clause(i)[1], "planned", i + 1))
            elif word in _LABELS and i + 1 < len(stream) and is_number_word(stream.text[i + 1]):
                self._add(_Scope(i + 1, self._report_end(i + 1, i), "reported", i))
        for scope in self._answers():
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
            if rank == "planned" and text[end - 2 : end] == ["down", "to"]:
                # "taking it down to three eighths with the gouge": the gouge is in use.
                high = min(high, end + 5)
            if end >= high and end < len(text) and rank != "denied":
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
        if cue.scope == "closing":
            # "180 next, then 240": said at the end of a remark, of what stands in it.
            if end < len(text) and border[end] < COMMA:
                return None
            left = start - 1 if start > low and border[start] >= COMMA else start
            while left > max(low, start - 12) and border[left] < COMMA:
                left -= 1
            return _Scope(left, end, rank, start)
        if cue.scope == "sentence":
            return _Scope(max(clauses.sentence(start)[0], start - 20), end, rank, start)
        if cue.scope == "head":
            # "On the can is written": said where a remark opens, of what follows.
            return _Scope(end, high, rank, start) if start - low <= 1 else None
        if cue.scope == "copula":
            return _Scope(end, min(high, end + 10), rank, start)
        if cue.scope == "next":
            stop = next((k for k in range(end + 1, min(high, end + 6)) if border[k] >= COMMA), min(high, end + 6))
            return _Scope(end, stop, "denied!", start)
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
            return _Scope(end, stop, rank, start)
        if cue.scope == "if":
            return self._condition(start, end, low)
        if cue.scope == "report":
            if text[end - 1] == "told" and end < len(text) and border[end] >= COMMA:
                return None
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
            if k == i - 1 and (word in _SELF or (word == "all" and text[i] == "told")):
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
                elif any(w in INSTRUMENTS for w in text[low:k]):
                    # "the meter, the pinless one, says": what measures was named before.
                    return None
                break
            if border[k] >= COMMA and k < i - 3:
                break
        if not person:
            return None
        end = i + 1
        after = text[end] if end < len(text) else ""
        if text[i] == "calls" and after != "for":
            return None
        if text[i] in ("wants", "wanted") and not self._wanted(i, after):
            return None
        return _Scope(end, self._report_end(end, i), "reported", i)

    def _wanted(self, i: int, after: str) -> bool:
        """Whether one who can want does: "the tin wants six hours", "he wants it oiled"; not "the hole wants to be"."""
        spoken = self._stream.text[max(0, i - 3) : i]
        if not any(w in _SOURCES and w != "it" for w in spoken) and not self._stream.upper[i - 1]:
            return False
        return after in wordset("to me it them a an you") or is_number_word(after)

    def _told_after(self, i: int) -> _Scope | None:
        """The scope of a "says" that closes what is said: "two hours, the tube says", "off after ten, says the tin"."""
        text, border = self._stream.text, self._stream.border
        n = len(text)
        k = i + 1
        if text[i] not in wordset("says said say reckons claims reckoned told swears swore"):
            return None
        if k < n and text[k] in wordset("the my our this that") and border[k] < COMMA:
            # "says the tin"; "says the tin is dry" goes on.
            k += 2 if k + 1 < n and text[k + 1] in _SOURCES else 0
            begin = i
        else:
            while k < n and border[k] < COMMA and k < i + 7 and text[k] in _WHERE:
                k += 1
            begin = next((j for j in range(i - 1, max(i - 5, -1), -1) if border[j] >= COMMA), i - 1)
            spoken = text[begin:i]
            if not any(w in _SOURCES or self._stream.upper[begin] for w in spoken) or any(
                w in INSTRUMENTS for w in spoken
            ):
                return None
            begin = min(begin, i - 1)
        if k == i + 1 and begin == i:
            return None
        if k < n and border[k] < COMMA:
            return None
        low = max(self._clauses.sentence(i)[0], i - 16)
        for j in range(begin - 1, low, -1):
            if border[j] >= COMMA and text[j] in ("but", "so"):
                low = j
                break
        return _Scope(low, begin, "reported", i)

    def _answers(self) -> list[_Scope]:
        """What is asked and answered: "cracks? nope", "do I use it for spoons, and no, I don't"."""
        text, clauses, stream = self._stream.text, self._clauses, self._stream
        found = []
        for at in clauses.sentences[1:]:
            if stream.words[stream.word[at - 1]].text.rstrip("\"')").endswith("?"):
                low = max(clauses.clause(at - 1)[0], at - 20)
                answer = " ".join(text[at : at + 4]) + " "
                if answer.startswith(_NO):
                    found.append(_Scope(low, at, "denied!", at))
                elif answer.startswith(_PERHAPS):
                    found.append(_Scope(low, at, "if", at))
        for i, word in enumerate(text):
            if word in ("no", "not", "nope", "nah", "none") and " ".join([*text[i : i + 4], ""]).startswith(_NO_TO_ALL):
                for k in range(i - 1, max(i - 18, -1), -1):
                    if text[k] == "any" or (text[k] in _ASKS and text[k + 1] in _ASKED):
                        found.append(_Scope(k, i, "denied!", i))
                        break
        return found

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
            scopes = [*scopes, *(_Scope(start, start + 1, rank, at) for rank, at in self._inherited(index))]
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
            index -= 1
            found += [
                (s.rank, s.at) for s in self._by_clause.get(index, ()) if s.rank != "denied" and s.start <= last < s.end
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
