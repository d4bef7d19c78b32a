"""The collector rests only while values are made."""

from __future__ import annotations

import gc

import pytest

from shoplog.garbage import uncollected


def test_the_collector_runs_again_after_success_and_failure() -> None:
    """It is off inside, also in nested use, and on again afterwards, whatever happened."""

    @uncollected()
    def inside() -> bool:
        with uncollected():
            pass
        return gc.isenabled()

    assert gc.isenabled()
    assert not inside()
    assert gc.isenabled()
    with pytest.raises(ValueError, match="stop"), uncollected():
        raise ValueError("stop")
    assert gc.isenabled()
    gc.disable()
    try:
        assert not inside()
        assert not gc.isenabled()
    finally:
        gc.enable()
