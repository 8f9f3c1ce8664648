"""A kept book is the book that its files make, or it does not count."""

from __future__ import annotations

import os
import pickle
from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

import pytest
from book_folder import IDLER, BookFolder

from diag.errors import KnowledgeError
from diag.model.book import Book
from diag.reading import book_cache as module
from diag.reading import family
from diag.reading.book import read_book
from diag.reading.book_cache import MAGIC, BookCache, book_cache
from diag.reading.location import find


class Kept:
    """A small book, its cache, and whether the last reading had to read files."""

    def __init__(self, folder: BookFolder, cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.folder = folder
        self.cache = cache
        self.files_read = 0
        read = family.read_yaml

        def counted(path: Path, shown: str) -> object:
            self.files_read += 1
            return read(path, shown)

        monkeypatch.setattr(family, "read_yaml", counted)

    def read(self, additions: Path | None = None) -> Book:
        """The book, from the cache if that counts."""
        self.files_read = 0
        return read_book(self.folder.root, "tape", additions, self.cache)

    @property
    def file(self) -> Path:
        """The one kept book."""
        (found,) = self.cache.iterdir()
        return found

    def place(self) -> BookCache:
        """Where the book of these files is kept."""
        found = book_cache(self.cache, *find(self.folder.root, "tape"))
        assert found is not None
        return found


@pytest.fixture
def kept(folder: BookFolder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Kept:
    """A book that was read once."""
    found = Kept(folder, tmp_path / "cache", monkeypatch)
    found.read()
    assert found.files_read == 2
    return found


def test_kept_book_is_the_book(kept: Kept) -> None:
    """The same in every entry and origin, and no file is parsed for it."""
    book, plain = kept.read(), kept.folder.read()
    kept.files_read = 0
    book = kept.read()
    assert kept.files_read == 0
    assert book == plain
    assert book.digest == plain.digest
    assert [str(c.origin) for c in book.causes.values()] == ["tape/reels/idler.yaml:8"]
    assert book.checks["hubs_in_play"].evidence == plain.checks["hubs_in_play"].evidence
    assert book.ways == plain.ways


def test_one_byte_changes_the_result(kept: Kept) -> None:
    """Size and time of the file are as they were; its bytes count."""
    path = kept.folder.folder / "reels/idler.yaml"
    before = path.stat()
    kept.folder.spoil("reels/idler.yaml", "45: 0.45", "45: 0.46")
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert path.stat().st_size == before.st_size
    assert kept.read().causes["idler_glazed"].prior.by_age[1] == (45, 0.46)
    assert kept.files_read > 0
    kept.read()
    assert kept.files_read == 0, "it is kept anew, in the same place"
    assert len(list(kept.cache.iterdir())) == 1


def test_new_file_changes_the_result(kept: Kept) -> None:
    """Also one that only renames another would: names are part of what was read."""
    kept.folder.put("more.yaml", "signs: {new_sign: {says: new, leak: 0.1}}")
    assert "new_sign" in kept.read().signs
    (kept.folder.folder / "more.yaml").rename(kept.folder.folder / "other.yaml")
    assert kept.read().signs["new_sign"].origin.path == "tape/other.yaml"


def test_other_code_does_not_take_it(kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    """A book kept by another version of the reading code does not count."""
    monkeypatch.setattr(module, "_code", lambda: b"another")
    kept.read()
    assert kept.files_read > 0


def test_fingerprint_of_the_code_follows_its_sources(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another byte in one module gives another fingerprint; no sources give none."""
    (tmp_path / "a.py").write_text("x = 1")
    monkeypatch.setattr(module.diag.model, "__path__", [str(tmp_path)])
    before = module._code()
    assert before == module._code()
    (tmp_path / "a.py").write_text("x = 2")
    assert module._code() != before
    (tmp_path / "a.py").unlink()
    assert module._code() is None


@pytest.mark.parametrize(
    "spoil",
    [
        lambda raw: raw[: len(raw) // 2],
        lambda raw: raw[:-1],
        lambda raw: raw[:-9] + bytes([raw[-9] ^ 1]) + raw[-8:],
        lambda raw: b"",
        lambda raw: b"something else altogether",
        lambda raw: MAGIC + raw[len(MAGIC) :][::-1],
    ],
    ids=["half", "a byte short", "a bit flipped", "empty", "foreign", "turned round"],
)
def test_damaged_cache_is_survived_and_written_anew(
    kept: Kept, spoil: Callable[[bytes], bytes]
) -> None:
    """The book comes from its files, and the next time from the cache again."""
    kept.file.write_bytes(spoil(kept.file.read_bytes()))
    assert kept.read() == kept.folder.read()
    kept.read()
    assert kept.files_read == 0


def test_folder_that_cannot_be_written_is_survived(
    folder: BookFolder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither a read-only folder nor a file in its place stops anybody."""
    (tmp_path / "file").write_text("in the way")
    (tmp_path / "read_only").mkdir(mode=0o500)
    for place in ("file", "read_only"):
        assert read_book(folder.root, "tape", None, tmp_path / place) == folder.read()
    refused = PermissionError(13, "Permission denied")

    def refuse(*_: object) -> None:
        raise refused

    # Whoever may write everything is not held up by a mode; the system's refusal is the same.
    monkeypatch.setattr(os, "replace", refuse)
    assert read_book(folder.root, "tape", None, tmp_path / "cache") == folder.read()
    assert not list((tmp_path / "cache").iterdir()), "nothing half written is left behind"


@pytest.mark.parametrize(("mode", "counts"), [(0o600, True), (0o620, False), (0o602, False)])
def test_file_that_others_may_write_does_not_count(kept: Kept, mode: int, counts: bool) -> None:
    """Whoever may write it could have put another book there."""
    kept.place().keep(replace(kept.folder.read(), says="planted"))
    kept.file.chmod(mode)
    assert (kept.read().says == "planted") is counts


def test_link_to_a_book_does_not_count(kept: Kept, tmp_path: Path) -> None:
    """Only a plain file of the user's own in that place."""
    kept.file.rename(tmp_path / "elsewhere")
    (kept.place().file).symlink_to(tmp_path / "elsewhere")
    kept.read()
    assert kept.files_read > 0


class Runs:
    """What a planted file would have the reader do."""

    def __reduce__(self) -> tuple[object, tuple[str]]:
        """Make a folder."""
        return os.mkdir, ("planted",)


@pytest.mark.parametrize("planted", [Runs(), [1, 2], BookFolder], ids=["call", "list", "class"])
def test_planted_file_runs_nothing(
    kept: Kept, planted: object, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not even one that passes every other test; the book comes from its files."""
    monkeypatch.chdir(tmp_path)
    body = pickle.dumps(planted)
    place = kept.place()
    place.file.write_bytes(MAGIC + place.fingerprint + sha256(body).digest() + body)
    assert kept.read() == kept.folder.read()
    assert not (tmp_path / "planted").exists()


def test_additions_are_part_of_what_is_kept(kept: Kept, tmp_path: Path) -> None:
    """With them, without them and after a change of them, each gets its own book."""
    mine = tmp_path / "mine" / "tape" / "my.yaml"
    mine.parent.mkdir(parents=True)
    mine.write_text("signs: {new_sign: {says: new, leak: 0.1}}")
    for _ in range(2):
        assert "new_sign" in kept.read(tmp_path / "mine").signs
        assert "new_sign" not in kept.read().signs
    assert kept.files_read == 0
    mine.write_text("signs: {new_sign: {says: new, leak: 0.2}}")
    assert kept.read(tmp_path / "mine").signs["new_sign"].leak == 0.2


def test_spoilt_book_is_told_though_a_good_one_is_kept(kept: Kept) -> None:
    """A problem is a problem, whatever was there before."""
    kept.folder.put("reels/idler.yaml", IDLER.replace("cures: 0.6", "curse: 0.6"))
    with pytest.raises(KnowledgeError):
        kept.read()


def test_book_that_changes_while_it_is_read_is_not_kept(
    kept: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else what was read would stand for what was there before."""
    kept.folder.spoil("reels/idler.yaml", "45: 0.45", "45: 0.46")
    counted = family.read_yaml

    def changing(path: Path, shown: str) -> object:
        if path.name == "idler.yaml":
            kept.folder.put("reels/idler.yaml", IDLER.replace("45: 0.45", "45: 0.47"))
        return counted(path, shown)

    monkeypatch.setattr(family, "read_yaml", changing)
    kept.read()
    monkeypatch.setattr(family, "read_yaml", counted)
    kept.folder.spoil("reels/idler.yaml", "45: 0.47", "45: 0.46")
    assert kept.read().causes["idler_glazed"].prior.by_age[1] == (45, 0.46)
