"""YAML is read by the core schema of YAML 1.2, and what could hurt is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.reading.yaml_nodes import Node, core_value, parse, read_yaml


def scalars(text: str) -> list[object]:
    """The values of a one-line list."""
    node, problems = parse(text, "x")
    assert not problems
    assert node is not None
    return [item.scalar for item in node.items]


def test_core_schema_is_followed() -> None:
    """YAML 1.2.2 section 10.3.2: its own examples of plain scalars."""
    assert scalars("[null, ~, true, False, 0, 0o7, 0x3A, -19]") == [
        None, None, True, False, 0, 7, 58, -19,
    ]  # fmt: skip
    assert scalars("[0., -0.0, .5, +12e03, -2E+05]") == [0.0, -0.0, 0.5, 12000.0, -200000.0]
    assert scalars("[.inf, -.Inf, +.INF]") == [float("inf"), float("-inf"), float("inf")]


def test_words_of_yaml_1_1_are_words() -> None:
    """yes, no, on, off, sexagesimals and dates stay text."""
    words = ["yes", "no", "on", "off", "y", "n", "12:30:45", "2001-12-14", "1_000", "0b1"]
    assert scalars(f"[{', '.join(words)}]") == words
    assert scalars("['5', \"true\"]") == ["5", "true"]


def test_lines_are_those_of_the_file() -> None:
    """Every value knows its line."""
    node, _ = parse("a: 1\nb:\n  - 2\n  - {c: 3}\n", "x")
    assert isinstance(node, Node)
    (_, one), (_, listed) = node.pairs
    assert (one.line, [item.line for item in listed.items]) == (1, [3, 4])


def test_alias_bomb_is_refused() -> None:
    """Anchors that would expand to a billion values are refused at once."""
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 10)]
    node, problems = parse("\n".join(lines), "bomb.yaml")
    assert node is None
    assert "expands to more than" in problems[0].found


def test_harmless_anchor_is_read() -> None:
    """An anchor that expands to little is allowed."""
    node, problems = parse("a: &it [1, 2]\nb: *it\n", "x")
    assert not problems
    assert node is not None
    assert node.pairs[1][1].items[1].scalar == 2


@pytest.mark.parametrize("text", ["&a [*a]", "[*b]", "a: &x {b: *x}"])
def test_anchor_of_itself_or_of_nothing_is_refused(text: str) -> None:
    """An alias must refer to something that is complete."""
    _, problems = parse(text, "x")
    assert problems


@pytest.mark.parametrize("text", ["[" * 5000, "a: " * 300 + "b", "- " * 3000])
def test_deep_nesting_is_refused(text: str) -> None:
    """Deep nesting ends in a problem, never in an overflow."""
    _, problems = parse(text, "x")
    assert problems


def test_large_file_is_refused_unread(tmp_path: Path) -> None:
    """5 MB of junk give one clear problem."""
    path = tmp_path / "junk.yaml"
    path.write_bytes(b"\xff" * 5_000_000)
    _, (problem,) = read_yaml(path, "junk.yaml")
    assert "5,000,000 bytes" in problem.found


def test_binary_and_missing_files_are_told(tmp_path: Path) -> None:
    """Text that is not UTF-8 is told with its line, a missing file with the reason."""
    path = tmp_path / "a.yaml"
    path.write_bytes(b"a: 1\nb: \xff\n")
    _, (problem,) = read_yaml(path, "a.yaml")
    assert (problem.line, problem.found) == (2, "this is not UTF-8 text.")
    _, (problem,) = read_yaml(tmp_path / "no.yaml", "no.yaml")
    assert "can't be read" in problem.found


@given(st.text(max_size=200))
def test_any_text_gives_a_tree_or_problems(text: str) -> None:
    """No text whatever raises."""
    node, problems = parse(text, "x")
    assert node is None or isinstance(node, Node)
    assert all(problem.line >= 1 for problem in problems)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_survive(value: float) -> None:
    """Every number that Python prints is read as that number."""
    assert core_value(repr(value)) == value
