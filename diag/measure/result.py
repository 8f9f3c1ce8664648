"""What a measurement finds: figures with their uncertainty, curves to be drawn, and remarks."""

from __future__ import annotations

from dataclasses import dataclass, field

# Every measurement takes these from here, with what it makes of them.
from diag.model.found import Curve as Curve
from diag.model.found import Figure as Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """All that one measurement found.

    Attributes:
        what: speed, flutter, azimuth, response, level, noise, hum, distortion, dropouts or erase.
        figures: in the order in which they are told.
        curves: what can be drawn.
        remarks: sentences for the restorer: what it means, what it can't tell.
        source: id of the published source of the definition, or `common_practice`, `from_memory`.
        likely: chances in words and numbers, such as those of each rotating part.
        tones_hz: what the tape may hold, the likeliest first, where a person had better say.
    """

    what: str
    figures: tuple[Figure, ...]
    curves: tuple[Curve, ...] = ()
    remarks: tuple[str, ...] = ()
    source: str
    likely: tuple[tuple[str, float], ...] = field(default=())
    tones_hz: tuple[float, ...] = ()

    def __getitem__(self, key: str) -> Figure:
        """The figure of a key.

        Raises:
            KeyError: there is none.
        """
        for figure in self.figures:
            if figure.key == key:
                return figure
        raise KeyError(key)

    def as_json(self) -> dict[str, object]:
        """Keys with quantity and unit, each with its twin of uncertainty; then likely, remarks."""
        plain: dict[str, object] = {}
        for figure in self.figures:
            plain[figure.key] = figure.value
            plain[f"{figure.key}_uncertainty"] = figure.uncertainty
        if self.likely:
            plain["likely"] = dict(self.likely)
        plain["remarks"] = list(self.remarks)
        plain["source"] = self.source
        return plain
