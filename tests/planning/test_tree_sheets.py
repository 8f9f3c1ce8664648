"""A compiled tree laid out: Markdown, HTML and plain text say the same, and nothing is markup."""

from __future__ import annotations

import re
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pytest
from book_folder import BookFolder

from diag.errors import ExportError
from diag.model.trait import Deck
from diag.planning.tree.compile import compile_tree
from diag.planning.tree.export import RENDERERS, write
from diag.planning.tree.plain import WIDTH
from diag.planning.tree.told import HOW_TO_READ, Told, sheet_of
from diag.planning.tree.values import Tree
from diag.rules.rulebook import Rulebook

FAMILY = """\
family: tape
says: Machines <of> this *test*
traits:
  drive: {ask: 'What drives it?', one_of: [belt, idler]}
layers:
  outside: {}
  lid: {says: Lid off, under: outside, open: 3, close: 2, cautions: [mains]}
symptoms:
  silent: {says: No sound <script>alert(1)</script>, signs: [silent], walk: silent}
walks:
  silent: {check: listen, why: It costs nothing., then: {silent: {check: look_belt}}}
"""

BENCH = """\
signs:
  silent: {says: no sound, leak: 0.01}
  odd: {says: odd, leak: 0.001}
  belt_hangs: {says: the belt hangs, leak: 0.01}
causes:
  worn_belt:
    says: Worn *belt* & more
    prior: 0.3
    shows: {silent: 0.9, belt_hangs: 0.9}
    mended_by: [renew]
  mute: {says: Mute stuck, prior: 0.3, shows: {silent: 0.9}}
checks:
  listen:
    ask: Is there [sound](x)?
    at: outside
    minutes: 1
    answers:
      odd: {says: An odd one, present: [odd]}
      silent: {says: 'None, <b>none</b>', present: [silent]}
      sound: {says: There is}
  look_belt:
    ask: Does the belt hang?
    at: lid
    minutes: 2
    answers: {hangs: {says: It hangs, present: [belt_hangs]}, firm: {says: Firm}}
remedies:
  renew: {says: Renew the belt, minutes: 20, at: lid, cures: 0.95}
cautions:
  mains: {says: Mains <inside>., severity: danger, do: Unplug it.}
"""

Render = Callable[[Tree], str]


class Outline(HTMLParser):
    """Collects the tags that are open, and the text."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: set[str] = set()
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Remember what opens."""
        self.tags.add(tag)
        if tag not in {"meta", "br"}:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        """What closes is what was opened last."""
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        """Keep the text."""
        self.text += data


@pytest.fixture
def tree(tmp_path: Path) -> Tree:
    """A tree of a book whose words could be taken for markup."""
    folder = BookFolder(tmp_path)
    folder.put("family.yaml", FAMILY)
    folder.put("reels/idler.yaml", BENCH)
    book = folder.read()
    return compile_tree(Rulebook(book), book, Deck(traits={"drive": "belt"}), "silent")


def every(told: Told) -> list[Told]:
    """A step and all below it."""
    return [told, *(each for below in told.below for each in every(below))]


def test_sheet_tells_every_step_and_end(tree: Tree) -> None:
    """As many as the tree has; each end has its causes, its minutes and what comes next."""
    told = every(sheet_of(tree).root)
    assert len([each for each in told if each.is_end]) == len(tree.leaves)
    assert len(told) == len(tree.nodes) + len(tree.leaves)
    for each in told:
        assert each.spent.endswith(" min so far")
        assert bool(each.causes) == each.is_end
        assert each.does or each.note


def test_sheet_names_what_stands_before_a_step(tree: Tree) -> None:
    """Opening the lid has its danger before it, and the page has the danger in full."""
    sheet = sheet_of(tree)
    look, *_ = [each for each in every(sheet.root) if each.does == "Does the belt hang?"]
    assert look.hazards == (("DANGER", ("mains",)),)
    assert look.cost == "2 min, and 5 min to open and close: lid"
    assert sheet.cautions == (("DANGER", "mains", "Mains <inside>. Unplug it."),)
    assert sheet.layers == (("lid", "Lid off"),)


def test_rare_answers_are_named(tree: Tree) -> None:
    """What is not followed is told at its check."""
    assert sheet_of(tree).root.rare == "Rare here, and not followed: An odd one."


@pytest.mark.parametrize("form", RENDERERS)
def test_every_layout_says_all(tree: Tree, form: str) -> None:
    """How to read it, every step, the minutes of every end, the cautions, the kind of deck."""
    text = RENDERERS[form](tree)
    assert text.endswith("\n")
    bare = re.sub(r"[│├└─\\]|<[^>]*>", " ", text)
    words = " ".join(bare.split()).replace("&lt;", "<").replace("&#x27;", "'")
    assert HOW_TO_READ in words
    assert "drive: belt" in words
    for each in every(sheet_of(tree).root):
        assert each.does.partition("[")[0].strip() in words
        assert not each.is_end or each.spent in words
    assert "Unplug it." in words
    assert words.index("Unplug it.") < words.index("Is there")


def test_html_takes_no_text_for_markup(tree: Tree) -> None:
    """Every tag is closed in order, and none of them comes from the book."""
    outline = Outline()
    outline.feed(RENDERERS["html"](tree))
    assert outline.open == []
    assert outline.tags.isdisjoint({"script", "of", "inside"})
    assert "No sound <script>alert(1)</script>" in outline.text
    assert "None, <b>none</b>" in outline.text
    assert "Worn *belt* & more" in outline.text


def test_markdown_takes_no_text_for_markup(tree: Tree) -> None:
    """Signs of markup are escaped, and an answer stands one level below its question."""
    lines = RENDERERS["md"](tree).splitlines()
    assert lines[0] == r"# No sound \<script\>alert(1)\</script\>"
    (ask,) = [line for line in lines if "Is there" in line]
    assert ask.startswith(r"- Is there \[sound\](x)? (1 min)")
    (none,) = [line for line in lines if "None" in line]
    assert none.startswith(r"    - **None, \<b\>none\</b\>** (")
    assert r"Worn \*belt\* \& more" in "\n".join(lines)


def test_plain_text_fits_a_terminal(tree: Tree) -> None:
    """No line is wider than a dumb terminal, and branches are drawn."""
    lines = RENDERERS["tree"](tree).splitlines()
    assert max(map(len, lines)) <= WIDTH
    assert any(line.startswith("└─ ") for line in lines)
    assert any(line.startswith("├─ ") for line in lines)


def test_tree_is_never_written_over_a_file(tree: Tree, tmp_path: Path) -> None:
    """The second time there is an error, and the file is as before."""
    path = tmp_path / "wall.html"
    write(tree, "html", path)
    before = path.read_bytes()
    with pytest.raises(ExportError):
        write(tree, "md", path)
    assert path.read_bytes() == before == RENDERERS["html"](tree).encode()
