"""Each format says the whole trail, byte for byte the same, and takes text as text."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import fields, replace
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_case import golden_trail

from diag.cases.captured import Likely
from diag.model.clean import markdown_text, plain
from diag.trail.before_after import Compared, Taken
from diag.trail.export import ENDINGS, FORMATS
from diag.trail.html import html
from diag.trail.json_file import json_text
from diag.trail.judged import Judged
from diag.trail.lists import figure_cells, judged_cells, recordings_of
from diag.trail.markdown import markdown
from diag.trail.trail import Belief, PartTold, RemedyTold, ThumbTold, Trail

GOLDEN = Path(__file__).parent / "golden"

HOSTILE = '<script src="http://x.example/a.js">1</script> [k](http://y) `c` **b** & "q" \x1b[31m'


@pytest.fixture(scope="module")
def trail(tmp_path_factory: pytest.TempPathFactory) -> Trail:
    """The trail of a case of every kind of event."""
    return golden_trail(tmp_path_factory.mktemp("small"))


@pytest.fixture(scope="module")
def hostile(trail: Trail) -> Trail:
    """The same with a text that would act in every place that takes text from outside."""
    belief = Belief("x", HOSTILE, 0.5)
    step = replace(
        trail.steps[-1],
        says=HOSTILE,
        before=(belief,),
        after=(belief,),
        thumbs=(ThumbTold(HOSTILE, "published", HOSTILE),),
    )
    (speed,) = trail.measured
    (pair,), (row,) = speed.curves, speed.rows
    assert pair.before is not None
    # A case keeps no control characters in these.
    told = plain(HOSTILE)
    line = replace(pair.before, name="x", says=told, x_unit=told, y_unit=told)
    heard = Taken(
        event=1,
        at=step.at,
        file=HOSTILE,
        remarks=(HOSTILE,),
        likely=(Likely(says=told, chance=0.5),),
        source=HOSTILE,
    )
    measured = Compared(
        what=HOSTILE,
        before=heard,
        after=None,
        rows=(replace(row, says=HOSTILE, unit=HOSTILE),),
        curves=(replace(pair, says=HOSTILE, before=line, after=None),),
    )
    assert trail.judged is not None
    wanted = replace(trail.judged.rows[0], says=HOSTILE, wanted=HOSTILE)
    return replace(
        trail,
        judged=Judged(
            says=HOSTILE, source=HOSTILE, rows=(wanted,), missing=(HOSTILE,), trouble=HOSTILE
        ),
        measured=(measured,),
        name=HOSTILE,
        family=HOSTILE,
        story=HOSTILE,
        known=((HOSTILE, HOSTILE),),
        complaints=(HOSTILE,),
        concluded=(HOSTILE,),
        ranking=(belief,),
        open_questions=(HOSTILE,),
        open_layers=(HOSTILE,),
        remedies=(RemedyTold(HOSTILE, "done", (HOSTILE,), HOSTILE),),
        thumbs=(ThumbTold(HOSTILE, "published", HOSTILE),),
        left_out=(HOSTILE,),
        trouble=HOSTILE,
        begun_with=HOSTILE,
        steps=(step,),
    )


class Page(HTMLParser):
    """What an HTML page consists of."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: set[str] = set()
        self.words: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note the tag and its attributes."""
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}

    def handle_data(self, data: str) -> None:
        """Note the words."""
        self.words.append(data)


@pytest.mark.parametrize("form", ["markdown", "html"])
def test_part_of_work_that_is_done_may_be_used_up(trail: Trail, form: str) -> None:
    """A swab isn't fitted; a file for programs has the word of the case."""
    swabs = PartTold(part="swabs", work="", state="fitted", count=1, price=None, note="")
    told = replace(trail, parts=(swabs,))
    assert "1 x swabs: fitted or used" in FORMATS[form](told)
    assert json.loads(json_text(told))["parts"][0]["state"] == "fitted"


@pytest.mark.parametrize("form", FORMATS)
def test_format_is_byte_for_byte_as_before(trail: Trail, form: str) -> None:
    """The rendered bytes are those of the golden file."""
    golden = GOLDEN / f"small_case{ENDINGS[form]}"
    assert FORMATS[form](trail).encode() == golden.read_bytes()


