"""A linear classifier: what its classes weigh, feature by feature, as it was learned and is kept in a file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True)
class Linear:
    """Multinomial logistic regression over named features that are there or not.

    ``weights`` has a row for each feature of ``index`` and a last one that always counts; a column for each class.
    """

    classes: tuple[str, ...]
    index: dict[str, int]
    weights: NDArray[np.float32]

    def probabilities(self, rows: Sequence[Sequence[str]]) -> NDArray[np.float32]:
        """Probabilities in the order of `classes`, a row for each list of features; unknown ones add nothing."""
        import numpy as np

        get, always = self.index.get, len(self.index)
        flat: list[int] = []
        starts: list[int] = []
        for row in rows:
            starts.append(len(flat))
            flat.append(always)
            flat += [k for f in row if (k := get(f)) is not None]
        if not starts:
            return np.zeros((0, len(self.classes)), np.float32)
        sums = np.add.reduceat(self.weights[flat], starts, axis=0)
        sums -= sums.max(axis=1, keepdims=True)
        np.exp(sums, out=sums)
        return np.asarray(sums / sums.sum(axis=1, keepdims=True))


def save(path: Path, models: dict[str, Linear]) -> None:
    """Write models to one file, weights to three digits."""
    import numpy as np

    arrays: dict[str, Any] = {}
    for name, model in models.items():
        arrays[f"{name}.classes"] = np.array(model.classes)
        arrays[f"{name}.features"] = np.frombuffer("\n".join(model.index).encode(), np.uint8)
        arrays[f"{name}.weights"] = model.weights.astype(np.float16)
    np.savez_compressed(path, **arrays)


@cache
def load(path: Path, name: str) -> Linear:
    """The model ``name`` of a file."""
    import numpy as np

    with np.load(path, allow_pickle=False) as kept:
        features = kept[f"{name}.features"].tobytes().decode().split("\n")
        return Linear(
            tuple(str(c) for c in kept[f"{name}.classes"]),
            {f: k for k, f in enumerate(features)},
            kept[f"{name}.weights"].astype(np.float32),
        )
