"""Sound files of every kind that a recorder writes, and those that are refused."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from diag.errors import MeasureError
from diag.measure import capture
from diag.measure.capture import Capture, open_capture
from diag.measure.sound import Array, Samples, seconds

RATE_HZ = 48_000


def _noise(frames: int, channels: int) -> Array:
    values: Array = np.random.default_rng(0).uniform(-0.5, 0.5, (frames, channels))
    return values


def _read(sound: Capture, frames: int = 1000) -> Array:
    return np.concatenate(list(sound.blocks(frames)))


@pytest.mark.parametrize(
    ("kind", "subtype", "bits"),
    [
        ("WAV", "PCM_16", 16),
        ("WAV", "PCM_24", 24),
        ("WAV", "PCM_32", 32),
        ("WAV", "FLOAT", 25),
        ("WAV", "DOUBLE", 53),
        ("WAVEX", "PCM_24", 24),
        ("RF64", "PCM_24", 24),
        ("FLAC", "PCM_16", 16),
        ("FLAC", "PCM_24", 24),
    ],
)
@pytest.mark.parametrize("channels", [1, 2])
def test_every_width(tmp_path: Path, kind: str, subtype: str, bits: int, channels: int) -> None:
    """Samples come back to the last bit of the file, in blocks, with full scale as 1."""
    path, values = tmp_path / "capture", _noise(2345, channels)
    soundfile.write(path, values, RATE_HZ, subtype=subtype, format=kind)
    sound = open_capture(path)
    assert (sound.rate_hz, sound.channels, sound.frames) == (RATE_HZ, channels, 2345)
    assert seconds(sound) == pytest.approx(2345 / 48_000)
    assert [len(block) for block in sound.blocks(1000)] == [1000, 1000, 345]
    assert np.abs(_read(sound) - values).max() <= 2.0 ** (1 - bits)


@pytest.mark.parametrize("rate_hz", [22_050, 32_000, 44_100, 88_200, 96_000, 192_000])
def test_every_rate(tmp_path: Path, rate_hz: int) -> None:
    """From half the rate of a disc to the fastest card."""
    path = tmp_path / "capture.wav"
    soundfile.write(path, _noise(500, 2), rate_hz)
    assert open_capture(path).rate_hz == rate_hz


def test_a_capture_is_read_anew_each_time(tmp_path: Path) -> None:
    """Two goes give the same."""
    path = tmp_path / "capture.flac"
    soundfile.write(path, _noise(5000, 2), RATE_HZ)
    sound = open_capture(path)
    assert np.array_equal(_read(sound, 64), _read(sound, 4096))


@pytest.mark.parametrize(
    ("rate_hz", "channels", "frames", "says"),
    [
        (8000, 1, 100, "its rate is 8000 Hz"),
        (384_000, 1, 100, "its rate is 384000 Hz"),
        (RATE_HZ, 3, 100, "it has 3 channels"),
        (RATE_HZ, 6, 100, "it has 6 channels"),
        (RATE_HZ, 2, 0, "it holds no samples"),
    ],
)
def test_unfit_files(tmp_path: Path, rate_hz: int, channels: int, frames: int, says: str) -> None:
    """Each is told with its path and what to do."""
    path = tmp_path / "capture.wav"
    soundfile.write(path, _noise(frames, channels), rate_hz)
    with pytest.raises(MeasureError, match=says) as refused:
        open_capture(path)
    assert refused.value.where == str(path)
    assert refused.value.do


def test_too_long(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Past the longest, here brought down to two minutes, it asks to cut."""
    monkeypatch.setattr(capture, "LONGEST_SECONDS", 120.0)
    path = tmp_path / "capture.flac"
    soundfile.write(path, np.zeros((180 * 22_050, 1)), 22_050)
    with pytest.raises(MeasureError, match=r"3 minutes long\. Cut it to 2 minutes"):
        open_capture(path)


@pytest.mark.parametrize("content", [b"", b"dear diary", b"RIFF\x10\x00\x00\x00WAVE", b"fLaC" * 9])
def test_no_sound_file(tmp_path: Path, content: bytes) -> None:
    """A text file, an empty one, a bare head."""
    path = tmp_path / "capture.wav"
    path.write_bytes(content)
    with pytest.raises(MeasureError, match="no sound file that can be read") as refused:
        open_capture(path)
    assert refused.value.do


def test_other_kinds_of_sound_file(tmp_path: Path) -> None:
    """What has lost something, or is not usual here, is to be exported anew."""
    path = tmp_path / "capture.ogg"
    soundfile.write(path, _noise(5000, 1), RATE_HZ)
    with pytest.raises(MeasureError, match="Export it as WAV or FLAC"):
        open_capture(path)


def test_no_file(tmp_path: Path) -> None:
    """Nothing there, or a folder."""
    for path in (tmp_path / "none.wav", tmp_path):
        with pytest.raises(MeasureError, match="there is no such file"):
            open_capture(path)


@pytest.mark.parametrize("name", ["capture.wav", "capture.flac"])
def test_cut_off_file(tmp_path: Path, name: str) -> None:
    """A copy that broke off is told, and where it breaks off."""
    path = tmp_path / name
    soundfile.write(path, _noise(2 * RATE_HZ, 2), RATE_HZ, subtype="PCM_24")
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    sound = open_capture(path)
    assert sound.frames == 2 * RATE_HZ
    with pytest.raises(MeasureError, match=r"breaks off after \d\.\d s of 2\.0 s") as refused:
        _read(sound)
    assert refused.value.where == str(path)


def test_recorder_that_was_never_stopped(tmp_path: Path) -> None:
    """Its head leaves the length open; what is there is taken."""
    path = tmp_path / "capture.wav"
    soundfile.write(path, _noise(1000, 1), RATE_HZ, subtype="PCM_16")
    content = bytearray(path.read_bytes())
    at = content.index(b"data") + 4
    content[at : at + 4] = b"\xff\xff\xff\xff"
    path.write_bytes(content)
    assert len(_read(open_capture(path))) == 1000


@pytest.mark.parametrize("value", [np.nan, np.inf])
def test_no_numbers(tmp_path: Path, value: float) -> None:
    """A float file may hold them; it says near where."""
    path, values = tmp_path / "capture.wav", _noise(2 * RATE_HZ, 1)
    values[RATE_HZ + 5] = value
    soundfile.write(path, values, RATE_HZ, subtype="FLOAT")
    with pytest.raises(MeasureError, match=r"no numbers \(near 1\.0 s\)"):
        _read(open_capture(path))


def test_file_that_goes_away(tmp_path: Path) -> None:
    """A stick that is pulled out is an error that is told, not a crash."""
    path = tmp_path / "capture.wav"
    soundfile.write(path, _noise(100, 1), RATE_HZ)
    sound = open_capture(path)
    path.unlink()
    with pytest.raises(MeasureError, match=r"breaks off after 0\.0 s"):
        _read(sound)


def test_samples_in_memory() -> None:
    """They go the same way as a file."""
    values = _noise(2500, 2)
    sound = Samples(values, RATE_HZ)
    assert (sound.channels, sound.frames) == (2, 2500)
    assert [len(block) for block in sound.blocks(1000)] == [1000, 1000, 500]
    assert np.array_equal(np.concatenate(list(sound.blocks(999))), values)
