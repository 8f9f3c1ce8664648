"""Which family a call means that names none."""

from __future__ import annotations

from pathlib import Path

import pytest

from screens.cli.main import main

FAMILY = """\
family: {name}
says: Machines
{more}
layers: {{outside: {{}}}}
symptoms: {{slow: {{says: Runs slow, signs: [slow]}}}}
signs: {{slow: {{says: slow, leak: 0.01}}}}
causes: {{belt: {{says: Belt of {name}, prior: 0.3, shows: {{slow: 0.9}}, mended_by: [fit]}}}}
checks:
  look: {{ask: Slow?, at: outside, minutes: 1, answers: {{yes: {{present: [slow]}}, no: {{}}}}}}
remedies: {{fit: {{says: Fit one, at: outside, minutes: 5, cures: 0.9}}}}
final_test: [look]
"""


def family(root: Path, name: str, more: str = "") -> None:
    """Write a family."""
    (root / name).mkdir(parents=True)
    (root / name / "family.yaml").write_text(FAMILY.format(name=name, more=more))


def test_family_that_takes_over_from_no_other_is_meant(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whatever their order by name; another is meant once it is named."""
    family(tmp_path, "wire")
    family(tmp_path, "reel", "takes_from: [wire]")
    at = ("--knowledge", str(tmp_path))
    assert main(["tree", "slow", *at]) == 0
    assert "Belt of wire" in capsys.readouterr().out
    assert main(["tree", "slow", "--family", "reel", *at]) == 0
    assert "Belt of reel" in capsys.readouterr().out
    call = ["knowledge", "simulate", "--decks", "2", "--policy", "planner", "--jobs", "1"]
    assert main([*call, *at]) == 0


def test_several_that_stand_on_their_own_must_be_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The call says which there are."""
    family(tmp_path, "wire")
    family(tmp_path, "reel")
    at = ("--knowledge", str(tmp_path))
    assert main(["tree", "slow", *at]) == 2
    assert "several books have the symptom 'slow': reel, wire." in capsys.readouterr().err
    assert main(["knowledge", "simulate", "--decks", "2", *at]) == 2
    assert "reel, wire" in capsys.readouterr().err
