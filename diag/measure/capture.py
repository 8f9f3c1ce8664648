"""Sound files. The one module that knows the sound file library."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from secrets import token_hex

import numpy as np

from diag.errors import ExportError, MeasureError
from diag.measure.sound import Array, Sound

RATES_HZ = (22_050, 192_000)
LONGEST_SECONDS = 3600.0
"""An hour is the longest that is gone through."""
SLACK_SECONDS = 1.0
"""By which a side of an hour may be longer."""
MOST_BYTES = (1 << 32) - 4096
"""A plain WAV file can't count further."""
WRITE_BLOCK = 1 << 16


@dataclass(frozen=True, slots=True)
class Capture:
    """A sound file that was found readable; it is read anew, block by block, each time."""

    path: Path
    rate_hz: int
    channels: int
    frames: int

    def blocks(self, frames: int) -> Iterator[Array]:
        """The samples in blocks of shape (up to `frames`, channels).

        Raises:
            MeasureError: the file ends early, or holds what is no number.
        """
        import soundfile

        done = 0
        try:
            with soundfile.SoundFile(self.path) as file:
                for block in file.blocks(frames, dtype="float64", always_2d=True):
                    if not np.isfinite(block).all():
                        raise MeasureError(
                            "the file holds samples that are no numbers "
                            f"(near {done / self.rate_hz:.1f} s).",
                            where=str(self.path),
                            do="Export it again, as 24-bit WAV.",
                        )
                    done += len(block)
                    yield block
        except (soundfile.LibsndfileError, OSError, RuntimeError) as error:
            raise self._cut_off(done) from error
        if done < self.frames:
            raise self._cut_off(done)

    def _cut_off(self, done: int) -> MeasureError:
        return MeasureError(
            f"the file breaks off after {done / self.rate_hz:.1f} s "
            f"of {self.frames / self.rate_hz:.1f} s.",
            where=str(self.path),
            do="Copy it again from the recorder, or record it again.",
        )


def open_capture(path: Path) -> Capture:
    """Look at a WAV or FLAC file without reading its samples.

    Raises:
        MeasureError: there is no such file, it is no sound file of these kinds, or its rate, its
            channels or its length are not what can be measured.
    """
    import soundfile

    if not path.is_file():
        raise MeasureError(
            "there is no such file.", where=str(path), do="Give the path of a WAV or FLAC file."
        )
    try:
        info = soundfile.info(path)
    except (soundfile.LibsndfileError, OSError, RuntimeError) as error:
        raise MeasureError(
            "this is no sound file that can be read.",
            where=str(path),
            do="Give a WAV or FLAC file as the recorder wrote it.",
        ) from error
    _check(info.format, info.samplerate, info.channels, info.frames, path)
    declared = _declared_frames(path)
    return Capture(path, info.samplerate, info.channels, max(info.frames, declared))


def _check(kind: str, rate_hz: int, channels: int, frames: int, path: Path) -> None:
    found, do = "", ""
    if kind not in ("WAV", "WAVEX", "RF64", "FLAC"):
        found, do = f"this is a {kind} file.", "Export it as WAV or FLAC, without loss."
    elif not RATES_HZ[0] <= rate_hz <= RATES_HZ[1]:
        found = f"its rate is {rate_hz} Hz."
        do = f"Record at {RATES_HZ[0]} to {RATES_HZ[1]} Hz; 48000 Hz does well."
    elif channels > 2:
        found, do = f"it has {channels} channels.", "Export the two that the deck was on."
    elif not frames:
        found, do = "it holds no samples.", "Record it again."
    elif frames / rate_hz > LONGEST_SECONDS + SLACK_SECONDS:
        found = f"it is {frames / rate_hz / 60:.0f} minutes long."
        do = f"Cut it to {LONGEST_SECONDS / 60:.0f} minutes or less."
    if found:
        raise MeasureError(found, where=str(path), do=do)


def _declared_frames(path: Path) -> int:
    """Frames that the header of a plain WAV file declares; 0 where it can't be told.

    The library gives what is there, so that a file cut off while copying would pass as a short one.
    """
    with path.open("rb") as file:
        head = file.read(12)
        if head[:4] != b"RIFF" or head[8:12] != b"WAVE":
            return 0
        align = 0
        while len(chunk := file.read(8)) == 8:
            size = int.from_bytes(chunk[4:], "little")
            if chunk[:4] == b"data":
                # A recorder that was never stopped leaves the size open.
                return size // align if align and size < 0xFFFF_FF00 else 0
            body = file.read(size + size % 2)
            if chunk[:4] == b"fmt " and len(body) >= 14:
                align = int.from_bytes(body[12:14], "little")
    return 0


def write_capture(path: Path, sound: Sound, *, replaces: bool = False) -> None:
    """Write a sound as WAV of 24 bits, whole or not at all; it is on disk when this returns.

    Args:
        path: the file to make, with the ending `.wav`.
        sound: what it is to hold, full scale 1.
        replaces: whether it may take the place of a file that is there.

    Raises:
        ExportError: the name is taken or no WAV file's, the sound is too long or clips, or the file
            can't be written. Nothing is left behind, and a file that was there is as it was.
    """
    check_may_write(path, replaces=replaces)
    if sound.frames * sound.channels * 3 > MOST_BYTES:
        raise ExportError(
            "The sound is too long for a WAV file.",
            where=str(path),
            do="Write a shorter one, or at a lower rate.",
        )
    ready = path.with_name(f".{token_hex(8)}.part")
    try:
        _write(ready, sound)
        if replaces:
            ready.replace(path)
        else:
            _claim(ready, path)
    except FileExistsError as error:
        raise _taken(path) from error
    except (OSError, ValueError, RuntimeError) as error:
        reason = getattr(error, "strerror", None) or "there is no such folder, or no room in it"
        raise ExportError(
            f"The sound can't be written: {reason}.",
            where=str(path),
            do="Choose another folder, or make room there.",
        ) from error
    finally:
        ready.unlink(missing_ok=True)


def check_may_write(path: Path, *, replaces: bool = False) -> None:
    """Refuse a name that a sound can't be written to, before the work.

    Raises:
        ExportError: the name is taken, or is no WAV file's.
    """
    if path.suffix.lower() != ".wav":
        raise ExportError(
            "Sounds are written as WAV.", where=str(path), do="Give a name that ends in .wav."
        )
    if path.is_dir() or (not replaces and (path.exists() or path.is_symlink())):
        raise _taken(path)


def _taken(path: Path) -> ExportError:
    if path.is_dir():
        return ExportError("This is a folder.", where=str(path), do="Give the name of a file.")
    return ExportError(
        "There is a file of this name.",
        where=str(path),
        do="Choose another name, or say --force to write over it.",
    )


def _write(ready: Path, sound: Sound) -> None:
    import soundfile

    with ready.open("xb") as file:
        with soundfile.SoundFile(
            file, "w", sound.rate_hz, sound.channels, subtype="PCM_24", format="WAV"
        ) as out:
            for block in sound.blocks(WRITE_BLOCK):
                if np.abs(block).max() > 1:
                    raise ExportError("The sound is louder than full scale.", do="Make it quieter.")
                out.write(block)
        file.flush()
        os.fsync(file.fileno())


def _claim(ready: Path, path: Path) -> None:
    """Give the file its name, unless another has taken it meanwhile."""
    try:
        os.link(ready, path)
    except FileExistsError:
        raise
    except OSError:  # many memory sticks know no links; there the name is taken first
        path.open("xb").close()
        ready.replace(path)
