"""Addresses of the pages. Everything is reached by number, names stand only in queries."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from shoplog.web import answers, asking, changes, drawing, pages, playing

ROUTES: list[tuple[str, Callable[..., Any]]] = [
    (r"^/$", pages.home),
    (r"^/projects$", pages.projects),
    (r"^/project/(?P<number>\d+)$", pages.project),
    (r"^/project/(?P<number>\d+)\.csv$", answers.project_csv),
    (r"^/project/(?P<number>\d+)/pictures$", drawing.pictures),
    (r"^/project/(?P<number>\d+)/picture/(?P<place>\d+)\.svg$", drawing.picture),
    (r"^/project/(?P<number>\d+)/settle$", changes.settle),
    (r"^/recordings$", pages.recordings),
    (r"^/recording/(?P<number>\d+)$", pages.recording),
    (r"^/here\.json$", pages.here),
    (r"^/state\.json$", pages.state),
    (r"^/find$", asking.find),
    (r"^/wood$", asking.wood),
    (r"^/tool$", asking.tool),
    (r"^/listen$", changes.listen),
    (r"^/fact/(?P<number>\d+)$", changes.fact),
    (r"^/fact/(?P<number>\d+)/(?P<verdict>accept|reject)$", changes.judge),
    (r"^/fact/(?P<number>\d+)/change$", changes.change),
    (r"^/corrections$", changes.corrections),
    (r"^/correction/(?P<number>\d+)/undo$", changes.undo),
    (r"^/words/forget$", changes.forget),
    (r"^/media/(?P<number>\d+)$", playing.media),
    (r"^/sound/(?P<number>\d+)\.(?P<form>webm|m4a)$", playing.sound),
]
