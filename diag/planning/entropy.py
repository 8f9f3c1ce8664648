"""Entropy of yes-or-no chances."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

TINY = 1e-300
"""Keeps the logarithm of zero out; its product with zero is zero."""


def entropy(p: Floats) -> Floats:
    """Entropy in nats of independent yes-or-no chances, elementwise; any shape."""
    q = 1.0 - p
    found: Floats = -(p * np.log(np.maximum(p, TINY)) + q * np.log(np.maximum(q, TINY)))
    return found
