"""Descriptions of test tapes: the shipped ones, the user's own, and what is wrong with a file."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.errors import BenchtrailError, KnowledgeError
from diag.reading.location import SPECIFICATIONS, TEST_TAPES, families, shipped, strays
from diag.reading.test_tape import find_tape, known_tapes, read_tape


def test_shipped_tapes_are_whole() -> None:
    """Each can be read, and says where its figures come from."""
    known = known_tapes(shipped())
    assert len(known) >= 3
    for name, path in known.items():
        tape = read_tape(path)
        assert tape.id == name
        assert tape.basis
    assert {read_tape(path).holds for path in known.values()} == {"tones", "sweep", "noise"}


def test_folder_of_tapes_is_no_family() -> None:
    """Nor is the other folder beside the families, neither shipped nor the user's own."""
    assert not {TEST_TAPES, SPECIFICATIONS} & set(families(shipped()))


def test_own_folders_beside_the_families_are_no_strays(tmp_path: Path) -> None:
    """While a mistyped family is."""
    for name in (TEST_TAPES, SPECIFICATIONS, "test_tape"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "mine.yaml").write_text("says: Mine\n", "utf-8")
    (stray,) = strays(shipped(), tmp_path)
    assert stray.path.endswith("test_tape")


def written(folder: Path, text: str, name: str = "mine") -> Path:
    """A folder of additions with one tape."""
    path = folder / TEST_TAPES / f"{name}.yaml"
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, "utf-8")
    return path


GOOD = "says: Mine\nholds: tones\ntones_hz: [333, 1000, 10000]\nreference_hz: 333\nreplay_us: 70\n"


def test_own_tape_by_name_and_by_path(tmp_path: Path) -> None:
    """It is found among the additions, and is no stray folder there."""
    path = written(tmp_path, GOOD)
    assert find_tape(shipped(), "mine", tmp_path).tones_hz == (333, 1000, 10_000)
    assert find_tape(shipped(), str(path)).reference_hz == 333
    assert not strays(shipped(), tmp_path)


def test_own_tape_replaces_a_shipped_one(tmp_path: Path) -> None:
    """By its name."""
    written(tmp_path, GOOD, "sweep_120_us")
    assert find_tape(shipped(), "sweep_120_us", tmp_path).says == "Mine"


def test_unknown_name_gets_the_nearest() -> None:
    """And no tape."""
    with pytest.raises(BenchtrailError, match="sweep_120_us"):
        find_tape(shipped(), "sweep_120us")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("", "", "empty"),
        ("holds: tones", "holds: tunes", "one of tones, sweep, noise"),
        ("replay_us: 70", "replays_us: 70", "unknown key 'replays_us'"),
        ("replay_us: 70", "replay_us: fast", "a number is wanted"),
        ("replay_us: 70", "replay_us: -70", "above 0"),
        ("reference_hz: 333", "reference_hz: 315", "none of tones_hz"),
        ("[333, 1000, 10000]", "[333, 340, 10000]", "too close"),
        ("[333, 1000, 10000]", "[333]", "two frequencies"),
        ("holds: tones", "holds: sweep", "rising order"),
    ],
)
def test_problems_of_a_file(tmp_path: Path, old: str, new: str, words: str) -> None:
    """With file and line."""
    path = written(tmp_path, GOOD.replace(old, new) if old else "")
    with pytest.raises(KnowledgeError, match=words) as caught:
        read_tape(path)
    assert str(path) in caught.value.where
