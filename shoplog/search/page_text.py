"""A wood page as lines for a person."""

from __future__ import annotations

from collections.abc import Iterable

from shoplog.search.answer import Answer, Summary
from shoplog.search.pages import Piece, WoodPage
from shoplog.search.telling import fact_line, groups, numbers_line
from shoplog.search.units import from_si
from shoplog.times import span, stamp
from shoplog.wording import number, say


def wood_lines(page: WoodPage) -> Iterable[str]:
    """The page from the pieces to how they ended."""
    yield f"{page.species}: {len(page.pieces)} piece{'' if len(page.pieces) == 1 else 's'}" + (
        f" ({', '.join(page.names)})" if page.names != (page.species,) else ""
    )
    yield from (_piece(p) for p in page.pieces[:10])
    yield from _section("Speeds", page.speeds, grouped=True)
    yield from _section("Grits", page.grits)
    if page.moisture:
        yield "Moisture: " + ", ".join(f"{say(f.kept.fact)} ({f.project}, {f.day})" for f in page.moisture[:8])
    for crack in page.cracks[:8]:
        then, found = crack.moisture, crack.found
        reading = say(then.kept.fact) if then else "not stated"
        yield f"Cracked: {say(found.kept.fact)}, {found.project}, {found.day}, moisture then {reading}"
    if not page.cracks:
        yield "Cracked: no crack was stated"
    yield from _section("Finishes", page.finishes)
    yield from _section("Tools", page.tools)
    if page.spent:
        yield "Time recorded: " + ", ".join(f"{o} {span(s)}" for o, s in page.spent)


def _piece(p: Piece) -> str:
    size = f", {number(round(from_si(p.diameter, 'in') * 8) / 8, 'in')} in" if p.diameter else ""
    days = p.first_day if p.first_day == p.last_day else f"{p.first_day} to {p.last_day}"
    ended = "; ".join(
        part
        for part in (
            f"last: {p.operation}" if p.operation else "",
            f"finish {', '.join(p.finishes)}" if p.finishes else "",
            f"left with {', '.join(p.open_defects)}" if p.open_defects else "",
            f'"{p.last_words.text}" ({p.last_words.recording} {stamp(p.last_words.start)})' if p.last_words else "",
        )
        if part
    )
    return f"  {p.project}, {days}{size}, {span(p.seconds)} recorded; {ended}"


def _section(title: str, answer: Answer, *, grouped: bool = False) -> Iterable[str]:
    summary: Summary | None = answer.summary
    if summary is None:
        yield f"{title}: none stated"
        return
    of = "" if summary.of == "done" else f" ({summary.of})"
    things = ", ".join(f"{g.name} x{g.count}" if g.count > 1 else g.name for g in summary.items)
    yield f"{title}{of}: " + (numbers_line(summary.numbers) if summary.numbers and not things else things)
    if grouped:
        yield from (f"  {line}" for line in groups(summary))
        yield from (fact_line(f) for f in answer.found[:3])
