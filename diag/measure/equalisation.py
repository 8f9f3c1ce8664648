"""Flux on the tape by two time constants, and what a deck set to others makes of it."""

from __future__ import annotations

import numpy as np

from diag.measure.sound import Array

TREBLE_US = (120.0, 70.0)
"""The two settings of a deck (jis_s_8604)."""
BASS_US = (3180.0, 1590.0)
"""That of today (jis_s_8604), and that of older decks and tapes (data sheet of an amplifier)."""


def flux_db(frequency_hz: Array, treble_us: float, bass_us: float = 3180.0) -> Array:
    """Flux that is laid down for a flat replay (formula from memory, iec_60094_1).

    Args:
        frequency_hz: of any shape.
        treble_us: time constant from which the treble falls.
        bass_us: time constant below which the bass rises; 0 for none.
    """
    turn = 2e-6 * np.pi * frequency_hz
    bass = 10 * np.log10(1 + 1 / (turn * bass_us) ** 2) if bass_us else 0.0
    found: Array = bass - 10 * np.log10(1 + (turn * treble_us) ** 2)
    return found


def mistaken_db(frequency_hz: Array, tape_us: float, deck_us: float) -> Array:
    """Change of level where a deck set to one time constant plays a tape made for another."""
    return flux_db(frequency_hz, tape_us) - flux_db(frequency_hz, deck_us)


def mistaken_bass_db(frequency_hz: Array, tape_us: float, deck_us: float) -> Array:
    """The same for the time constant of the bass."""
    treble_us = TREBLE_US[0]
    found: Array = flux_db(frequency_hz, treble_us, tape_us) - flux_db(
        frequency_hz, treble_us, deck_us
    )
    return found
