"""Making many small values without the collector looking at all of them again and again."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def uncollected() -> Iterator[None]:
    """While this runs, as a context or a decorator, no cycles are collected; reference counts free the rest as ever.

    For pure functions from values to values: they make hundreds of thousands of objects for a large project, none in
    a cycle, and each pass over them and the project itself would cost as much as the work.
    """
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()
