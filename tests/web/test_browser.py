"""In a real browser: find, hear and put right; keys; nothing runs, nothing leaves; readable for all."""

from __future__ import annotations

import shutil
import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from shoplog.store import open_database, queries, transaction
from shoplog.web.options import Options
from shoplog.web.server import datasette_for

playwright = pytest.importorskip("playwright.sync_api", reason="the browser tests need playwright")
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="the browser tests need the system's chromium"),
]
PAGES = (
    "/", "/projects", "/project/1", "/project/2", "/listen", "/recordings", "/recording/1", "/corrections", "/fact/4",
    "/find?q=what+speed+did+I+run", "/find?q=nothing+of+the+kind", "/nowhere", "/wood?name=cherry&diameter=10in",
    "/wood?name=nonsuch", "/tool?name=walnut+oil", "/project/1/pictures",
)  # fmt: skip


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with playwright.sync_playwright() as run:
        opened = run.chromium.launch(
            executable_path=CHROMIUM,
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--mute-audio"],
        )
        yield opened
        opened.close()


@pytest.fixture
def address(shop: Path) -> Iterator[str]:
    """The pages served over a real socket."""
    import uvicorn

    listener = socket.create_server(("127.0.0.1", 0))
    app = datasette_for(shop, Options(read_only=False, author="ada")).app()
    server = uvicorn.Server(uvicorn.Config(app, log_level="error"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    yield f"http://127.0.0.1:{listener.getsockname()[1]}"
    server.should_exit = True
    thread.join(10)


@pytest.fixture
def page(browser: Any, address: str) -> Iterator[Any]:
    """A page whose requests and errors are watched."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, base_url=address)
    opened = context.new_page()
    opened.set_default_timeout(15_000)
    asked: list[str] = []
    wrong: list[str] = []
    opened.on("request", lambda request: asked.append(request.url))
    opened.on("pageerror", lambda error: wrong.append(str(error)))
    opened.on("console", lambda m: wrong.append(m.text) if m.type == "error" and "404" not in m.text else None)
    yield opened
    context.close()
    assert not [url for url in asked if not url.startswith((address, "blob:", "data:"))]
    assert not wrong


def _playing(page: Any) -> float:
    """Where the sound is, once it plays."""
    page.wait_for_function(
        "() => [...document.querySelectorAll('audio, video')].some(m => !m.paused && m.currentTime > 0)"
    )
    return float(page.evaluate("Math.max(...[...document.querySelectorAll('audio, video')].map(m => m.currentTime))"))


def test_a_new_user_finds_hears_and_corrects_a_speed(page: Any, shop: Path) -> None:
    """Ask for the speed on the first page, hear its words, put it right in two presses, and find it corrected."""
    page.goto("/")
    page.get_by_role("searchbox", name="Ask the log").fill("what speed did I run cherry at")
    page.keyboard.press("Enter")
    page.get_by_role("link", name="Hear it at 0:14").first.click()
    at = _playing(page)
    assert 13.5 < at < 18  # the words stand from 14.5 to 17 s
    page.wait_for_function("() => document.querySelector('#sound').paused")
    assert page.evaluate("document.querySelector('#sound').currentTime") < 19  # only its words are played
    page.get_by_role("link", name="Put right: 815 rpm").click()
    dialog = page.get_by_role("dialog")
    dialog.get_by_role("textbox", name="Number").fill("850")
    dialog.get_by_role("button", name="Save the change").click()
    page.get_by_text("Now 850 rpm, was 815 rpm").wait_for()
    page.goto("/find?q=speed+on+cherry")
    assert page.locator(".says strong").first.inner_text() == "850 rpm"
    conn = open_database(shop)
    correction = queries.corrections(conn)[-1]
    conn.close()
    assert ("change", "ada", {"value": 850.0}) == (correction.verdict, correction.author, dict(correction.new))


def test_the_words_run_along(page: Any) -> None:
    """On a project, what is played is marked in the transcript; a press on a remark plays from there."""
    page.goto("/project/1")
    page.get_by_role("link", name="Hear it at 0:08: The meter").first.click()
    page.locator(".cue.now", has_text="meter reads 28 percent").wait_for()
    page.locator(".cue", has_text="crack opening").get_by_role("link").click()
    page.locator(".cue.now", has_text="crack opening").wait_for()
    assert _playing(page) >= 19.9


def test_doubts_are_settled_by_keys(page: Any, shop: Path) -> None:
    """Play, next, previous, change, accept, reject and undo, all without a pointer."""
    page.goto("/listen")
    cards = page.locator(".doubt-card")
    first, second = cards.nth(0).get_attribute("id"), cards.nth(1).get_attribute("id")
    focused = "document.activeElement.id"
    assert first == page.evaluate(focused)
    page.keyboard.press("j")
    assert second == page.evaluate(focused)
    page.keyboard.press("k")
    page.keyboard.press("p")
    _playing(page)
    page.keyboard.press("a")
    page.get_by_text("Taken as heard").wait_for()
    assert second == page.evaluate(focused)
    page.keyboard.press("u")
    page.get_by_role("status").get_by_text("Taken").wait_for(state="detached")
    assert first == page.evaluate(focused)
    page.keyboard.press("x")
    page.get_by_text("Taken out").wait_for()
    page.keyboard.press("c")
    page.locator("[name=number]:focus").wait_for()
    conn = open_database(shop)
    assert ["reject"] == [c.verdict for c in queries.corrections(conn)][1:]
    conn.close()


def test_a_reading_that_was_heard_beside_it_is_one_press_away(page: Any) -> None:
    """Where a doubtful number has another reading, a button takes that one."""
    page.goto("/fact/4")
    page.get_by_role("button", name="It was 850 rpm").click()
    page.get_by_text("Now 850 rpm, was 815 rpm").wait_for()


def test_teaching_a_word_shows_what_it_changes_first(page: Any, shop: Path) -> None:
    """The list of what else would change comes before anything is written; then it is, and stays."""
    page.goto("/fact/1")
    page.get_by_text("Teach a word").click()
    page.get_by_role("textbox", name="Always take the words").fill("black cherry")
    page.get_by_role("textbox", name="for", exact=True).fill("black walnut")
    page.get_by_role("button", name="Save the change").click()
    page.get_by_role("heading", name="Take “black cherry” for “black walnut”").wait_for()
    assert page.get_by_role("row", name="black walnut").count() == 1
    conn = open_database(shop)
    assert [("bull gouge", "bowl gouge")] == queries.vocabulary(conn)
    page.get_by_role("button", name="Save and teach it").click()
    page.wait_for_url("**/project/1*")
    assert ("black cherry", "black walnut") in queries.vocabulary(conn)
    conn.close()


def test_sound_that_the_browser_cannot_play_comes_as_a_small_copy(page: Any, shop: Path, tmp_path: Path) -> None:
    """A recording of an old kind is heard all the same, at the same times."""
    import av
    from weblog import tone

    odd = tmp_path / "odd.avi"
    with av.open(str(tone(tmp_path / "plain.wav"))) as given, av.open(str(odd), "w") as made:
        stream = made.add_stream("adpcm_ms", rate=8000, layout="mono")
        for frame in given.decode(audio=0):
            for packet in stream.encode(frame):
                made.mux(packet)
        for packet in stream.encode(None):
            made.mux(packet)
    conn = open_database(shop)
    conn.execute(
        "update clip set path = ?, name = 'odd.avi', size = ?, sha256 = 'odd' where id = 1",
        (str(odd), odd.stat().st_size),
    )
    conn.close()
    page.goto("/project/1")
    with page.expect_response("**/sound/1.*"):
        page.get_by_role("link", name="Hear it at 0:20").first.click()
    at = _playing(page)
    assert 19.5 < at < 24


def test_progress_is_live(page: Any, shop: Path) -> None:
    """While a recording is heard its share moves on the page; when it is done the page says so, without a reload."""
    page.goto("/recordings")
    page.get_by_text("40 %").wait_for()
    page.wait_for_timeout(2500)  # so that the page has asked once
    conn = open_database(shop)
    with transaction(conn):
        conn.execute('update part set "end" = 2.4')
    page.get_by_text("80 %").wait_for()
    with transaction(conn):
        conn.execute("update recording set state = 'done' where state = 'hearing'")
    conn.close()
    page.get_by_text("being heard").wait_for(state="detached")


@pytest.mark.parametrize("look", ["light", "dark", "phone"])
def test_every_page_is_readable_for_all(browser: Any, address: str, look: str) -> None:
    """axe-core finds nothing serious, in light, in dark and on a phone; nothing is wider than the screen; nothing of
    what hostile recordings are called has run."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-playwright-python").Axe()
    size = {"width": 390, "height": 844} if look == "phone" else {"width": 1280, "height": 900}
    context = browser.new_context(
        viewport=size, color_scheme="dark" if look == "dark" else "light", base_url=address, bypass_csp=False
    )
    page = context.new_page()
    found = []
    for path in PAGES:
        page.goto(path)
        for violation in axe.run(page).response["violations"]:
            if violation["impact"] in ("serious", "critical"):
                found.append((path, violation["id"], [n["html"][:200] for n in violation["nodes"][:3]]))
        assert not page.evaluate("'ran' in window")
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), path
    context.close()
    assert not found


def test_the_pages_work_without_script(browser: Any, address: str) -> None:
    """Links lead to the recording, forms change facts: the script only adds."""
    context = browser.new_context(java_script_enabled=False, base_url=address)
    page = context.new_page()
    page.goto("/project/1")
    page.get_by_role("link", name="Hear it at 0:08").first.click()
    assert "/recording/1" in page.url
    page.goto("/project/1")
    page.get_by_role("link", name="Put right: 28 %").click()
    page.get_by_role("textbox", name="Number").fill("26")
    page.get_by_role("button", name="Save the change").click()
    assert page.get_by_text("Now 26 % (end grain), was 28 % (end grain)").count() == 1
    context.close()
