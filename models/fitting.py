"""Logistic regression over named features, learned by scikit-learn and kept as a `Linear`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from shoplog.linear import Linear


def fit(
    rows: Sequence[Sequence[str]],
    truth: Sequence[str],
    counted: Sequence[float],
    *,
    freedom: float,
    seen: int,
    small: float,
    rounds: int = 1000,
) -> Linear:
    """Weights from examples, each with its class and how often it counts.

    ``freedom`` is the inverse of the penalty. A feature in fewer than ``seen`` examples is left out, and one whose
    weights are below ``small`` in all classes.
    """
    from scipy.sparse import csr_matrix
    from sklearn.linear_model import LogisticRegression

    found = Counter(f for row in rows for f in set(row))
    index = {f: k for k, f in enumerate(sorted(f for f, n in found.items() if n >= seen))}
    indices, starts = [], [0]
    for row in rows:
        indices += sorted({index[f] for f in row if f in index})
        starts.append(len(indices))
    matrix = csr_matrix((np.ones(len(indices)), indices, starts), shape=(len(rows), len(index)))
    model = LogisticRegression(C=freedom, max_iter=rounds).fit(matrix, truth, sample_weight=counted)
    weights, always = model.coef_, model.intercept_
    if len(weights) == 1:  # two classes: scikit-learn keeps the second one's only
        weights, always = np.vstack([-weights / 2, weights / 2]), np.array([-always[0] / 2, always[0] / 2])
    kept = [f for f, k in index.items() if np.abs(weights[:, k]).max() >= small]
    table = np.vstack([weights[:, [index[f] for f in kept]].T, always]).astype(np.float32)
    return Linear(tuple(str(c) for c in model.classes_), {f: k for k, f in enumerate(kept)}, table)
