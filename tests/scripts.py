"""Programs that are run by hand, as modules for their tests."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).parents[1]


def script(path: str) -> ModuleType:
    """The program at ``path`` from the top of the project, imported under the name of its file."""
    spec = importlib.util.spec_from_file_location(Path(path).stem, ROOT / path)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module
