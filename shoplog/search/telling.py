"""An answer in lines for a person: what was understood, the answer, the facts, the groups, what was said."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from shoplog.facts import SI_UNITS, Fact
from shoplog.search.answer import Answer, Found, Group, Numbers, Passage, Spent, Summary
from shoplog.search.query import BY_NUMBER
from shoplog.search.units import from_si, si
from shoplog.times import span, stamp
from shoplog.wording import UNIT_WORDS, number, quantity, say

_OF = {
    "done": "",
    "habit": "as a habit",
    "reported": "as said by others",
    "planned": "only planned",
    "hypothetical": "only thought of",
    "denied": "only said not to be so",
}
#: Pieces that are named one by one.
_MOST_PIECES = 6
#: So few facts are told in full.
_FEW = 3
#: Different numbers that are listed one by one; more are told as a range.
MOST_VALUES = 12


def with_unit(value: float, unit: str) -> str:
    """A number with its unit as people write it."""
    plural = "s" if unit in ("day", "week", "month", "year") and value != 1 else ""
    return f"{number(value, unit)}{UNIT_WORDS.get(unit, f' {unit}')}{plural}"


def told(answer: Answer) -> Iterable[str]:
    """The answer line by line. The first line is what was understood, the second the answer in short."""
    if answer.query.empty:
        yield "Understood: nothing; ask for a wood, a tool, a speed, a finish, a crack or words that were said."
        return
    yield f"Understood: {answer.line}" if answer.line else "Understood: no condition"
    yield sentence(answer)
    yield from (fact_line(f) for f in (*answer.found, *answer.instead))
    if answer.total > len(answer.found):
        yield f"... and {answer.total - len(answer.found)} more (--limit)"
    if answer.summary and answer.summary.count > 1:
        yield from groups(answer.summary)
    if answer.query.want not in ("time", "when", "last", "first", "did") or answer.found:
        yield from (f"Recorded: {spent_line(s)}" for s in answer.spent[:3])
    if answer.unheard:
        yield f"None of these with: {', '.join(answer.unheard)}"
    if answer.passages:
        if answer.found or answer.instead:
            yield "Said:"
        yield from (passage_line(p) for p in answer.passages)


def sentence(answer: Answer) -> str:
    """The answer in one line."""
    query, summary = answer.query, answer.summary
    operation_asked = query.operations and (query.want == "time" or not query.kinds)
    if operation_asked and answer.spent:
        return "; ".join(spent_line(s) for s in answer.spent[:4])
    if not answer.found or summary is None:
        return nothing(answer)
    first = answer.found[0]
    if query.want == "did" and not query.statuses:
        return did(answer, summary)
    if query.want in ("last", "first", "when"):
        return moment(answer, summary)
    if query.want in BY_NUMBER and first.kept.fact.status == summary.of and _numbered(first.kept.fact):
        top = f"{query.want.capitalize()}: {say(first.kept.fact)}, {first.project}, {day(first)}"
        return f"{top}; {overall(answer, summary)}"
    return overall(answer, summary, pieces_first=query.want == "pieces")


def _numbered(fact: Fact) -> bool:
    return any(n is not None for n in (fact.value, fact.low, fact.high, fact.attrs.get("coats")))


def moment(answer: Answer, summary: Summary) -> str:
    """When it was: the last or first time, or the days."""
    first, want = answer.found[0], answer.query.want
    lead = {"last": "Last on ", "first": "First on "}.get(want or "", "")
    of = f" ({_OF[summary.of]})" if _OF[summary.of] else ""
    days = list(dict.fromkeys(f.day for f in answer.found if f.kept.fact.status == summary.of))
    more = f"; also on {', '.join(days[1:5])}" if want == "when" and len(days) > 1 else ""
    where = f"{first.project}, {first.recording} at {stamp(first.kept.fact.start)}"
    return f"{lead}{day(first)}{of}, {where}: {say(first.kept.fact, status=False)}{more}"


def overall(answer: Answer, summary: Summary, *, pieces_first: bool = False) -> str:
    """How many, in which pieces, which numbers or things."""
    parts = []
    if summary.woods:
        parts.append(", ".join(f"{g.name}{f' x{g.count}' if g.count > 1 else ''}" for g in summary.woods[:12]))
    told_in_full = [say(f.kept.fact, status=False) for f in answer.found if f.kept.fact.status == summary.of]
    if summary.count <= _FEW and len(told_in_full) == summary.count and summary.items:
        parts.append(", ".join(dict.fromkeys(told_in_full)))
    else:
        if summary.numbers:
            parts.append(lengths_of_time(answer, summary) or numbers_line(summary.numbers))
        if summary.items and (len(summary.items) > 1 or not summary.numbers):
            parts.append(", ".join(f"{g.name}{f' x{g.count}' if g.count > 1 else ''}" for g in summary.items[:8]))
    times = "once" if summary.count == 1 else f"{summary.count} times"
    pieces = ", ".join(summary.pieces[:_MOST_PIECES])
    rest = len(summary.pieces) - _MOST_PIECES
    pieces += f" and {rest} more" if rest > 0 else ""
    parts.append(
        f"{times} in {len(summary.pieces)} pieces: {pieces}" if len(summary.pieces) > 1 else f"{times} in {pieces}"
    )
    if pieces_first:
        parts.reverse()
    of = _OF[summary.of]
    return (f"{of[0].upper()}{of[1:]}: " if of else "") + "; ".join(parts)


def lengths_of_time(answer: Answer, summary: Summary) -> str:
    """Seconds, days and years as they were stated, the shortest first; empty where all are in one unit."""
    stated = [f.kept.fact for f in answer.found if f.kept.fact.status == summary.of]
    if len({f.unit for f in stated if SI_UNITS.get(f.unit or "") == "s"}) < 2 or len(stated) < summary.count:
        return ""
    stated.sort(key=lambda f: si(f.value or f.low or 0.0, f.unit or "s"))
    return ", ".join(dict.fromkeys(quantity(f) for f in stated))


def numbers_line(n: Numbers) -> str:
    """Few numbers one by one, many as range and median."""
    if len(n.values) == 1:
        return with_unit(n.low, n.unit)
    text = f"{number(n.low, n.unit)} to {with_unit(n.high, n.unit)}, median {number(n.median, n.unit)}"
    if len(n.values) <= MOST_VALUES:
        text += " (" + ", ".join(f"{number(v, n.unit)}{f' x{c}' if c > 1 else ''}" for v, c in n.values) + ")"
    return text


def did(answer: Answer, summary: Summary) -> str:
    """Yes, no or nothing said: what was done answers, a denial is a no, a plan is neither."""
    first = answer.found[0]
    where = f"{first.project}, {first.recording} at {stamp(first.kept.fact.start)}, {day(first)}"
    if summary.of == "done":
        return f"Yes, {say(first.kept.fact)}: {where}" + (f"; {overall(answer, summary)}" if summary.count > 1 else "")
    if summary.of == "denied":
        return f"No, said not to be so: {say(first.kept.fact, status=False)}, {where}"
    return f"Nothing says that it was done; {_OF[summary.of]}: {say(first.kept.fact, status=False)}, {where}"


def nothing(answer: Answer) -> str:
    """Which condition excluded everything."""
    if answer.excluded and answer.excluded[0][1]:
        parts = [f"{n} without {text}" for text, n in answer.excluded]
        below = f" (here without {answer.without})" if len(parts) > 1 else ""
        return f"No fact meets all of this: {', '.join(parts)}{below}"
    if answer.excluded:
        return f"No fact meets {', nor '.join(text for text, _ in answer.excluded)}"
    if answer.query.kinds or answer.query.species:
        named = [*(f"--kind {k}" for k in answer.query.kinds), *(f"--item {i}" for i in answer.query.items)]
        named = named or [f"--species {s}" for s in answer.query.species]
        return f"The log holds no fact of {' '.join(named)}"
    return "No fact has these words" + ("; they were said here" if answer.passages else "")


def day(f: Found | Passage) -> str:
    """The date of a recording, or when it was added."""
    return f.day if not isinstance(f, Found) or f.dated else f"added {f.day}"


def fact_line(f: Found) -> str:
    """One fact with where it was stated and its words."""
    fact = f.kept.fact
    size = f"{number(round(from_si(f.diameter, 'in') * 8) / 8, 'in')} in" if f.diameter is not None else ""
    about = ", ".join(p for p in (f.kept.operation or "", "/".join(f.species), size) if p)
    doubtful = " (doubtful)" if f.kept.doubtful else ""
    other = " (another piece)" if fact.attrs.get("other_piece") else ""
    where = f"{f.project}, {f.recording} {stamp(fact.start)}, {day(f)}"
    return f"  {say(fact)}{doubtful}{other}  [{where}]" + (f"  {about}" if about else "") + f'  "{fact.quote}"'


def passage_line(p: Passage) -> str:
    return f'  {p.project}, {p.recording} {stamp(p.start)}, {p.day}{" (doubtful)" if p.doubtful else ""}  "{p.text}"'


def spent_line(s: Spent) -> str:
    return f"{s.operation} {span(s.seconds)} in {s.project}, {s.day}, {s.recording} from {stamp(s.start)}"


def groups(summary: Summary) -> Iterable[str]:
    """The numbers by operation and by diameter, where there are several."""
    for title, parts in (("By operation", summary.by_operation), ("By diameter", summary.by_diameter)):
        if summary.numbers and len(parts) > 1:
            yield f"{title}: " + "; ".join(_group(g) for g in parts)


def _group(g: Group) -> str:
    if g.numbers is None:
        return f"{g.name} ({g.count})"
    n = g.numbers
    text = with_unit(n.high, n.unit)
    if n.low != n.high:
        text = f"{number(n.low, n.unit)} to {text}, median {number(n.median, n.unit)}"
    return f"{g.name} {text} ({g.count})"


#: The columns of the table of facts.
COLUMNS = (
    "date", "project", "recording", "time", "kind", "item", "value", "low", "high", "unit", "about", "status",
    "operation", "species", "diameter_m", "words", "fact",
)  # fmt: skip


def table(found: Sequence[Found]) -> list[list[object]]:
    """The facts as rows of a table, the heading first; the cells are as stated, not yet made safe for spreadsheets."""
    rows: list[list[object]] = [list(COLUMNS)]
    for f in found:
        x = f.kept.fact
        rows.append([
            f.day, f.project, f.recording, stamp(x.start), x.kind, x.item, x.value, x.low, x.high, x.unit,
            int(x.approx), x.status, f.kept.operation, "; ".join(f.species), f.diameter, x.quote, f.kept.id,
        ])  # fmt: skip
    return rows