@pytest.mark.parametrize("render", [markdown, html], ids=["markdown", "html"])
def test_format_leaves_nothing_out(trail: Trail, render: Callable[[Trail], str]) -> None:
    """Every text of the trail stands in the document."""
    words = unescape(render(trail)).replace("\\", "")
    told = [trail.name, trail.story, trail.verdict, *trail.complaints, *trail.concluded]
    told += [step.says for step in trail.steps] + [belief.says for belief in trail.ranking]
    told += [*trail.open_questions, *trail.open_layers, *(r.says for r in trail.remedies)]
    told += [caution.says for step in trail.steps for caution in step.cautions]
    told += [row.says for compared in trail.measured for row in compared.rows]
    told += [cell for c in trail.measured for row in c.rows for cell in figure_cells(row)]
    told += [line for c in trail.measured for lines in recordings_of(c) for line in lines]
    assert trail.judged is not None
    told += [cell for row in trail.judged.rows for cell in judged_cells(row)]
    told += [trail.judged.says, trail.judged.source, *trail.judged.missing]
    told += [thumb.standing for thumb in trail.thumbs] + [value for _, value in trail.known]
    assert [text for text in told if text not in words] == []


def test_json_has_every_field(trail: Trail) -> None:
    """The document reads back as the fields of the trail, with its version first."""
    read = json.loads(json_text(trail))
    assert list(read) == ["benchtrail_trail", *(field.name for field in fields(Trail))]
    assert read["steps"][0]["at"] == "2026-03-01T09:00:00+00:00"
    known = [belief.probability for belief in trail.ranking]
    assert [belief["probability"] for belief in read["ranking"]] == pytest.approx(known, rel=1e-11)


def test_page_needs_nothing_from_elsewhere(trail: Trail, hostile: Trail) -> None:
    """No script, link, picture or frame, and no attribute or style that fetches one."""
    for page in (html(trail), html(hostile)):
        found = Page(page)
        assert not found.tags & {"script", "link", "img", "iframe", "object", "embed", "base", "a"}
        assert not found.attributes & {"src", "href", "srcset", "action", "onload", "onclick"}
        style = re.findall(r"<style>(.*?)</style>", page, re.DOTALL)
        assert len(style) == 1
        assert not re.search(r"url\(|@import", style[0])


def test_page_shows_hostile_text_as_text(trail: Trail, hostile: Trail) -> None:
    """The same tags as without it, and its characters to be read in every place."""
    found = Page(html(hostile))
    assert found.tags <= Page(html(trail)).tags | {"p"}
    # Twice the name, five in the step, three in the remedy, two each in thumb and trait, ten more;
    # of the measurement its title, three in the table, three of the recording, five in the curve;
    # six of what it was held against.
    assert "".join(found.words).count(plain(HOSTILE)) == 42
    assert "\x1b" not in html(hostile)


def test_markdown_escapes_hostile_text(hostile: Trail) -> None:
    """Nothing of it is left that Markdown would take for markup."""
    text = markdown(hostile)
    assert "\x1b" not in text
    for mark in ("<script", "](http", "`c`", "**b**", "& "):
        assert not re.search(rf"(?<!\\){re.escape(mark)}", text)


@given(text=st.text(max_size=40))
@settings(max_examples=200, deadline=None)
def test_markdown_text_is_one_line_whose_marks_are_escaped(text: str) -> None:
    """Taking the escapes out gives the plain text again, and it fits on one line."""
    escaped = markdown_text(text)
    assert len(escaped.splitlines()) <= 1
    assert re.sub(r"\\(.)", r"\1", escaped) == plain(text)
    assert not re.search(r"(?<!\\)(?:\\\\)*[`*_<\[|&~]", escaped)


@pytest.mark.parametrize(
    ("text", "escaped"),
    [
        ("1. not a list", r"1\. not a list"),
        ("- not a list", r"\- not a list"),
        ("12) not a list", r"12\) not a list"),
        ("# no heading", r"\# no heading"),
        ("+ not a list", r"\+ not a list"),
        ("=====", r"\====="),
        ("2.5 % slow (fairly sure)", r"2\.5 % slow (fairly sure)"),
        ("two\nlines", "two lines"),
        ("right\u202eleft", "right left"),
    ],
)
def test_beginning_of_a_line_makes_no_list(text: str, escaped: str) -> None:
    """A number or a dash at the beginning stays what it is; line ends become spaces."""
    assert markdown_text(text) == escaped
