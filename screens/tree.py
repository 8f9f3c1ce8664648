"""The decision tree of a complaint: fold, unfold, and read each step in full."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from rich.console import Group, RenderableType
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static, Tree
from textual.widgets.tree import TreeNode

from diag.errors import BenchtrailError
from screens.actions import bindings
from screens.dialogs.choose import Choose, Item
from screens.dialogs.page import Reading
from screens.engine_screen import EngineScreen
from screens.export import ask_path, proposed
from screens.widgets.key_bar import KeyBar
from screens.widgets.lines import LABEL, LOUD, QUIET, keyed, labelled, spaced

if TYPE_CHECKING:
    from diag.planning.tree.told import Sheet, Told
    from diag.planning.tree.values import Tree as Compiled
    from diag.session.session import Session

FORMATS = (
    Item("html", "HTML", "one page that prints on A4"),
    Item("md", "Markdown", "plain text that any editor reads"),
    Item("tree", "Text", "branches drawn with lines"),
)
ENDINGS = {"html": ".html", "md": ".md", "tree": ".txt"}
UNFOLDED = 2
"""Levels that are unfolded at first."""
TICK_S = 0.2


async def show_tree(screen: EngineScreen, session: Session) -> None:
    """Show the tree of the complaint; of several, or of all if none was told, ask which."""
    book, told = session.book, session.snapshot.state.history.symptoms
    known = [name for name in told if name in book.symptoms] or list(book.symptoms)
    if len(known) > 1:
        items = [Item(name, book.symptoms[name].says) for name in known]
        chosen = await screen.app.push_screen_wait(Choose("A tree for which complaint?", items))
        known = list(chosen or ())
    if known:
        screen.app.push_screen(TreeScreen(session, known[0]))


class StepTree(Tree["Told"], inherit_bindings=False):
    """The tree itself; its keys stand in the registry like all others."""


class TreeScreen(EngineScreen):
    """What to do about one complaint of a deck like the one of a case.

    Args:
        session: the case, for its family, its traits and its age.
        symptom: the complaint.
    """

    CSS_PATH = "tree.tcss"
    PLACE = "tree"
    BINDINGS: ClassVar[list[BindingType]] = bindings(PLACE)
    AUTO_FOCUS = "#tree"

    def __init__(self, session: Session, symptom: str) -> None:
        super().__init__()
        self.session = session
        self.symptom = symptom
        self.compiled: Compiled | None = None
        self._share = 0.0
        self._cautions: Mapping[str, tuple[str, str]] = {}

    def compose(self) -> ComposeResult:
        """Title, tree, the marked step in full, keys."""
        yield Static(id="case")
        yield StepTree("", id="tree")
        with VerticalScroll(id="whole", can_focus=False):
            yield Static(id="step")
        yield KeyBar(self.PLACE, self.offers, lines=1)

    def on_mount(self) -> None:
        """Begin to work the tree out, and tell how far that is."""
        tree = self.query_one(StepTree)
        tree.show_root = False
        tree.guide_depth = 2
        tree.auto_expand = False
        self._tick = self.set_interval(TICK_S, self._tell_share)
        self._tell_share()
        self.start(self._compile)

    def offers(self, action: str) -> bool:
        """Before the tree is there, one can only go back."""
        if action == "cautions":
            told = self._marked()
            return told is not None and bool(told.hazards)
        return self.compiled is not None or action == "back"

    def action_mark(self, way: int) -> None:
        """Mark the line above or below."""
        tree = self.query_one(StepTree)
        if way > 0:
            tree.action_cursor_down()
        else:
            tree.action_cursor_up()

    def action_turn(self) -> None:
        """Fold or unfold what follows from the marked line."""
        if node := self.query_one(StepTree).cursor_node:
            node.toggle()

    def action_fold(self) -> None:
        """Fold the marked line, or go to the one that led to it."""
        tree = self.query_one(StepTree)
        node = tree.cursor_node
        if node and node.is_expanded and node.children:
            node.collapse()
        elif node and node.parent and not node.parent.is_root:
            tree.move_cursor(node.parent)

    def action_unfold(self) -> None:
        """Unfold the marked line, or go to its first answer."""
        tree = self.query_one(StepTree)
        node = tree.cursor_node
        if node and node.children:
            if node.is_expanded:
                tree.move_cursor(node.children[0])
            else:
                node.expand()

    def action_page(self, way: int) -> None:
        """Scroll the step in full."""
        whole = self.query_one("#whole")
        whole.scroll_relative(y=way * max(1, whole.size.height - 1), animate=False)

    def action_cautions(self) -> None:
        """Read in full what stands before the marked step."""
        told = self._marked()
        names = [name for _, short in (told.hazards if told else ()) for name in short]
        known = [(name, *self._cautions[name]) for name in names]
        body = [labelled(f"{word} {name}", says) for name, word, says in known]
        self.app.push_screen(Reading("Before this step", spaced(body)))

    def action_export(self) -> None:
        """Write the tree to a file."""
        self.start(self._export)

    def action_back(self) -> None:
        """Back to the bench."""
        self.dismiss()

    @on(Tree.NodeHighlighted)
    def show_step(self, event: Tree.NodeHighlighted[Told]) -> None:
        """The marked step in full, as lines cut long ones off."""
        if event.node.data is not None:
            self.query_one("#step", Static).update(_in_full(event.node.data))
            self.query_one("#whole").scroll_home(animate=False)
            self.refresh_keys()

    def _marked(self) -> Told | None:
        node = self.query_one(StepTree).cursor_node
        return node.data if node else None

    async def _compile(self) -> None:
        # Here and not above: it brings in numpy, and the first screen must not wait.
        from diag.planning.tree.told import sheet_of

        state = self.session.snapshot.state
        found = await self.ask(
            lambda: self.engine.shelf().compile_tree(
                state.family, state.deck, self.symptom, self._settled
            )
        )
        self._tick.stop()
        if found is None:
            self.dismiss()
            return
        self.compiled = found
        self._draw(sheet_of(found))

    def _settled(self, share: float) -> None:
        """Called in the thread that works: keep its share, and stop it when nobody waits."""
        if not self.is_attached:
            raise BenchtrailError("The tree was left before it was worked out.")
        self._share = share

    def _tell_share(self) -> None:
        says = self.session.book.symptoms[self.symptom].says
        line = Text.assemble((says, LABEL), f"\nWorking the tree out: {self._share:.0%}")
        self.query_one("#case", Static).update(line)

    def _draw(self, sheet: Sheet) -> None:
        title = Text.assemble((sheet.title, LABEL), f"\n{sheet.about}", no_wrap=True)
        title.overflow = "ellipsis"
        self.query_one("#case", Static).update(title)
        self._cautions = {short: (word, says) for word, short, says in sheet.cautions}
        tree = self.query_one(StepTree)
        self._add(tree.root, sheet.root, UNFOLDED)
        tree.root.expand()
        tree.move_cursor(tree.root.children[0])

    def _add(self, above: TreeNode[Told], told: Told, unfolded: int) -> None:
        label = _in_short(told)
        if not told.below:
            above.add_leaf(label, told)
            return
        node = above.add(label, told, expand=unfolded > 0)
        for below in told.below:
            self._add(node, below, unfolded - 1)

    async def _export(self) -> None:
        tree = self.compiled
        chosen = await self.app.push_screen_wait(Choose("Write the tree as", FORMATS))
        if not chosen or tree is None:
            return
        form = chosen[0]
        path = await ask_path(self, proposed(f"{self.symptom} tree", ENDINGS[form]))
        if path is not None and await self.ask(lambda: _write(tree, form, path)):
            self.app.notify(f"Written: {path}", markup=False)


def _write(tree: Compiled, form: str, path: Path) -> bool:
    from diag.planning.tree.export import write

    write(tree, form, path)
    return True


def _in_short(told: Told) -> Text:
    """An answer and where it leads, in one line."""
    led = f"{told.chance} {told.answer} ".lstrip() if told.answer else ""
    if told.is_end:
        first = " ".join(told.causes[0]) if told.causes else told.note
        return Text.assemble((led, LABEL), (f"= {first}", QUIET))
    led = f"{led}→ " if led else ""
    words = tuple((f"{word} ", LABEL) for word, _ in told.hazards if word == "DANGER")
    return Text.assemble((led, LABEL), *words, told.does)


def _in_full(told: Told) -> RenderableType:
    """A step with its cautions before it, its minutes and its reason; or an end."""
    parts: list[RenderableType] = []
    if told.causes:
        parts.append(keyed(told.causes, width=5))
    if told.note:
        parts.append(Text(told.note))
    for word, names in told.hazards:
        parts.append(Text.assemble((f" {word} ", LOUD), f" {', '.join(names)}"))
    if told.does:
        parts.append(Text(told.does, LABEL))
        parts.append(Text("; ".join(filter(None, (told.cost, told.spent))), QUIET))
    if told.why:
        parts.append(labelled("Why", told.why))
    if told.rare:
        parts.append(Text(told.rare, QUIET))
    return Group(*parts)
