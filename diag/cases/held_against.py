"""What the figures of a deck are held against, as its case keeps it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf

from diag.cases.happened import Happened
from diag.cases.text import check_line, check_number, check_text, visible
from diag.errors import CaseError
from diag.model.nearest import nearest
from diag.model.sizes import SIZES, size_trouble


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptLimit:
    """What one figure is to be: from `lowest` to `highest`, None for no bound on that side.

    `key` is that of the figure, `in_words` as in `at most 0.2 %`; `source` is empty where the limit
    comes from where all do.
    """

    key: str
    says: str
    unit: str
    in_words: str
    lowest: float | None = None
    highest: float | None = None
    source: str = ""

    def __post_init__(self) -> None:
        """Check the words and the bounds."""
        check_line(self.key, "key of the figure")
        check_line(self.says, "name of the figure")
        check_text(self.unit, "unit")
        check_line(self.in_words, f"limit on {self.key} in words")
        check_text(self.source, "source")
        low, high = (
            None if bound is None else check_number(bound, f"limit on {self.key}")
            for bound in (self.lowest, self.highest)
        )
        if low is None and high is None:
            raise CaseError(f"The limit on {self.key} has no bound.", do="Give it one, or both.")
        if low is not None and high is not None and low > high:
            raise CaseError(
                f"The lowest that {self.key} may be lies above the highest.", do="Swap the two."
            )

    @property
    def allowed(self) -> tuple[float, float]:
        """Lowest and highest value that is taken."""
        return (
            -inf if self.lowest is None else self.lowest,
            inf if self.highest is None else self.highest,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptSize:
    """A size of the deck by its key of `diag.model.sizes`, whose unit stands in the key."""

    key: str
    value: float

    def __post_init__(self) -> None:
        """Check that there is such a size, and that it can be this."""
        if self.key not in SIZES:
            raise CaseError(f"There is no size '{visible(self.key)}'.", do=nearest(self.key, SIZES))
        if trouble := size_trouble(self.key, check_number(self.value, self.key)):
            found, do = trouble
            raise CaseError(found, do=do)


@dataclass(frozen=True, slots=True)
class HeldAgainst(Happened):
    """The figures of the deck are held against this from now on; a later choice takes its place.

    The limits are kept as they stood: verdicts on a deck don't change because somebody has edited a
    file, and the case can be told where that file isn't. So are the sizes of the deck's parts.
    """

    specification: str
    says: str
    source: str
    kept: tuple[KeptLimit, ...]
    sizes: tuple[KeptSize, ...] = ()

    def __post_init__(self) -> None:
        """Check the words, and that there is one limit a figure."""
        Happened.__post_init__(self)
        check_line(self.specification, "name of the specification")
        check_line(self.says, "title of the specification")
        check_line(self.source, "source")
        if not self.kept or len(self.limits) < len(self.kept):
            raise CaseError(
                "The specification has no limit, or two on one figure.", do="Choose it again."
            )

    @property
    def limits(self) -> Mapping[str, KeptLimit]:
        """The limits by the keys of their figures."""
        return {limit.key: limit for limit in self.kept}
