"""Follow-ups as an iCalendar file (RFC 5545): a VTODO each, with a UID that stays the same in every export."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime

from shoplog import __version__
from shoplog.publish.followups import FollowUp
from shoplog.times import stamp


def to_ics(found: Iterable[FollowUp], now: datetime | None = None) -> bytes:
    """The calendar. Promises without a day have no DUE; answered ones are COMPLETED."""
    from icalendar import Calendar, Todo

    calendar = Calendar()
    calendar.add("prodid", f"-//shoplog//{__version__}//EN")
    calendar.add("version", "2.0")
    stamped = (now or datetime.now(UTC)).astimezone(UTC).replace(microsecond=0)
    for f in found:
        todo = Todo()
        todo.add("uid", f.uid)
        todo.add("dtstamp", stamped)
        todo.add("summary", f"{f.project}: {f.public.removeprefix('I said I would ')}")
        when = f" on {f.said_on.isoformat()}" if f.said_on else ""
        note = f"Said{when} at {stamp(f.start)}: “{f.quote}”"
        todo.add("description", note + (f"\nAnswered: {f.answer}" if f.answered else ""))
        if f.due:
            todo.add("due", f.due)
        todo.add("status", "COMPLETED" if f.answered else "NEEDS-ACTION")
        if f.answered:
            todo.add("percent-complete", 100)
        calendar.add_component(todo)
    return bytes(calendar.to_ical())
