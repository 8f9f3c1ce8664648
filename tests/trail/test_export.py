"""A trail on disk: whole or not at all, and never over another file."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest
from small_case import small_shelf, taken_in

from diag.errors import ExportError
from diag.trail.export import FORMATS, write
from diag.trail.trail import Trail


@pytest.fixture(scope="module")
def trail(tmp_path_factory: pytest.TempPathFactory) -> Trail:
    """The trail of a deck just taken in."""
    return taken_in(small_shelf(tmp_path_factory.mktemp("small"))).tell_trail()


@pytest.mark.parametrize("form", FORMATS)
def test_file_holds_what_the_format_renders(trail: Trail, tmp_path: Path, form: str) -> None:
    """The bytes are those of the renderer, and nothing else is left in the folder."""
    write(trail, form, tmp_path / "trail")
    assert (tmp_path / "trail").read_bytes() == FORMATS[form](trail).encode()
    assert os.listdir(tmp_path) == ["trail"]


def test_file_that_is_there_stays_as_it_is(trail: Trail, tmp_path: Path) -> None:
    """The message names the file and what to do; a dangling link counts as a file."""
    there, link = tmp_path / "a.md", tmp_path / "b.md"
    there.write_text("mine")
    link.symlink_to(tmp_path / "nowhere")
    for path in (there, link):
        with pytest.raises(ExportError, match=r"There is a file of this name.*another name"):
            write(trail, "markdown", path)
    assert there.read_text() == "mine"
    assert sorted(os.listdir(tmp_path)) == ["a.md", "b.md"]


def test_unknown_format_is_told(trail: Trail, tmp_path: Path) -> None:
    """The formats that there are stand in the message, and no file is made."""
    with pytest.raises(ExportError, match="markdown, html, json"):
        write(trail, "docx", tmp_path / "trail")
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize(
    "path", ["missing/a.md", "file/a.md", "n" * 300, "bad\0name", "/proc/a.md", "/"]
)
def test_place_that_takes_no_file_is_told(trail: Trail, tmp_path: Path, path: str) -> None:
    """A folder that is missing, is a file or takes nothing, and names that no file can have."""
    (tmp_path / "file").write_text("")
    with pytest.raises(ExportError):
        write(trail, "html", tmp_path / path)
    assert os.listdir(tmp_path) == ["file"]


def test_full_disk_leaves_no_half_file(
    trail: Trail, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the data can't be brought to disk, nothing of it stays."""

    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ExportError, match=r"No space left.*make room"):
        write(trail, "json", tmp_path / "trail.json")
    assert os.listdir(tmp_path) == []


def test_stick_without_links_takes_the_file(
    trail: Trail, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the file system knows no links the file is whole, too, and never written over."""

    def unknown(*_paths: object) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", unknown)
    write(trail, "json", tmp_path / "trail.json")
    assert (tmp_path / "trail.json").read_bytes() == FORMATS["json"](trail).encode()
    with pytest.raises(ExportError):
        write(trail, "markdown", tmp_path / "trail.json")
    assert os.listdir(tmp_path) == ["trail.json"]
