"""Azimuth and response of the project's own signals, played on the simulated deck."""

from __future__ import annotations

import pytest
from measure.simulated_deck import SimulatedDeck, Swing, pieces_on_tape

from diag.measure.azimuth import measure_azimuth
from diag.measure.response import measure_response
from diag.measure.signals import MadeSound
from diag.measure.test_signal import LOW_DB, SIGNALS, Piece, PinkNoise, Sweep, Tone
from diag.reading.location import shipped
from diag.reading.test_tape import find_tape

FLUTTER = (Swing(0.7, 0.001), Swing(5.1, 0.0008, 1.0))


def play(deck: SimulatedDeck, pieces: tuple[Piece, ...]):
    """Pieces on a deck; noise and flutter as on a fair one."""
    made = MadeSound(pieces, 48_000)
    seconds = sum(piece.seconds for piece in pieces) / (1 + deck.speed_error)
    return deck.play(pieces_on_tape(made), seconds=seconds, seed=1)


@pytest.mark.parametrize("arcmin", [-14.0, 3.0])
def test_azimuth_on_a_deck_with_faults(arcmin: float) -> None:
    """Off speed by one in a hundred, fluttering, dull and hissing: within half a minute of arc."""
    deck = SimulatedDeck(
        azimuth_arcmin=arcmin,
        azimuth_loss=True,
        speed_error=0.01,
        swings=FLUTTER,
        spacing_um=0.2,
        noise_db=-70.0,
    )
    tones = tuple(Tone(hz, 2.0, LOW_DB) for hz in (1000, 3150, 6300, 10_000))
    found = measure_azimuth(play(deck, tones))["azimuth_arcmin"]
    assert found.value == pytest.approx(arcmin, abs=0.25)
    assert found.uncertainty < 0.5


@pytest.mark.parametrize(
    ("name", "pieces"),
    [
        (
            "home_steps",
            tuple(Tone(piece.hz, 1.5, LOW_DB) for piece in SIGNALS["steps"].pieces),
        ),
        ("home_sweep", (Sweep(40, 16_000, 25),)),
        ("home_noise", (PinkNoise(20),)),
    ],
)
def test_response_on_a_deck_with_faults(name: str, pieces: tuple[Piece, ...]) -> None:
    """0.3 µm of dirt: 3.33 dB at 10 kHz re 315 Hz, by arithmetic."""
    deck = SimulatedDeck(spacing_um=0.3, speed_error=-0.01, swings=FLUTTER, noise_db=-75.0)
    found = measure_response(play(deck, pieces), find_tape(shipped(), name))
    told = found["response_315_to_10k_db"]
    assert told.value == pytest.approx(-3.33, abs=0.1 + told.uncertainty)
    assert told.uncertainty < 0.5
    assert found.likely[0][0].startswith("tape kept off")
