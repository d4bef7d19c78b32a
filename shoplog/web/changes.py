"""Putting right what was misheard: facts that need a listen, one fact, corrections, the maker's own words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import parse_qsl, urlencode, urlsplit

from datasette.utils.asgi import Response

from shoplog import teaching
from shoplog.errors import InputError
from shoplog.facts import KINDS, STATUSES, UNITS
from shoplog.log import KeptFact, Recording
from shoplog.publish.followups import TOPIC
from shoplog.store import corrections as corrected
from shoplog.store import overview, queries, writes
from shoplog.store.database import prepare
from shoplog.web.forms import changes_of, mark
from shoplog.web.options import log_database, options_of
from shoplog.web.playing import clips_of
from shoplog.web.render import did, local, number, page, read, redirect, write
from shoplog.web.words import STATUS_CHOICES

#: Facts on one page of those that need a listen.
PAGE = 25
#: Seconds of talk shown around a fact.
AROUND = 6.0
CHOICES: dict[str, Any] = {"kinds": KINDS, "units": UNITS, "statuses": [(s, STATUS_CHOICES[s]) for s in STATUSES]}


async def listen(datasette: Any, request: Any) -> Response:
    """Facts in order of doubt."""

    def look(conn: Any) -> dict[str, Any]:
        doubtful = queries.doubtful_facts(conn, PAGE)
        return {"cards": [_card(conn, kept) for kept in doubtful], **did(conn, request)}

    values = await read(datasette, look)
    clips = _clips(card["recording"] for card in values["cards"])
    return await page(datasette, request, "listen", here="listen", clips=clips, **CHOICES, **values)


async def fact(datasette: Any, request: Any) -> Response:
    """One fact with what may be done to it."""
    wanted = number(request)

    def look(conn: Any) -> dict[str, Any]:
        kept = queries.fact(conn, wanted)
        history = [c for c in queries.corrections(conn, kept.recording_id, undone=True) if _about(c.old, kept)]
        return {"card": _card(conn, kept), "history": history, **did(conn, request)}

    values = await read(datasette, look)
    back = local(request.args.get("back"), f"/project/{values['card']['recording'].project_id}#f{wanted}")
    clips = _clips([values["card"]["recording"]])
    return await page(datasette, request, "fact", clips=clips, back=back, **CHOICES, **values)


def _about(old: Mapping[str, Any], kept: KeptFact) -> bool:
    heard = kept.heard or kept.fact
    return bool(old) and (old["kind"], old["start"], old["quote"]) == (heard.kind, heard.start, heard.quote)


def _card(conn: Any, kept: KeptFact) -> dict[str, Any]:
    recording = queries.recording(conn, kept.recording_id)
    return {
        "kept": kept,
        "mark": mark(kept),
        "recording": recording,
        "project": overview.project_name(conn, recording.project_id),
        "remarks": overview.remarks_at(conn, recording.id, kept.fact.start, kept.fact.end, AROUND),
    }


def _clips(recordings: Any) -> list[dict[str, Any]]:
    unique: dict[int, Recording] = {r.id: r for r in recordings}
    return clips_of(unique.values())


async def judge(datasette: Any, request: Any) -> Response:
    """Take a fact as it was heard, or take it out."""
    wanted, form = number(request), await request.post_vars()

    def put(conn: Any) -> int:
        _still(conn, wanted, form)
        return corrected.correct(
            conn, wanted, request.url_vars["verdict"], why=form.get("why") or None, author=options_of(datasette).author
        )

    return redirect(_after(form, await write(datasette, put)))


async def change(datasette: Any, request: Any) -> Response:
    """Change a fact; where it also teaches a word, show what else that changes before doing either."""
    wanted, form = number(request), await request.post_vars()
    heard, meant = (" ".join((form.get(name) or "").split()) for name in ("heard", "meant"))
    if bool(heard) != bool(meant):
        raise InputError("To teach a word, fill in both: the words as heard, and the words to take them for.")
    kept = await read(datasette, lambda conn: _still(conn, wanted, form))
    new = changes_of(form, kept.heard or kept.fact)
    if heard and not form.get("confirmed"):
        if not new:
            new = {}
        corrected.checked(new)
        effect = await read(datasette, lambda conn: teaching.effect(conn, heard, meant))
        names = await read(datasette, overview.project_names)
        return await page(
            datasette, request, "teach", kept=kept, changes=new, heard=heard, meant=meant, effect=effect, names=names,
            form={k: v for k, v in form.items() if k not in ("csrftoken", "confirmed")},
            after=corrected.corrected(kept.heard or kept.fact, new), back=local(form.get("back"), "/listen"),
        )  # fmt: skip

    def put(conn: Any) -> int:
        _still(conn, wanted, form)
        verdict = "change" if new else "accept"
        author = options_of(datasette).author
        return corrected.correct(conn, wanted, verdict, new, form.get("why") or None, author)  # type: ignore[arg-type]

    done = await write(datasette, put)
    if heard:
        await _on_write_thread(datasette, lambda conn: teaching.teach(conn, heard, meant, done))
    return redirect(_after(form, done))


async def _on_write_thread(datasette: Any, fn: Any) -> Any:
    """Run what makes transactions of its own on the log's write thread."""

    def prepared(conn: Any) -> Any:
        prepare(conn)
        return fn(conn)

    return await log_database(datasette).execute_write_fn(prepared)


async def undo(datasette: Any, request: Any) -> Response:
    wanted, form = number(request), await request.post_vars()
    await write(datasette, lambda conn: corrected.undo(conn, wanted))
    return redirect(_after(form, None))


async def forget(datasette: Any, request: Any) -> Response:
    """Take a word out of the maker's own list."""
    form = await request.post_vars()
    await _on_write_thread(datasette, lambda conn: teaching.forget(conn, form.get("heard") or ""))
    return redirect("/corrections#words")


async def settle(datasette: Any, request: Any) -> Response:
    """A promise was kept: the maker says so."""
    wanted, form = number(request), await request.post_vars()
    key = (form.get("key") or "")[:200]

    def put(conn: Any) -> None:
        overview.project_name(conn, wanted)
        writes.settle(conn, wanted, TOPIC, key, "answered", None, options_of(datasette).author)

    await write(datasette, put)
    return redirect("/#due")


async def corrections(datasette: Any, request: Any) -> Response:
    """All corrections, those that can't be placed any more first, and the maker's own words."""

    def look(conn: Any) -> dict[str, Any]:
        return {
            "corrections": list(reversed(queries.corrections(conn, undone=True))),
            "recordings": {r.id: r for r in queries.recordings(conn)},
            "names": overview.project_names(conn),
            "words": queries.vocabulary(conn),
        }

    values = await read(datasette, look)
    clips = clips_of(values["recordings"].values())
    return await page(datasette, request, "corrections", here="corrections", clips=clips, **values)


def _still(conn: Any, wanted: int, form: Mapping[str, str]) -> KeptFact:
    """The fact, if it is the one that the form showed: hearing again numbers facts anew."""
    kept = queries.fact(conn, wanted)
    if form.get("mark") != mark(kept):
        raise InputError("This recording has been read again meanwhile; go back, open the page again and repeat.")
    return kept


def _after(form: Mapping[str, str], done: int | None) -> str:
    """The page to go back to, with what was done."""
    parts = urlsplit(local(form.get("back"), "/listen"))
    query = [(k, v) for k, v in parse_qsl(parts.query, keep_blank_values=True) if k != "did"]
    query += [("did", str(done))] if done is not None else []
    return parts._replace(query=urlencode(query)).geturl()
