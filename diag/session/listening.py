"""Measuring a sound file while somebody waits: how far it has come, and a way to stop it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import unquote, urlparse

from diag.cases.captured import Reading
from diag.errors import MeasureError
from diag.measure.result import Measurement
from diag.session.beside import Beside

if TYPE_CHECKING:
    # Only their names: screens use this before numpy is read in.
    from diag.measure.catalogue import Known
    from diag.measure.sound import Array, Sound

ENDINGS = (".wav", ".flac")


class Stopped(Exception):
    """The person called the measurement off."""


@dataclass(frozen=True, slots=True)
class Watch:
    """Looks on while a sound is measured.

    `told` is given the share of the sound that this pass has gone through; measurements may pass
    several times. `is_stopped` is asked at every block.
    """

    told: Callable[[float], None] = lambda share: None
    is_stopped: Callable[[], bool] = lambda: False


@dataclass(frozen=True, slots=True)
class Heard:
    """What a recording was found to hold, before the case takes it.

    `readings` are the checks that it answers, the one that was asked first.
    """

    what: str
    file: str
    found: Measurement
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class HeardAll:
    """All that one recording allows, and in words why it does not allow the other kinds."""

    heard: tuple[Heard, ...]
    refused: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Watched:
    """A sound that tells how far it was gone through, and stops when asked to.

    `watch` is what looks on.
    """

    sound: Sound
    watch: Watch

    @property
    def rate_hz(self) -> int:
        """As the sound's."""
        return self.sound.rate_hz

    @property
    def channels(self) -> int:
        """As the sound's."""
        return self.sound.channels

    @property
    def frames(self) -> int:
        """As the sound's."""
        return self.sound.frames

    def blocks(self, frames: int) -> Iterator[Array]:
        """The blocks of the sound.

        Raises:
            Stopped: that was asked for.
        """
        done = 0
        for block in self.sound.blocks(frames):
            if self.watch.is_stopped():
                raise Stopped
            yield block
            done += len(block)
            self.watch.told(done / max(self.frames, 1))


def listen(what: str, path: Path, watch: Watch, beside: Beside) -> Measurement:
    """Measure a sound file.

    Raises:
        MeasureError: it can't be read, or not be measured so.
        Stopped: that was asked for.
    """
    # Here and not above: they bring in numpy and more.
    from diag.measure.catalogue import measure

    return measure(what, opened(path, watch, beside.given.channel), _known(beside))


def listen_to_all(
    path: Path, watch: Watch, beside: Beside
) -> Mapping[str, Measurement | MeasureError]:
    """Make every measurement of a sound file that it allows; for the others, why not.

    Raises:
        MeasureError: it can't be read.
        Stopped: that was asked for.
    """
    from diag.measure.catalogue import measure_all

    return measure_all(opened(path, watch, beside.given.channel), _known(beside))


def heard_all(
    found: Mapping[str, Measurement | MeasureError], heard: Callable[[Measurement], Heard]
) -> HeardAll:
    """What was measured as it was `heard`, and in words why the rest was not."""
    refused = [(what, str(one)) for what, one in found.items() if isinstance(one, MeasureError)]
    told = [heard(one) for one in found.values() if isinstance(one, Measurement)]
    return HeardAll(tuple(told), tuple(refused))


def opened(path: Path, watch: Watch, channel: int | None = None) -> Sound:
    """A sound file that is looked on at while it is gone through; all of it, or one channel.

    Raises:
        MeasureError: it can't be read, or has no such channel.
    """
    from diag.measure.capture import open_capture
    from diag.measure.excerpt import one_channel

    sound: Sound = Watched(open_capture(path), watch)
    return sound if channel is None else one_channel(sound, channel, str(path))


def _known(beside: Beside) -> Known:
    """What is known; what a person said counts first."""
    from diag.measure.catalogue import Known

    deck, given = beside.deck, beside.given
    return Known(
        nominal_hz=given.nominal_hz,
        tape=given.tape,
        reference=given.reference,
        reference_dbfs=given.reference_dbfs,
        mains_hz=given.mains_hz or deck.mains_hz,
        card=given.card,
        speed_error_percent=given.speed_error_percent or beside.speed_error_percent,
        geometry=replace(deck.geometry(), **given.sizes),
        speed_is_known=deck.speed_is_known or "speed_mm_s" in given.sizes,
    )


@contextmanager
def named(path: Path) -> Iterator[None]:
    """Let whatever `MeasureError` is raised inside name the file."""
    try:
        yield
    except MeasureError as error:
        raise MeasureError(error.found, where=error.where or str(path), do=error.do) from error


def path_of(typed: str) -> Path:
    """The path that was typed, or pasted by a terminal that a file was dropped on.

    Those put it between quotes, write it as a `file:` address, or put a backslash before a space.
    """
    text = typed.strip()
    if len(text) > 1 and text[0] == text[-1] and text[0] in "'\"":
        text = text[1:-1]
    if text.startswith("file:"):
        text = unquote(urlparse(text).path)
    path = Path(text).expanduser()
    if "\\" in text and not path.exists():
        plain = Path(text.replace("\\", "")).expanduser()
        return plain if plain.exists() else path
    return path


def recordings_in(folder: Path) -> tuple[Path, ...]:
    """The sound files of a folder, the newest first; none if it can't be read."""
    try:
        found = [p for p in folder.iterdir() if p.suffix.lower() in ENDINGS and p.is_file()]
        return tuple(sorted(found, key=lambda path: (-path.stat().st_mtime, path.name)))
    except OSError:
        return ()
