"""Times of day as they are said at the lathe: "half past two", "10.15", "quarter of eight", "half one"."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from shoplog.extract.number_words import SMALL, TENS
from shoplog.extract.reading import Reading
from shoplog.extract.stream import COMMA, PAUSE
from shoplog.extract.wordset import wordset

_NAMED = {"noon": (12, 0), "midday": (12, 0), "midnight": (0, 0)}
_OPENERS = wordset(
    "it's its it is at about now past around nearly almost gone just coming up on time's by until till already "
    "'bout at's since"
)
#: What carries the time of day.
CLOCKS = wordset("clock clock's watch watch's phone phone's wireless radio stove oven microwave wall time time's")
#: What is said between the opening of a time and the time itself.
_FILLERS = wordset("just about like nearly almost now already around roughly only um uh er well exactly")
#: How a remark on the time opens.
_REMARKS = (
    "time's", "time is", "times", "time check", "make it", "time is it", "for time", "the time", "coming up on",
    "coming up to", "getting on for", "going on", "just gone", "pushing", "it's gone",
)  # fmt: skip
_MARKERS = wordset("right okay ok so well alright morning afternoon evening hello hi folks everybody everyone all then")
_BY_CLOCK = tuple(
    f"{by} {whose} {clock}"
    for by in ("by", "on", "according to")
    for whose in ("the", "my", "that", "this")
    for clock in ("clock", "watch", "phone", "wireless", "radio", "stove", "wall", "church")
)
#: After these a half is one of something.
_HALVED = wordset("a an and in the by first other top bottom second last inch inches this that my for to other's each")
_DAYPARTS = wordset("morning afternoon evening night")
_LINKS = wordset("past to after till before")
_WORK = wordset(
    "start started stop stopped finish finished knock quit lunch glued clamped put began begin break wrap back "
    "apply coat"
)
_NOT_WORK = wordset(
    "school breakfast ate lunch dinner bus flight appointment church train game show movie news alarm woke wake "
    "bed dentist"
)


@dataclass(frozen=True, slots=True)
class Found:
    """A time, a date or a jump as said, tokens ``start`` to ``end``.

    ``now`` marks one told as the present moment, ``written`` one read off the wood or a label. A ``month`` waits for
    its year: ``ago`` calendar years back where that was said, at least ``elapsed`` days back where that was.
    """

    start: int
    end: int
    time: tuple[int, int] | None = None
    date: str | None = None
    later: int | None = None
    weekday: str | None = None
    approx: bool = False
    now: bool = False
    month: int | None = None
    day: int | None = None
    ago: int | None = None
    elapsed: int = 0
    written: bool = False


def times(reading: Reading) -> Iterator[Found]:
    text = reading.text
    for i, word in enumerate(text):
        fifteen = word in ("fifteen", "15") and reading.next(i + 1) in ("minutes", "past")
        if fifteen or word in wordset("half quarter quarters five ten twenty twelve 5 10 20 25 12"):
            found = _relative(reading, i)
            if found:
                yield found
                continue
        if word in _NAMED and (
            reading.previous(i) in wordset("at about it's around by past until after before nearly just till that's")
            or (word != "midnight" and reading.border[i] >= PAUSE)
            or _remark(reading, i)
        ):
            yield _timed(reading, i, i + 1, _NAMED[word], exact=True)
        if word == "o'clock" and i:
            hour = _hour(text[i - 1])
            if hour and not reading.comma_before(i):
                yield _timed(reading, i - 1, i + 1, (hour, 0))
    for quantity in reading.quantities:
        found = _stated(reading, quantity.start, quantity.end, quantity)
        if found:
            yield found


def loose(reading: Reading, told: Iterable[Found]) -> Iterator[Found]:
    """Minutes without their hour right after a time: "it's gone two, five past actually"."""
    for first in told:
        if first.time is None:
            continue
        for quantity in reading.numbers(first.end, first.end + 3):
            time = quantity.amount.time
            if first.now and quantity.amount.parts and quantity.unit is None and time and time[0] == abs(first.time[0]):
                hour = first.time[0]
                yield replace(first, start=quantity.start, end=quantity.end, time=(hour, time[1]))
        for i in range(first.end, min(first.end + 5, reading.n - 1)):
            word, link = reading.text[i], reading.text[i + 1]
            minutes = 30 if word == "half" else 15 if word == "quarter" else TENS.get(word, SMALL.get(word, 0))
            if not 5 <= minutes <= 30 or minutes % 5 or link not in _LINKS or _hour(reading.next(i + 2, COMMA)):
                continue
            if reading.next(i + 2, COMMA) not in {"", *wordset("actually now is already by so really it's i")}:
                continue
            hour = abs(first.time[0])
            time = (hour - 1 or 12, 60 - minutes) if link in ("to", "till", "before") else (hour, minutes)
            yield replace(first, start=i, end=i + 2, time=(time[0] if first.time[0] > 0 else -time[0], time[1]))
            break


def _hour(word: str) -> int | None:
    value = SMALL.get(word, int(word) if word.isdecimal() and len(word) <= 2 else 0)
    return value if 1 <= value <= 12 else None


def _relative(reading: Reading, i: int) -> Found | None:
    """ "half past two", "quarter to four", "twenty-five past nine", "five after one", and the British "half one"."""
    text = reading.text
    word = text[i]
    if word == "half" and (hour := _hour(reading.next(i + 1))) and text[i + 1] not in ("inch",):
        opened = (
            reading.border[i] >= (COMMA if hour > 2 else PAUSE)
            or reading.previous(i) in wordset("it's about around at is nearly almost gone by till until just before")
            or (
                reading.says(i + 2, "in the morning", "in the afternoon", "in the evening", "at night")
                or (
                    hour > 2
                    and reading.previous(i) not in _HALVED
                    and reading.previous(i) not in SMALL
                    and reading.next(i + 2)
                    in {"", *wordset("it's and i'm i've already now so on we're by here that's")}
                )
            )
        )
        if opened and reading.next(i + 2) not in wordset(
            "inch inches mm mil of is a an turn percent to way coats and-a"
        ):
            return _timed(reading, i, i + 2, (hour, 30))
    if (i and text[i - 1] in ("one", "two", "three", "and") and word in ("quarter", "quarters", "half")) or (
        word == "half" and reading.next(i + 1) != "past"
    ):
        return None
    j = i + 1
    if word == "half":
        minutes = 30
    elif word in ("quarter", "quarters"):
        minutes = 15
    else:
        minutes = int(word) if word.isdecimal() else TENS.get(word, SMALL.get(word, 0))
        if word == "twenty" and reading.next(j) in ("five", "-five"):
            minutes, j = 25, j + 1
        if reading.next(j) == "minutes":
            j += 1
        if (
            i
            and (text[i - 1] in TENS or (text[i - 1] in SMALL and text[i - 1] not in ("oh",)))
            and reading.border[i] == 0
        ):
            return None
    link = reading.next(j)
    if link not in wordset("past to after of till until before"):
        return None
    hour = _hour(reading.next(j + 1))
    if hour is None or (link == "of" and word not in ("quarter", "ten", "five", "twenty")):
        return None
    end = j + 2
    after = reading.next(end)
    if after == "o'clock":
        end += 1
        after = reading.next(end)
    if not (after == "of" and reading.next(end + 2) in _DAYPARTS) and (
        after
        in wordset(
            "percent % inch inches mm mil minutes days hours weeks months coats rpm grit years hundred thousand "
            "seconds pounds degrees times fifty eighths of a-half millimetres to"
        )
        or (link != "past" and (after in TENS or after.isdecimal()))
    ):
        return None
    if (link in ("to", "of", "till", "before", "until") and minutes < 15) or link == "of":
        # "ten to twelve" may be a range: it must open like a time.
        lead = reading.before(i, 3)
        opened = (
            (lead and lead[-1] in _OPENERS | {"the", "say", "a", "or"})
            or not lead
            or reading.border[i] >= COMMA
            or (after in ("in", "now", "and", "so", "on", "at") and lead[-1:] not in (["from"], ["between"]))
        )
        if not opened or lead[-1:] in (["from"], ["between"], ["takes"], ["for"], ["take"]):
            return None
        if lead[-1:] == ["about"] and minutes < 15 and after not in ("in", "on", "", "and", "now"):
            return None
    time = (hour - 1 or 12, 60 - minutes) if link in ("to", "of", "till", "until", "before") else (hour, minutes)
    start = i - 1 if i and text[i - 1] == "a" else i
    return _timed(reading, start, end, time)


def _stated(reading: Reading, start: int, end: int, quantity: Any) -> Found | None:
    """ "10:15", "it's 10.15", "it's ten fifteen", "two in the afternoon", "9 a.m.", "knock off at four"."""
    amount = quantity.amount
    if (
        (quantity.upper is not None and "-" not in reading.text[start])
        or quantity.unit is not None
        or (amount.time is None and not amount.parts)
    ):
        return None
    if amount.time is None:
        amount = replace(amount, time=(int(amount.parts[0]), 0))
    hour, minute = amount.time
    text = reading.text
    after = reading.after(end, 4)
    before = reading.before(start, 4)
    last = before[-1] if before else ""
    token = text[start]
    exact24 = hour > 12
    colon = ":" in token
    if (
        (
            after[:3] in (["in", "the", "afternoon"], ["in", "the", "morning"], ["in", "the", "evening"])
            or (after[:2] in (["at", "night"],) and hour >= 6)
        )
        and hour <= 12
        and not any(w in ("grit", "rpm") for w in before)
    ):
        return _timed(reading, start, end + (3 if after[0] == "in" else 2), (hour, minute))
    if after[:1] in (["am"], ["pm"]) or after[:2] in (["a", "m"], ["p", "m"]):
        size = 1 if after[0] in ("am", "pm") else 2
        return _timed(reading, start, end + size, (hour, minute))
    if colon and hour <= 23 and not (token.count(":") > 1):
        if last in ("scale", "ratio") or after[:1] in (["ratio"], ["mix"], ["grit"]):
            return None
        return _timed(reading, start, end, (hour, minute), exact=exact24 or token.startswith("0"))
    if exact24 and not (last in _OPENERS and "." in token):
        return None
    if (
        "-" in token
        and amount.parts is not None
        and amount.parts[0] in (5, 10, 20, 25)
        and amount.parts[1] <= 12
        and (last in ("it's", "morning", "now") or reading.border[start] >= COMMA)
    ):
        # "twenty to two", written "20-2".
        return _timed(reading, start, end, ((int(amount.parts[1]) - 1) or 12, 60 - int(amount.parts[0])))
    if "-" in token and amount.size is not None:
        return None
    its = last in ("it's", "its", "now", "it's-about") or before[-2:] in (
        ["it", "is"],
        ["it's", "about"],
        ["it's", "now"],
        ["it's", "just"],
        ["now", "it's"],
        ["it's", "nearly"],
        ["it's", "almost"],
        ["it's", "around"],
        ["it's", "already"],
        ["time", "is"],
        ["it's", "like"],
        ["it's", "past"],
        ["it's", "gone"],
    )
    its = its and not reading.comma_before(start)
    its = its or ("clock" in before and last in ("says", "said"))
    paired = minute > 0 and (amount.parts is not None or "." in token or (len(token) in (3, 4) and token.isdecimal()))
    follows = after[0] if after else ""
    free = follows in {
        "",
        *wordset(
            "and so on now in the but i i've i'm by already here or according it's we're that's when which "
            "exactly this time there's just then here's"
        ),
    }
    if follows == "in" and after[1:2] == ["here"]:
        return None
    if paired and hour <= 12 and _by_the_clock(reading, start, end):
        return _timed(reading, start, end, (hour, minute))
    closed = free or reading.border[end] >= COMMA
    if minute == 0 and hour <= 12 and amount.bare and closed and _remark(reading, start):
        return _timed(reading, start, end, (hour, minute))
    told = paired and hour <= 12 and minute % 5 == 0 and "." not in token
    if (
        told
        and follows in ("already", "now")
        and (
            reading.border[start] >= PAUSE
            or start == 0
            or last in _MARKERS
            or (reading.bare and follows == "already" and last not in _OPENERS | {"to", "the", "a"})
        )
        and (follows == "already" or _of_the_day(reading, end + 1))
        and not _counting(reading, start, 5 if follows == "already" else 12)
    ):
        return _timed(reading, start, end, (hour, minute))
    if (
        told
        and last in _MARKERS
        and reading.border[start] == COMMA
        and end < reading.n
        and reading.border[end] >= COMMA
        and not _counting(reading, start, 20)
    ):
        return _timed(reading, start, end, (hour, minute))
    following = next(iter(reading.numbers(end, end + 3)), None)
    if (
        following is not None
        and amount.count
        and following.amount.count
        and following.unit in (None, "grit")
        and amount.count >= 100
        and (following.amount.count or 0) > amount.count
        and not (its and hour >= 5 and following.amount.time and following.amount.time[0] == hour)
    ):
        return None  # a list of grits
    isolated = reading.border[start] >= PAUSE and (end >= reading.n or reading.border[end] >= COMMA)
    if (
        isolated
        and paired
        and minute % 5 == 0
        and (not token.isdecimal() or amount.end - amount.start > 1 or minute in (15, 45))  # "820." is a speed
        and hour <= 12
        and (
            (
                minute % 10 == 5
                and (minute in (15, 45) or reading.border[min(end, reading.n - 1)] >= PAUSE)
                and not reading.near("speed", start, 8, 3)
            )
            or not _counting(reading, start, 30)
        )
        and not reading.near("sand", start, 30, 12)
    ):
        return _timed(reading, start, end, (hour, minute))
    if (
        paired
        and minute in (15, 30, 45)
        and last in wordset("here see already gone")
        and follows in ("and", "so", "already", "now")
        and not any(reading.near(topic, start, 15, 6) for topic in ("lathe", "sand", "speed"))
    ):
        return _timed(reading, start, end, (hour, minute))
    if its and paired and (free or reading.border[min(end, reading.n - 1)] >= COMMA):
        running_on = end < reading.n and reading.border[end] < PAUSE
        if minute % 5 and "." not in token and amount.parts is None:
            return None
        if (
            reading.near("sand", start, 8, 4 if running_on else 0)
            or reading.near("lathe", start, 8, 2 if running_on else 0)
            or reading.near("speed", start, 10, 3 if running_on else 0)
            or hour > 12
        ):
            return None
        return _timed(reading, start, end, (hour, minute))
    if (
        paired
        and last in wordset("at until till by since around about before")
        and (
            ("." in token and amount.count is None)
            or (hour <= 12 and minute % 5 == 0 and ("." in token or amount.parts is not None))
        )
    ) and (
        any(w in _WORK for w in reading.words(start - 8, end + 4))
        and not reading.near("lathe", start, 12, 6)
        and not reading.near("sand", start, 8, 6)
        and not reading.near("speed", start, 12, 8)
        and not any(w in _NOT_WORK for w in reading.words(start - 7, end + 5))
        and (last not in ("about", "around") or minute in (15, 30, 45))
        and not any(
            w in wordset("run running turning spinning spin speed drill drilling") for w in reading.before(start, 9)
        )
    ):
        return _timed(reading, start, end, (hour, minute))
    if (
        minute == 0
        and last == "since"
        and hour <= 12
        and amount.bare
        and free
        and any(w in wordset("been going running here") for w in reading.before(start, 8))
    ):
        return _timed(reading, start, end, (hour, 0))
    if (
        minute == 0
        and last == "at"
        and amount.value <= 12
        and amount.bare
        and any(
            w in wordset("off knock quit stop stopped started start finish finished glued clamped") for w in before[:-1]
        )
        and not (before[-2:-1] in (["it"], ["her"], ["him"], ["lathe"]) and "glued" not in before)
        and not any(w in _NOT_WORK for w in reading.words(start - 7, end + 3))
        and free
        and not reading.near("lathe", start, 10, 6)
        and not reading.near("sand", start, 8, 8)
    ):
        return _timed(reading, start, end, (hour, 0))
    return None


def _remark(reading: Reading, start: int) -> bool:
    """Whether what stands before token ``start`` opens a remark on the time: "time's", "coming up on"."""
    lead = reading.before(start, 6)
    said = " ".join(lead)
    if any(said.endswith(r) for r in _REMARKS):
        return True
    while lead and lead[-1] in _FILLERS:
        lead.pop()
    said = " ".join(lead)
    return any(said == r or said.endswith(" " + r) for r in _REMARKS)


def _by_the_clock(reading: Reading, start: int, end: int) -> bool:
    """Whether a pair of numbers is said to be the time: "time's nine forty five", "one fifteen by the clock"."""
    return (
        _remark(reading, start)
        or reading.says(end, *_BY_CLOCK)
        or (
            reading.previous(start) in ("says", "said", "reads", "shows")
            and any(w in CLOCKS for w in reading.words(start - 8, start))
        )
    )


def _of_the_day(reading: Reading, i: int) -> bool:
    """Whether what follows a bare "four twenty five now" goes on about the day, not about the work."""
    i += reading.next(i) in ("and", "so", "but")
    return reading.next(i) in {"", *wordset("i i'm i've we we're we've my where how which goodness lord time")}


def _counting(reading: Reading, start: int, reach: int) -> bool:
    """Whether numbers are told of something else around token ``start``: speeds, grits, a run of hundreds."""
    run = reading.numbers(max(0, start - 10), start)
    return any(reading.near(topic, start, reach, min(reach, 12)) for topic in ("lathe", "sand", "speed")) or any(
        (q.amount.count or 0) >= 80 and q.amount.count == q.amount.value and q.unit is None for q in run
    )


def _timed(reading: Reading, start: int, end: int, time: tuple[int, int], exact: bool = False) -> Found:
    hour, minute = time
    around = reading.words(start - 6, end + 5)
    greeted = [
        w for w in reading.words(start - 5, start) if w in ("evening", "evenin", "afternoon", "morning", "mornin")
    ]
    half = ("am" if greeted[0].startswith("m") else "pm") if greeted else ""
    tail = reading.words(end - 3, end + 4)
    if "pm" in tail or "afternoon" in tail or "evening" in tail or "night" in tail or "tonight" in around:
        half = "pm"
    elif "am" in tail or "morning" in tail:
        half = "am"
    if hour <= 12 and not exact:
        if half == "pm" and hour < 12:
            hour += 12
        elif half == "am" and hour == 12:
            hour = 0
        elif not half:
            hour = -hour  # to be settled from the hours around it
    if reading.words(end, end + 3) in (["in", "the", "morning"], ["in", "the", "afternoon"], ["in", "the", "evening"]):
        end += 3
    before = reading.before(start, 3)
    approx = any(
        w in wordset("about around nearly almost roughly maybe something coming getting pushing") for w in before
    ) or reading.says(end, "or so", "ish", "or thereabouts", "roughly", "give or take")
    now = (
        any(w in ("it's", "its", "now") for w in before)
        or before[-2:] == ["it", "is"]
        or reading.border[start] >= COMMA
        or _by_the_clock(reading, start, end)
    )
    return Found(start, end, time=(hour, minute), approx=approx, now=now)
