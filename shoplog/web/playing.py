"""What the player needs: the clips of recordings, and their bytes."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from typing import Any

from shoplog.errors import NotFound
from shoplog.log import Clip, Recording
from shoplog.store import queries
from shoplog.web.media import media_type, open_clip, send_file
from shoplog.web.render import number, read
from shoplog.web.sound import FORMATS, small_copy


def clips_of(recordings: Iterable[Recording]) -> list[dict[str, Any]]:
    """The playable clips, for the script: numbers, times in seconds, types."""
    return [
        {
            "clip": clip.id,
            "recording": recording.id,
            "name": recording.name,
            "start": clip.start,
            "type": media_type(clip.name),
            "video": clip.has_video,
        }
        for recording in recordings
        if recording.kind == "media"
        for clip in recording.clips
        if media_type(clip.name)
    ]


async def media(datasette: Any, request: Any, receive: Any, send: Any) -> None:
    """The clip's own file, in ranges."""
    clip = await _clip(datasette, request)
    file = await asyncio.to_thread(open_clip, clip)
    await send_file(file, media_type(clip.name), request.scope, receive, send)


async def sound(datasette: Any, request: Any, receive: Any, send: Any) -> None:
    """The clip's sound as a small copy that every browser plays."""
    clip = await _clip(datasette, request)
    file = await asyncio.to_thread(open_clip, clip)
    file.close()
    form = request.url_vars["form"]
    copy = await small_copy(clip, form)
    await send_file(copy.open("rb"), FORMATS[form][0], request.scope, receive, send)


async def _clip(datasette: Any, request: Any) -> Clip:
    wanted = number(request)

    def find(conn: Any) -> Clip:
        row = conn.execute("select recording_id from clip where id = ?", (wanted,)).fetchone()
        if row:
            recording = queries.recording(conn, row["recording_id"])
            if recording.kind == "media":
                return next(c for c in recording.clips if c.id == wanted)
        raise NotFound("There is no sound or video file under that number.")

    return await read(datasette, find)
