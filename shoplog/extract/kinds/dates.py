"""Dates in the life of the wood, and jumps of the narration: "felled in October", "two days later"."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from shoplog.extract.kinds.times import Found
from shoplog.extract.kinds.years import below_hundred, opens_year, short_year, year, year_of_month, years_ago
from shoplog.extract.number_words import MONTHS, ORDINALS, SMALL, TENS
from shoplog.extract.reading import Reading
from shoplog.extract.stream import COMMA, PAUSE
from shoplog.extract.wordset import wordset

_DAYS_IN = {"day": 1, "week": 7, "month": 30, "year": 365}
#: What is only done to wood: it needs no object.
_WORKED = wordset(
    "felled milled sawn sawed repaired mended roughed harvested chainsawed penciled pencilled bagged uprooted "
    "salvaged quartered chopped glued grubbed toppled windfallen"
)
#: What happens to wood and to other things: it counts where the wood or the piece is named with it.
_EVENTS = wordset(
    "cut fell fallen dried stored sitting sat blew blown storm gale "
    "hurricane lightning turned measured marked flood weighed waiting dug died hollowed indoors inside lying lay "
    "stood standing hung buried stacked sealed split oiled drying seasoning came come went growing grew planted "
    "snapped built holding"
)
#: Where wood waits or comes from, after "in" or the like.
_PLACES = wordset("shed rack loft kiln attic garage barn bag box shelf freezer basement cellar hedge ditch fence")
#: What someone does to the wood, which is named right after it or right before who did it.
_TAKEN = wordset(
    "took taken got had dropped brought hauled dragged collected picked saved found bought given gave put pulled "
    "rescued started finished made pull haul drag ripped tore torn lifted"
)
_PIECES = wordset(
    "tree trees log logs limb branch trunk stump root burl burr beam board boards plank planks slab slabs billet "
    "block blank blanks bowl lump piece pieces chunk bit wood timber post"
)
_OBJECTS = _PIECES | wordset("it it'd this that these those they them they've he she one top stick")
_ELSEWHERE = wordset(
    "song married born birthday wedding anniversary vacation holiday loaned lent borrowed usually normally always "
    "never every channel video videos subscribers career college army navy retired house apartment lathe "
    "machine truck car light heating bandsaw chuck gouge guild club baby lake festival show music number phone"
)
#: What carries a date in writing.
_INSCRIBED = wordset(
    "plate label tag note sticker pencil pencilled penciled stamp stamped casting cast ticket receipt tape chalk "
    "chalked marker sharpie wrote written writing date dated says said reads read scribbled inscribed engraved "
    "scratched carved stenciled stencilled painted burned burnt etched branded"
)
_SAYS = wordset("says said say reads read dated stamped marked reading saying pencilled penciled wrote is it's")
_TOWARDS = wordset("till until by for my that this a very every in on into with of to before or tomorrow")
_STORMS = wordset("storm storms windstorm gale gales hurricane tornado flood floods blizzard wind winds lightning")
_FELL = wordset("came come fell blew blown took got down went over")
_INTO = wordset("in on under from into through out off up")
_PROMISES = wordset("until till for in into by i'll going gonna")
_COUNTS = wordset("a an one another the each every few couple several many some half per whole full same next")
_SEASONS = wordset("spring summer autumn fall winter storm gale hurricane flood")
_AHEAD = wordset("i'll we'll gonna going will shall you'll planned")
_CHECKS = wordset("weigh check measure look see meter test measurement check-up revisit weighing")
#: Days of people and places, not of the work.
_OTHERS_DAYS = wordset(
    "birthday birthday's anniversary wedding wedding's party party's turns married born market market's fair fair's "
    "show show's sale exhibition deadline christening"
)
_BEFORE_YEAR = wordset("in since from of back around about late early until before circa during mid to after")
#: What may stand before a date that opens its remark.
_LEADS = _BEFORE_YEAR | wordset("way year years ago a the last this so and well in")
_BEFORE_MONTH = wordset("in since last mid early late back until around about this from during past")


def jumps(reading: Reading) -> Iterator[Found]:
    text = reading.text
    for quantity in reading.quantities:
        days = _DAYS_IN.get(quantity.unit or "")
        if days and (
            reading.next(quantity.end, COMMA) in ("later",)
            or (
                reading.next(quantity.end, COMMA) == "on"
                and reading.word(quantity.end + 1) not in ("the", "a", "my", "that", "top", "this")
                and (
                    reading.border[min(quantity.end + 1, reading.n - 1)] >= COMMA
                    or reading.next(quantity.end + 1) in ("and", "now", "so", "it's")
                )
            )
        ):
            value = quantity.read("value")[0]
            if value is not None and value == int(value * 2) / 2:
                yield Found(
                    quantity.start, quantity.end + 1, later=round(value * days), now=True, approx=quantity.approx
                )
    for i, word in enumerate(text):
        if word in ("next", "following") and reading.next(i + 1) in ("day", "morning", "afternoon", "evening", "week"):
            before = reading.before(i, 3)
            unit = text[i + 1]
            opened = (
                reading.border[i] >= PAUSE
                or i == 0
                or before[-1:] == ["the"]
                or before[-1:] in (["it's"], ["so"], ["okay"], ["ok"], ["now"], ["right"], ["well"], ["is"])
            )
            if reading.bare and unit != "week" and reading.previous(i) not in _TOWARDS:
                opened = True
            if any(w in _OTHERS_DAYS for w in before):
                continue
            if not opened or (unit == "week" and before[-1:] != ["following"] and not (reading.border[i] >= PAUSE)):
                continue
            # Captions do not tell where the remark before ends: what it promised is not of this day.
            if any(w in _PROMISES for w in reading.before(i, 2 if reading.bare else 5)):
                continue
            if unit == "week" and any(w in _AHEAD for w in reading.after(i + 2, 6)):
                continue  # "next week I'll bring it back": a promise, no jump
            yield Found(i, i + 2, later=7 if unit == "week" else 1, now=True)
        elif (
            word == "day"
            and reading.says(i, "day after")
            and reading.before(i, 1) == ["the"]
            and reading.next(i + 2) not in ("tomorrow", "i", "that", "my")
        ):
            yield Found(i - 1, i + 2, later=1, now=True)
        elif (
            word == "day"
            and reading.next(i + 1) == "after"
            and (reading.border[i] >= PAUSE or reading.previous(i) in ("right", "so", "okay", "ok", "well", "now"))
            and reading.next(i + 2) not in ("tomorrow", "day", "that", "the", "i", "my", "a")
        ):
            yield Found(i, i + 2, later=1, now=True)
        elif (
            word in _DAYS_IN
            and reading.next(i + 1, COMMA) == "later"
            and (
                reading.border[i] >= PAUSE
                or reading.previous(i) in ("and", "so", "okay", "right", "well")
                or (reading.bare and reading.previous(i) not in _COUNTS and not reading.numbers(i - 2, i + 1))
            )
        ):
            yield Found(i, i + 2, later=_DAYS_IN[word], now=True)


def dates(reading: Reading) -> Iterator[Found]:
    text = reading.text
    latest = (reading.recorded or dt.date.today()).year
    end = 0
    for i, word in enumerate(text):
        if i < end:
            continue
        found = None
        month = MONTHS.get(word)
        if month and not (word in ("may", "march") and not _month_like(reading, i)):
            found = _month(reading, i, month, latest)
        elif opens_year(reading, i) and (told := year(reading, i) or short_year(reading, i, latest)):
            counted = reading.numbers(i, told[1])
            if not any(q.unit for q in counted) and _year_counts(reading, i, told[1]):
                found = Found(i, told[1], date=str(told[0]), written=_written(reading, i))
        if found is None and (word[0].isdecimal() or word in SMALL or word in TENS):
            found = _numeric(reading, i, latest)
        if found:
            end = found.end
            yield found


def _window(reading: Reading, start: int, end: int, whole: bool) -> tuple[int, int, bool]:
    """(start, end, whether the date opens it) of the clause of a date, or of the ``whole`` sentence.

    The next clause belongs to it where the date opens its own.
    """
    low, high = (reading.clauses.sentence if whole else reading.clauses.clause)(start)
    opens = all(w in _LEADS or w in SMALL for w in reading.text[low:start])
    if opens:
        opens = reading.bare or reading.border[low] >= COMMA or not low
        for _ in range(2 if opens else 0):
            high = max(high, reading.clauses.clause(min(max(high, end), reading.n - 1))[1])
        if (reading.bare or not opens) and low:
            low = reading.clauses.clause(low - 1)[0]  # a breath may part the date from what it is the date of
    return max(low, start - 16), min(high, end + 12), opens


def _of_the_work(reading: Reading, start: int, end: int, whole: bool = False) -> bool:
    """Whether a date is one of the wood or the piece: felled, cut, repaired, on the rack since then."""
    low, high, opens = _window(reading, start, end, whole)
    words = [w[:-2] if w.endswith("'s") else w for w in reading.text[low:high]]
    said = set(words)
    if said & _ELSEWHERE or (said & _AHEAD and said & _CHECKS):
        return False
    if said & _WORKED or (said & _STORMS and any(w in _FELL for w in reading.words(start - 16, start))):
        return True
    wood = [k - low for k in reading.topics.get("wood", ()) if low <= k < high]
    wood += [m.start - low for m in reading.mentioned(low, high) if m.term.kind == "species"]
    acted = words if opens else words[: start - low]
    for k, word in enumerate(acted):
        if word in _TAKEN and (
            any(w in _OBJECTS for w in words[k + 1 : k + 4])
            or any(w in _PIECES for w in reading.words(low + k - 3, low + k))
            or any(k < m <= k + 5 for m in wood)
        ):
            return True
        subject = words[k - 2 : k - 1] if words[k - 1 : k] in (["has"], ["have"], ["had"]) else words[k - 1 : k]
        if word == "been" and k and (subject in (["it"], ["this"], ["they"], ["they've"]) or set(subject) & _PIECES):
            return True
    stays = any(w in _PLACES and any(p in _INTO for p in words[max(0, k - 3) : k]) for k, w in enumerate(words))
    named = bool(said & _OBJECTS) or bool(wood)
    return named and (stays or bool(said & _EVENTS)) and not said & {"will", "would", "doesn't", "don't", "won't"}


def _written(reading: Reading, start: int) -> bool:
    """Whether a date is read off something: "it says June 1998", "the plate said nineteen seventy one"."""
    if any(reading.says(k, "according to the", "it says on the", "by the plate") for k in range(start + 1, start + 6)):
        return True
    lead = reading.before(start, 3)
    if not any(w in _SAYS for w in lead):
        return False
    around = reading.words(start - 14, start)
    return any(w in _INSCRIBED - {"says", "said", "reads", "read"} for w in around) or (
        lead[-2:] in (["it", "says"], ["it", "said"], ["it", "reads"], ["that", "says"])
    )


def _year_counts(reading: Reading, i: int, end: int) -> bool:
    """A year is a fact where the wood or the piece has it: felled, cut, repaired, in the rack since."""
    lead = reading.previous(i)
    if lead in _BEFORE_YEAR or lead in _SEASONS or (lead == "just" and reading.before(i, 2)[:1] == ["since"]):
        return _written(reading, i) or _of_the_work(reading, i, end)
    return _written(reading, i)


def _numeric(reading: Reading, i: int, latest: int) -> Found | None:
    """A date in numbers only: "19/10/25", "10-19-2025", "2025-10-19", and "10 19 25" where a date is talked of."""
    word = reading.text[i]
    parts: list[int] = []
    end = i + 1
    marks = {c for c in word if not c.isdecimal()}
    if len(marks) == 1 and marks <= set("/-.") and word.count(mark := next(iter(marks))) == 2:
        parts = [int(p) for p in word.split(mark)]
        if mark != "/" and not _dated(reading, i) and len(word) < 10:
            return None
    elif (word[0].isdecimal() or word in SMALL or word in TENS) and _dated(reading, i):
        end = i
        for _ in range(2):
            if (told := below_hundred(reading, end, opens=end == i)) is None:
                return None
            parts.append(told[0])
            end = told[1]
        if (full := year(reading, end)) is not None:
            parts.append(full[0])
            end = full[1]
        elif (rest := below_hundred(reading, end)) is not None:
            parts.append(rest[0])
            end = rest[1]
    if len(parts) != 3 or any(q.unit for q in reading.numbers(i, end)):
        return None
    first, second, last = parts
    if first > 31:
        told_year, month, day = first, second, last
    else:
        day_first = first > 12 or (second <= 12 and reading.metric)
        told_year = last if last > 99 else last + (2000 if last + 2000 <= latest else 1900)
        month, day = (second, first) if day_first else (first, second)
    if not 1900 <= told_year <= latest + 1:
        return None
    try:
        date = dt.date(told_year, month, day)
    except ValueError:
        return None
    its = reading.before(i, 2)
    now = any(w in ("today's", "today") for w in reading.before(i, 6)) or (
        its[-1:] in (["it's"], ["is"]) and not _inscription(reading, i)
    )
    return Found(i, end, date=date.isoformat(), now=now, written=_inscription(reading, i))


def _dated(reading: Reading, i: int) -> bool:
    """Whether a date is talked of right before token ``i``."""
    return any(w in ("date", "dated", "dates", "today's") for w in reading.words(i - 12, i))


def _inscription(reading: Reading, i: int) -> bool:
    return any(w in _INSCRIBED - {"date", "read"} for w in reading.words(i - 14, i))


def _month_like(reading: Reading, i: int) -> bool:
    before, after = reading.before(i, 2), reading.next(i + 1)
    return (
        before[-1:]
        in (["in"], ["of"], ["since"], ["last"], ["early"], ["late"], ["mid"], ["until"], ["by"], ["this"], ["next"])
        or (_day_of(after, reading, i + 1) is not None and after not in ("a", "be"))
        or reading.quantity_before(i, 0) is not None
    )


def _day_of(word: str, reading: Reading, i: int) -> tuple[int, int] | None:
    """(day, end) of a day of the month at token ``i``."""
    if word == "the":
        i, word = i + 1, reading.next(i + 1)
    if word.isdecimal() and 1 <= int(word) <= 31 and len(word) <= 2:
        end = i + 1
        if reading.next(end) in ("st", "nd", "rd", "th"):
            end += 1
        elif reading.next(end) in wordset("percent % inches inch rpm degrees mm"):
            return None
        return int(word), end
    if word in ORDINALS:
        return ORDINALS[word], i + 1
    if word in ("twenty", "thirty") and reading.next(i + 1) in ORDINALS and ORDINALS[reading.next(i + 1)] < 10:
        return TENS[word] + ORDINALS[reading.next(i + 1)], i + 2
    if (
        word in SMALL
        and 1 <= SMALL[word] <= 19
        and reading.next(i + 1) not in ("o'clock",)
        and reading.border[min(i + 1, reading.n - 1)] >= COMMA
    ):
        return SMALL[word], i + 1
    return None


def _month(reading: Reading, i: int, month: int, latest: int) -> Found | None:
    start, end, day = _month_and_day(reading, i)
    told = year_of_month(reading, end, latest, day is not None)
    ago = None
    if told is not None:
        end = told[1]
    elif (counted := years_ago(reading, start, end)) is not None:
        ago, start, end = counted
    lead = reading.before(start, 5)
    told_now = [w for w in lead if w not in ("about", "now", "on", "like", "around")][-1:]
    its = told_now in (["it's"], ["is"], ["today's"])
    now = day is not None and (its or reading.border[start] >= PAUSE)
    written = _written(reading, start)
    if day is None:
        if not written and told is None and ago is None and lead[-1:] and lead[-1] not in _BEFORE_MONTH:
            return None
        if not written and (
            (not lead and told is None and ago is None)
            or lead[-2:] == ["of", "last"]
            or not _of_the_work(reading, start, end, whole=told is not None)
        ):
            return None
        if told:
            return Found(start, end, date=f"{told[0]}-{month:02d}", written=written)
        return Found(start, end, month=month, ago=ago, elapsed=_elapsed(reading, start), written=written)
    around = reading.words(start - 6, end + 4)
    if any(w in _OTHERS_DAYS for w in around):
        return None
    if month == 7 and day == 4 and told is None and not its:
        return None  # a holiday
    sentence = reading.words(max(reading.clauses.sentence(start)[0], start - 12), end + 8)
    if not its and any(w in _AHEAD for w in sentence) and any(w in _CHECKS for w in sentence):
        return None  # when something will be looked at
    approx = any(w in ("about", "around") for w in lead[-2:])
    if told:
        try:
            date = dt.date(told[0], month, day).isoformat()
        except ValueError:
            return None
        return Found(start, end, date=date, approx=approx, now=now and not written, written=written)
    return Found(start, end, month=month, day=day, approx=approx, now=now and not written, ago=ago, written=written)


def _month_and_day(reading: Reading, i: int) -> tuple[int, int, int | None]:
    """(start, end, day) around the name of a month at token ``i``."""
    text = reading.text
    start, end, day = i, i + 1, None
    if year(reading, i + 1) is None and (after := _day_of(reading.next(i + 1, COMMA), reading, i + 1)) is not None:
        day, end = after
    else:
        k = i - 1 if reading.before(i, 1) == ["of"] else i
        if k and text[k - 1] in ("st", "nd", "rd", "th") and k > 1 and text[k - 2].isdecimal():
            day, start = int(text[k - 2]), k - 2
        elif k and text[k - 1] in ORDINALS:
            day, start = ORDINALS[text[k - 1]], k - 1
            if k > 1 and text[k - 2] in ("twenty", "thirty"):
                day, start = TENS[text[k - 2]] + day, k - 2
        elif k and text[k - 1].isdecimal() and 1 <= int(text[k - 1]) <= 31:
            day, start = int(text[k - 1]), k - 1
    if start and text[start - 1] == "the":
        start -= 1
    return start, end, day


def _elapsed(reading: Reading, i: int) -> int:
    """The days that the sentence says have passed since: "last August, and it's been nine months"."""
    low, high = reading.clauses.sentence(i)
    passed = 0
    for quantity in reading.numbers(max(low, i - 15), min(high, i + 20)):
        days = _DAYS_IN.get(quantity.unit or "")
        value = quantity.read("value")[0]
        if days and value and any(w in wordset("been sat for had waited") for w in reading.before(quantity.start, 4)):
            passed = max(passed, round(value * days))
    return passed
