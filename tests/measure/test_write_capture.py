"""Sounds are written whole or not at all, and never over another by accident."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from diag.errors import ExportError, MeasureError
from diag.measure.capture import open_capture, write_capture
from diag.measure.signals import MadeSound, tape_of
from diag.measure.sound import Array, Samples
from diag.measure.test_signal import Rest, Tone


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    """To half a step of 24 bits, at the rate that was asked."""
    made = MadeSound((Tone(1000, 0.5), Tone(315, 0.5, -3.0, channels=(0,))), 96_000)
    write_capture(tmp_path / "tape.wav", made)
    capture = open_capture(tmp_path / "tape.wav")
    assert (capture.rate_hz, capture.channels, capture.frames) == (96_000, 2, 96_000)
    there = np.concatenate(list(capture.blocks(10_000)))
    wanted = np.concatenate(list(made.blocks(10_000)))
    # A step is 2**-23 of full scale; the library cuts off rather than rounds.
    assert np.abs(there - wanted).max() <= 2**-23
    assert [path.name for path in tmp_path.iterdir()] == ["tape.wav"]


def test_taken_name_is_refused_unless_forced(tmp_path: Path) -> None:
    """The file that is there stays as it was; forced, it is replaced."""
    path = tmp_path / "tape.wav"
    path.write_text("mine")
    made = tape_of((), 48_000)
    with pytest.raises(ExportError, match="a file of this name"):
        write_capture(path, made)
    assert path.read_text() == "mine"
    write_capture(path, MadeSound((Rest(0.1),), 48_000), replaces=True)
    assert open_capture(path).frames == 4800


def test_link_that_leads_nowhere_is_a_taken_name(tmp_path: Path) -> None:
    """Nothing is written through it."""
    (tmp_path / "tape.wav").symlink_to(tmp_path / "elsewhere.wav")
    with pytest.raises(ExportError, match="a file of this name"):
        write_capture(tmp_path / "tape.wav", MadeSound((Rest(0.1),), 48_000))
    assert not (tmp_path / "elsewhere.wav").exists()


@dataclass
class Breaking:
    """A sound that fails half way, or is too loud there."""

    loud: bool
    rate_hz: int = 48_000
    channels: int = 2
    frames: int = 2000

    def blocks(self, frames: int) -> Iterator[Array]:
        """One good block, then what is wrong."""
        yield np.zeros((1000, 2))
        if not self.loud:
            raise MeasureError("it broke.")
        yield np.full((1000, 2), 1.5)


@pytest.mark.parametrize("loud", [True, False])
def test_nothing_is_left_of_a_failed_write(tmp_path: Path, loud: bool) -> None:
    """Neither a part nor a changed file."""
    path = tmp_path / "tape.wav"
    path.write_text("mine")
    with pytest.raises((ExportError, MeasureError), match=r"louder than full scale|it broke"):
        write_capture(path, Breaking(loud), replaces=True)
    assert path.read_text() == "mine"
    assert [one.name for one in tmp_path.iterdir()] == ["tape.wav"]


def test_bad_places_are_told(tmp_path: Path) -> None:
    """Another ending, a folder, a folder that isn't there, and more than WAV can count."""
    sound = Samples(np.zeros((10, 1)), 48_000)
    with pytest.raises(ExportError, match=r"ends in \.wav"):
        write_capture(tmp_path / "tape.flac", sound)
    (tmp_path / "folder.wav").mkdir()
    with pytest.raises(ExportError, match="This is a folder"):
        write_capture(tmp_path / "folder.wav", sound, replaces=True)
    with pytest.raises(ExportError, match="can't be written"):
        write_capture(tmp_path / "none" / "tape.wav", sound)
    long = Breaking(loud=False, frames=800_000_000)
    with pytest.raises(ExportError, match="too long for a WAV file"):
        write_capture(tmp_path / "tape.wav", long)
