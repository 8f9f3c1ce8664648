"""What the treble looks like: chances that come true as often as they say."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diag.measure.equalisation import mistaken_db
from diag.measure.losses import azimuth_loss_db, gap_loss_db, spacing_loss_db
from diag.measure.sound import Array
from diag.measure.tape_geometry import SPEED_MM_S
from diag.measure.treble import (
    AZIMUTH,
    AZIMUTH_CHANCE,
    AZIMUTH_SPREAD_ARCMIN,
    GAP,
    GAP_CHANCE,
    GAP_UM,
    GAPS_UM,
    HEAD_HALVES_ARCMIN,
    LITTLE_DB,
    NOTHING,
    ROLL_OFF,
    ROLL_OFF_CHANCE,
    ROLL_OFF_HZ,
    SETTING,
    SETTING_CHANCE,
    SPACING,
    SPACING_CHANCE,
    SPACING_MEAN_UM,
    TAPE_DB,
    Replay,
    explain_treble,
)

HZ = np.array([315.0, 500, 1000, 2000, 4000, 6300, 8000, 10_000, 12_500, 14_000])
AT_10_KHZ = 7


def drawn(rng: np.random.Generator) -> tuple[dict[str, float], str, Array]:
    """A deck drawn as the priors say: its sizes, what takes most at 10 kHz, and its levels."""
    spacing = min(rng.exponential(SPACING_MEAN_UM), 3.0) * (rng.random() < SPACING_CHANCE)
    azimuth = min(abs(rng.normal(0, AZIMUTH_SPREAD_ARCMIN)), 26.0)
    azimuth *= rng.random() < AZIMUTH_CHANCE
    gap = rng.choice(GAPS_UM) if rng.random() < GAP_CHANCE else GAP_UM
    deck_us = 70.0 if rng.random() < SETTING_CHANCE else 120.0
    corner = rng.choice(ROLL_OFF_HZ) if rng.random() < ROLL_OFF_CHANCE else np.inf
    changes = np.array(
        [
            spacing_loss_db(HZ, spacing, SPEED_MM_S),
            azimuth_loss_db(HZ, azimuth, 0.6, SPEED_MM_S),
            gap_loss_db(HZ, gap, SPEED_MM_S) - gap_loss_db(HZ, GAP_UM, SPEED_MM_S),
            mistaken_db(HZ, 120.0, deck_us),
            -10 * np.log10(1 + (HZ / corner) ** 2),
        ]
    )
    changes -= changes[:, :1]
    words = (SPACING, AZIMUTH, GAP, SETTING.format(70.0), ROLL_OFF)
    most = int(np.abs(changes[:, AT_10_KHZ]).argmax())
    is_little = abs(changes[:, AT_10_KHZ].sum()) < LITTLE_DB
    level = changes.sum(axis=0) + rng.normal(0, TAPE_DB) + rng.normal(0, TAPE_DB, len(HZ))
    sizes = {"spacing_um": spacing, "azimuth_arcmin": azimuth, "gap_um": gap}
    return sizes, NOTHING if is_little else words[most], level


def came_true(runs: int, seed: int, *, by_phase: bool) -> tuple[dict[str, float], float, float]:
    """Coverage of each size, how often the first cause was right, and how often it said so."""
    rng = np.random.default_rng(seed)
    held = {"spacing_um": 0, "azimuth_arcmin": 0, "gap_um": 0}
    right, said = 0, 0.0
    for _ in range(runs):
        sizes, truth, level = drawn(rng)
        angle = sizes["azimuth_arcmin"] + rng.normal(0, HEAD_HALVES_ARCMIN)
        how = Replay(
            replay_us=120.0,
            speed_mm_s=SPEED_MM_S,
            width_mm=0.6,
            azimuth=(angle, 0.1) if by_phase else None,
        )
        found = explain_treble(HZ, level, np.full(len(HZ), 0.1), HZ[0], how)
        right += found.likely[0][0] == truth
        said += found.likely[0][1]
        for key, size in sizes.items():
            interval = getattr(found, key)
            held[key] += abs(interval.value - size) <= interval.uncertainty
    return {key: hits / runs for key, hits in held.items()}, right / runs, said / runs


def test_chances_come_true() -> None:
    """With the azimuth known by the phase; 150 decks leave four in a hundred either way."""
    held, right, said = came_true(150, 1, by_phase=True)
    assert min(held.values()) > 0.9
    assert right == pytest.approx(said, abs=0.06)
    assert right > 0.85


@pytest.mark.proof
@pytest.mark.parametrize("by_phase", [True, False])
def test_chances_come_true_in_many(by_phase: bool) -> None:
    """Sizes that are mostly nought are held more often than 95 of 100."""
    held, right, said = came_true(600, 2, by_phase=by_phase)
    assert min(held.values()) >= 0.93
    assert right == pytest.approx(said, abs=0.035)


def test_gap_and_azimuth_are_one_to_the_level() -> None:
    """Ten minutes of arc alone: the gap is not ruled out, but it is by the phase."""
    how = Replay(replay_us=120.0, speed_mm_s=SPEED_MM_S, width_mm=0.6)
    level = azimuth_loss_db(HZ, 10.0, 0.6, SPEED_MM_S)
    level -= level[0]
    found = dict(explain_treble(HZ, level, np.full(len(HZ), 0.1), HZ[0], how).likely)
    assert found[AZIMUTH] > found[GAP] > 0.1
    by_phase = replace(how, azimuth=(10.0, 0.1))
    known = dict(explain_treble(HZ, level, np.full(len(HZ), 0.1), HZ[0], by_phase).likely)
    assert known[AZIMUTH] > found[AZIMUTH] + 0.2
    assert known[GAP] < 0.02


def test_nonsense_fits_nothing() -> None:
    """A comb."""
    how = Replay(replay_us=120.0, speed_mm_s=SPEED_MM_S, width_mm=0.6)
    level = np.where(np.arange(len(HZ)) % 2, 6.0, 0.0)
    assert explain_treble(HZ, level, np.full(len(HZ), 0.1), HZ[0], how).misfit < 1e-6
