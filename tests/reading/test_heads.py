"""The heads of families, without their books."""

from __future__ import annotations

from pathlib import Path

from diag.reading.heads import Head, first_families, read_heads


def write(root: Path, family: str, text: str) -> None:
    """A head alone, in a folder of its own."""
    (root / family).mkdir(parents=True)
    (root / family / "family.yaml").write_text(text)


def test_heads_are_told_from_root_and_additions(tmp_path: Path) -> None:
    """By name; that a family takes over another counts, whole or in part."""
    write(tmp_path / "books", "tape", "family: tape\nsays: Tape decks\n")
    write(tmp_path / "books", "small", "family: small\nsays: Small ones\ntakes_from: [tape]\n")
    write(tmp_path / "own", "wire", "takes_from: []\nfamily: wire\nsays: Wire recorders\n")
    assert read_heads(tmp_path / "books", tmp_path / "own") == (
        Head("small", "Small ones", takes_over=True),
        Head("tape", "Tape decks", takes_over=False),
        Head("wire", "Wire recorders", takes_over=False),
    )
    assert first_families(tmp_path / "books", tmp_path / "own") == ("tape", "wire")


def test_head_that_cannot_be_read_is_called_by_its_name(tmp_path: Path) -> None:
    """No YAML, no words, and no mapping at all."""
    write(tmp_path, "broken", "family: [\n")
    write(tmp_path, "listed", "- family\n")
    write(tmp_path, "wordless", "family: wordless\nsays: 12\n")
    assert [(head.says, head.takes_over) for head in read_heads(tmp_path)] == [
        (name, False) for name in ("broken", "listed", "wordless")
    ]
