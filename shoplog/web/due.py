"""What was promised and is open, over all projects."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from shoplog.publish.followups import TOPIC, FollowUp, follow_ups
from shoplog.store import overview, queries
from shoplog.web.render import read, unchanged

#: Open promises shown.
MOST = 8
#: Projects that are looked through, the newest that hold a promise.
PROJECTS = 40


@dataclass(frozen=True, slots=True)
class Due:
    """An open promise of a project; ``when`` in words, empty where no day was named."""

    promise: FollowUp
    number: int
    when: str
    late: bool


async def due(datasette: Any) -> list[Due]:
    """The open promises, the one that is due first in front. Read again when the log or the day has changed."""
    today = date.today()

    return await read(datasette, lambda conn: unchanged(datasette, ("due", today), lambda: _look(conn, today)))


def _look(conn: Any, today: date) -> list[Due]:
    from shoplog.timeline import course

    found: list[Due] = []
    for number in overview.projects_with(conn, "followup", PROJECTS):
        project = queries.load_project(conn, overview.project_name(conn, number))
        settled = queries.settled(conn, number, TOPIC)
        for promise in follow_ups(project, course(project), settled):
            if not promise.answered:
                late = bool(promise.due and promise.due < today)
                found.append(Due(promise, number, _when(promise, today), late))
    found.sort(key=lambda d: (d.promise.due is None, d.promise.due or today, -d.number))
    return found[:MOST]


def _when(promise: FollowUp, today: date) -> str:
    if promise.due is None:
        return promise.due_words
    days = (promise.due - today).days
    return f"overdue since {promise.due}" if days < 0 else "today" if days == 0 else f"by {promise.due}"
