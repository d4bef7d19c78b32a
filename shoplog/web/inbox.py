"""The watcher of the inbox beside the pages: a process of its own, that ends when the pages end."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections import deque
from pathlib import Path

#: Seconds that a part under way gets to be finished and stored.
GRACE = 20.0


class Inbox:
    """Starts the watcher, knows what it last said, stops it."""

    def __init__(self, folder: Path, database: Path) -> None:
        self.folder = folder
        self._said: deque[str] = deque(maxlen=5)
        self._child = subprocess.Popen(  # noqa: S603 - this program, no shell
            [sys.executable, "-m", "shoplog.web.inbox", str(folder), str(database)],
            stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, errors="replace",
        )  # fmt: skip
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        assert self._child.stderr is not None  # asked for above
        for line in self._child.stderr:
            if line.strip():
                self._said.append(line.strip())

    def tell(self) -> tuple[str, str]:
        """(the folder, what its watcher is doing, in a sentence)."""
        last = self._said[-1] if self._said else ""
        if self._child.poll() is None:
            return str(self.folder), "Watching the inbox. Put recordings there, a folder for each project."
        return str(
            self.folder
        ), f"The watcher of the inbox has stopped{f': {last}' if last else ''}. Start shoplog again."

    def close(self) -> None:
        """Let the watcher finish the part under way, but not for ever."""
        assert self._child.stdin is not None  # asked for above
        self._child.stdin.close()
        try:
            self._child.wait(GRACE)
        except subprocess.TimeoutExpired:
            self._child.kill()


def _say(line: str) -> None:
    print(line, file=sys.stderr, flush=True)


def main(folder: str, database: str) -> None:
    """Watch until the input ends: then whoever started this has gone, however it went."""
    import signal

    from shoplog.watch import watch

    stop = threading.Event()
    signal.signal(signal.SIGINT, lambda *_: stop.set())  # Ctrl-C goes to the whole group

    def until_the_end() -> None:
        sys.stdin.read()
        stop.set()

    threading.Thread(target=until_the_end, daemon=True).start()
    watch(Path(folder), Path(database), stop=stop, tell=_say)


if __name__ == "__main__":
    from shoplog.errors import ShoplogError

    try:
        main(*sys.argv[1:])
    except (ShoplogError, OSError) as error:
        sys.exit(str(error))
