"""What the bass looks like: chances that come true, and a mix-up told only where it can be."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from measure.replayed import played

from diag.measure.bass import DECK, FALL, LITTLE_DB, RIGHT, TAPE, explain_bass
from diag.measure.equalisation import mistaken_bass_db
from diag.measure.response import SURE, measure_response
from diag.measure.sound import Array
from diag.model import test_tape

THIRDS_HZ = np.array([40, 50, 63, 80, 100, 125, 160, 200, 250, 315.0, 400])
TONES_HZ = np.array([31.5, 40, 63, 80, 125, 250, 315.0])
AT_63_HZ = 2
OLD_DECK, OLD_TAPE = DECK.format(1590), TAPE.format(1590)


def deck_for_1590(hz: Array) -> Array:
    """A deck for 1590 µs plays a tape for 3180."""
    return mistaken_bass_db(hz, 3180.0, 1590.0)


def tape_for_1590(hz: Array) -> Array:
    """The other way round."""
    return mistaken_bass_db(hz, 1590.0, 3180.0)


def capacitor(corner_hz: float) -> Callable[[Array], Array]:
    """A coupling capacitor of that corner."""
    return lambda hz: -10 * np.log10(1 + (corner_hz / hz) ** 2)


def chances(
    response: Callable[[Array], Array], hz: Array = TONES_HZ, bass_us: float = 3180.0
) -> dict[str, float]:
    """What both channels alike look like, each tone known to 0.15 dB."""
    level = response(hz) - response(np.array([315.0]))
    both = np.stack([level, level], axis=1)
    found = explain_bass(hz, both, np.full(both.shape, 0.15), 315.0, bass_us)
    assert found is not None
    assert sum(chance for _, chance in found) == pytest.approx(1)
    assert [chance for _, chance in found] == sorted((c for _, c in found), reverse=True)
    return dict(found)


def test_levels_of_the_mix_up() -> None:
    """-4.68 dB at 31.5 Hz re 315 Hz: published as 4.7 dB between the two constants."""
    at = deck_for_1590(np.array([31.5, 315.0]))
    assert at[0] - at[1] == pytest.approx(-4.7, abs=0.05)


def test_mix_up_is_named_either_way() -> None:
    """Deck or tape for the other constant, from the one as from the other nominal constant."""
    assert chances(deck_for_1590)[OLD_DECK] > SURE
    assert chances(tape_for_1590)[OLD_TAPE] > SURE
    assert chances(tape_for_1590, bass_us=1590.0)[DECK.format(3180)] > SURE


def test_right_bass_is_right() -> None:
    """Flat, and with a bump of 2 dB as heads have it."""
    assert chances(np.zeros_like)[RIGHT] > 0.99
    assert chances(lambda hz: 2 * np.exp(-((np.log2(hz / 70) / 0.4) ** 2) / 2))[RIGHT] > 0.95


@pytest.mark.parametrize("corner_hz", [30.0, 40.0, 50.0, 60.0, 80.0, 120.0])
@pytest.mark.parametrize("hz", [THIRDS_HZ, TONES_HZ], ids=["thirds", "tones"])
def test_capacitors_are_never_called_a_setting(corner_hz: float, hz: Array) -> None:
    """Even where both channels fall alike, so that it looks much like the mix-up."""
    assert chances(capacitor(corner_hz), hz)[OLD_DECK] < SURE


def test_channels_that_fall_unlike_are_no_setting() -> None:
    """A setting is one for both."""
    level = np.stack([deck_for_1590(THIRDS_HZ), capacitor(15.0)(THIRDS_HZ)], axis=1)
    level -= level[THIRDS_HZ == 315]
    found = explain_bass(THIRDS_HZ, level, np.full(level.shape, 0.15), 315.0, 3180.0)
    assert found is not None
    assert dict(found)[OLD_DECK] < 0.05


@pytest.mark.parametrize(
    ("hz", "bass_us", "reference_hz"),
    [
        (np.array([63.0, 125, 250, 315]), 3180.0, 315.0),
        (THIRDS_HZ, 0.0, 315.0),
        (THIRDS_HZ, 3180.0, 100.0),
    ],
    ids=["few tones", "no constant", "reference in the bass"],
)
def test_nothing_is_said_where_nothing_can_be(
    hz: Array, bass_us: float, reference_hz: float
) -> None:
    """Not even that it is right."""
    level = np.zeros((len(hz), 2))
    assert explain_bass(hz, level, level + 0.1, reference_hz, bass_us) is None


def test_noise_that_knows_the_bass_badly_claims_nothing() -> None:
    """Levels known to 4 dB leave the mix-up about as likely as it was before."""
    level = deck_for_1590(THIRDS_HZ)[:, None] - deck_for_1590(np.array([315.0]))
    found = explain_bass(THIRDS_HZ, level, np.full(level.shape, 12.0), 315.0, 3180.0)
    assert found is not None
    assert dict(found)[OLD_DECK] < 0.15


def drawn(rng: np.random.Generator) -> tuple[str, Array]:
    """A deck and tape with one bump, and what takes most of its bass at 63 Hz.

    The bump and the lift are drawn otherwise than the weighing supposes, as one hump each.
    """
    setting = rng.choice(3, p=[0.92, 0.04, 0.04])
    shared = (np.zeros_like, deck_for_1590, tape_for_1590)[setting](THIRDS_HZ)
    corners = np.zeros(2)
    if rng.random() < 0.2:
        first, kind = 15.0 * 16.0 ** rng.random(), rng.random()
        second = 0.0 if kind > 0.7 else first * (np.exp(0.5 * rng.normal()) if kind > 0.4 else 1)
        corners = rng.permutation([first, second])
    falls = np.stack([capacitor(corner)(THIRDS_HZ) for corner in corners], axis=1)
    middle_hz = 40 * 4 ** rng.random()
    bump = rng.normal(0, 1.3) * np.exp(-((np.log2(THIRDS_HZ / middle_hz) / 0.4) ** 2) / 2)
    lift = rng.uniform(0, 1.5) * np.exp(-THIRDS_HZ / 50)
    level = falls + (shared + bump + lift + rng.normal(0, 0.5, len(THIRDS_HZ)))[:, None]
    level = level - level[THIRDS_HZ == 315] + rng.normal(0, 0.1, level.shape)
    by_setting, by_fall = (each[AT_63_HZ] - each[-2] for each in (shared, falls.mean(axis=1)))
    word = FALL if abs(by_fall) > abs(by_setting) else (RIGHT, OLD_DECK, OLD_TAPE)[setting]
    return (RIGHT if abs(by_setting + by_fall) < LITTLE_DB else word), level


def came_true(runs: int, seed: int) -> tuple[float, float, list[bool]]:
    """How often the first cause was right, how often it said so, and each sure mix-up."""
    rng = np.random.default_rng(seed)
    right, said, sure = 0, 0.0, []
    for _ in range(runs):
        truth, level = drawn(rng)
        found = explain_bass(THIRDS_HZ, level, np.full(level.shape, 0.2), 315.0, 3180.0)
        assert found is not None
        word, chance = found[0]
        right += word == truth
        said += chance
        if word in (OLD_DECK, OLD_TAPE) and chance >= SURE:
            sure.append(word == truth)
    return right / runs, said / runs, sure


def test_chances_come_true() -> None:
    """300 decks leave three in a hundred either way."""
    right, said, _ = came_true(300, 4)
    assert right == pytest.approx(said, abs=0.06)


@pytest.mark.proof
def test_chances_come_true_in_many() -> None:
    """And a mix-up that is called sure is one in 8 of 10 at least."""
    right, said, sure = came_true(4000, 5)
    assert right == pytest.approx(said, abs=0.03)
    assert len(sure) > 40
    assert np.mean(sure) >= SURE


TAPE_OF_TONES = test_tape.TestTape(
    id="tones",
    says="tones",
    holds="tones",
    tones_hz=(315, 31.5, 40, 63, 80, 125, 250, 1000, 4000, 10_000),
    reference_hz=315,
    replay_us=120,
)


@pytest.mark.parametrize(
    ("response", "words"),
    [
        (deck_for_1590, "in the bass: deck at 1590 µs in the bass ("),
        (tape_for_1590, "in the bass: tape made for 1590 µs in the bass ("),
        (np.zeros_like, "in the bass: the bass is right ("),
        (capacitor(50.0), "The bass can't be told apart by the levels: "),
    ],
)
def test_recording_is_told_in_words(response: Callable[[Array], Array], words: str) -> None:
    """From the sound to the sentence; the treble is right throughout."""
    found = measure_response(played(TAPE_OF_TONES, response, seconds=1.3), TAPE_OF_TONES)
    assert any(words in remark for remark in found.remarks)
    assert found.likely[0][0] == "the treble is right"
    assert "120 µs, 3180 µs in the bass" in found.remarks[-1]
