"""The numbers that an elimination works on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Indices: TypeAlias = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Values:
    """Numbers of a problem's rows.

    Shapes: `weights` (modes, rows), `fires` and `quiet` (slots, rows), `pairs` and `openings`
    (bits, 2, rows). `quiet` is one less `fires`. An opening is the mass with which a bit starts
    unset and set; that of a summed bit the mass of unset and of both, and its pair L0 - L1 and L1.
    """

    weights: Array
    fires: Array
    quiet: Array
    pairs: Array
    openings: Array
