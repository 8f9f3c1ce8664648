"""The kinds of deck that entries are for, as numbers that can be compared all at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from diag.model.figures import TraitId
from diag.model.trait import Trait, Where

Kinds = NDArray[np.int64]

ANY = -1
"""Every bit set: the trait may have any value."""


def kinds(wheres: Sequence[Where], traits: Mapping[str, Trait]) -> Kinds:
    """For each `where`, a bit for every value that will do, shape (wheres, traits)."""
    found = np.full((len(wheres), len(traits)), ANY)
    for row, where in enumerate(wheres):
        for column, trait in enumerate(traits.values()):
            if values := where.get(TraitId(trait.id)):
                found[row, column] = sum(1 << trait.one_of.index(value) for value in values)
    return found
