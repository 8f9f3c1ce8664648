"""The schema for editors agrees with the reader, and the shipped copy with both."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import yaml
from book_folder import FAMILY, IDLER, BookFolder
from jsonschema import Draft202012Validator

from diag.reading.location import families, family_files, shipped
from diag.reading.schema import json_schema

SHIPPED = Path(__file__).parents[2] / "knowledge" / "knowledge.schema.json"


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    """An outside judge."""
    Draft202012Validator.check_schema(json_schema())
    return Draft202012Validator(json_schema())


def as_json(text: str) -> object:
    """What an editor sees: keys are words, yes and no stay words, ages become words."""
    loaded = yaml.load(text, Loader=yaml.BaseLoader)
    return _typed(loaded)


def _typed(value: object) -> object:
    if isinstance(value, dict):
        return {key: _typed(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_typed(inner) for inner in value]
    words: dict[object, object] = {"": None, "true": True, "false": False}
    if value in words:
        return words[value]
    try:
        return int(str(value))
    except ValueError:
        pass
    try:
        return float(str(value))
    except ValueError:
        return value


def test_shipped_schema_is_the_generated_one() -> None:
    """`benchtrail knowledge schema` prints what is shipped; after a change, write it anew."""
    assert json.loads(SHIPPED.read_text(encoding="utf-8")) == json_schema()


@pytest.mark.parametrize("text", [FAMILY, IDLER])
def test_good_files_fit_the_schema(validator: Draft202012Validator, text: str) -> None:
    """What the reader takes, the schema takes."""
    assert not list(validator.iter_errors(as_json(text)))


def test_shipped_book_fits_the_schema(validator: Draft202012Validator) -> None:
    """Every file of every shipped family fits, too."""
    for family in families(shipped()):
        for path in family_files(shipped() / family):
            errors = list(validator.iter_errors(as_json(path.read_text(encoding="utf-8"))))
            assert not errors, f"{path}: {errors[0].message}"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("takeup_dead: 0.7", "takeup_dead: 1.3"),
        ("cites: [idler_first]", "citse: [idler_first]"),
        ("    says: Idler tyre glazed\n", ""),
        ("minutes: 6", "minutes: -6"),
        ("minutes: 6", "minutes: 6\n    unpowered: hubs_in_play"),
        ("mended_by: [clean_idler]", "mended_by: clean_idler"),
        ("prior: {45: 0.45, 20: 0.10}", "prior: {old: 0.4}"),
        ("strap_wrong: 1.5", "strap_wrong: 0"),
    ],
)
def test_bad_shapes_fit_neither(
    folder: BookFolder, validator: Draft202012Validator, old: str, new: str
) -> None:
    """What the schema refuses, the reader refuses."""
    folder.spoil("reels/idler.yaml", old, new)
    assert list(validator.iter_errors(as_json(IDLER.replace(old, new))))
    assert folder.problems()
