"""From the planner to a tree: every answer that is likely enough, worked out in advance.

The complaint is what the owner says, so it stays soft evidence until a check asks for its signs.
Its authored walk leads, or, where there is none, what the intake asks of it; then the planner. A
tree is about one complaint, so that only what can tell of the causes of the complaint, and of signs
found on the way, is asked or mended. The rest of the intake, which every deck answers anyhow, is
left out, but for what shows whether a repair has helped.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from diag.errors import UnknownId
from diag.inference.network import network
from diag.inference.posterior import solve
from diag.inference.what_if import what_if
from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened
from diag.model.nearest import nearest
from diag.model.trait import Deck
from diag.planning.cautions import cautions_before
from diag.planning.next_step import NextStep
from diag.planning.policy import next_steps
from diag.planning.situation import Situation
from diag.planning.tree.values import DEEPEST, DEPTH, Branch, Chance, Ends, Leaf, Node, Tree
from diag.rules.rulebook import Rulebook

SURE = 0.9
"""Probability from which a cause counts as found once its repair comes next."""
RARE = 0.01
"""Answers less likely than this are named and not followed."""
FAINT = 0.01
"""A path that fewer decks take is not followed on: that bounds a tree to 100 steps a level."""
TOP = 5
"""Causes that a leaf names."""


@dataclass(frozen=True, slots=True)
class _Here:
    """How far a path has come; `left` is the number of steps that it may still have."""

    history: History
    open_layers: tuple[str, ...]
    minutes: float
    chance: float
    left: int

    def reached(self, step: NextStep) -> _Here:
        """With the layers open that the step needs."""
        opened = tuple(Opened(layer) for layer in step.access.opens)
        return replace(
            self,
            history=History(self.history.symptoms, (*self.history.steps, *opened)),
            open_layers=(*self.open_layers, *step.access.opens),
        )

    def done(self, what: Given | Mended, minutes: float, chance: float) -> _Here:
        """After a step that took these minutes and came out so with this chance."""
        return replace(
            self,
            history=History(self.history.symptoms, (*self.history.steps, what)),
            minutes=self.minutes + minutes,
            chance=self.chance * chance,
            left=self.left - 1,
        )


def compile_tree(
    rulebook: Rulebook,
    book: Book,
    deck: Deck,
    symptom: str,
    depth: int = DEPTH,
    settled: Callable[[float], None] = lambda share: None,
) -> Tree:
    """Work out what to do about a complaint.

    Args:
        rulebook: the rules of the book.
        book: the book.
        deck: what is known of the decks that the tree is for.
        symptom: the complaint.
        depth: steps on the longest path, 1 to `DEEPEST`.
        settled: is told the share of decks whose path is worked out to its end, rising to 1.

    Raises:
        UnknownId: the book has no such symptom.
        ValueError: the depth is out of its range.
        InferenceError: too many signs hang together on some path.
    """
    if symptom not in book.symptoms:
        raise UnknownId(f"the book has no symptom '{symptom}'.", do=nearest(symptom, book.symptoms))
    if not 1 <= depth <= DEEPEST:
        raise ValueError(f"a tree has a depth of 1 to {DEEPEST}; found {depth}")
    growth = _Growth(book, rulebook, deck, symptom, settled)
    root = growth.grow(_Here(History((symptom,)), (), 0.0, 1.0, depth))
    return Tree(book=book, deck=deck, symptom=symptom, depth=depth, root=root)


class _Growth:
    """Grows a tree from its root, the first answers of a check first."""

    def __init__(
        self,
        book: Book,
        rulebook: Rulebook,
        deck: Deck,
        symptom: str,
        settled: Callable[[float], None],
    ) -> None:
        leads = _leads(book, symptom)
        self.book = replace(book, intake=tuple(c for c in book.intake if c in leads.intake))
        self.left_out = frozenset(book.intake) - leads.walk - leads.intake
        self.rulebook = rulebook
        self.deck = deck
        self.settled = settled
        self.share = 0.0

    def grow(self, here: _Here) -> Node | Leaf:
        """The step that comes next and all that follows from it, or the end of the path."""
        at, raised = self._situation(here)
        step = next((step for step in next_steps(at) if not self._is_intake(at, step)), None)
        step = step if step is not None and step.is_worth_it else None
        cautions = self._cautions(here, step, raised)
        ends = _ends(at, here, step)
        if step is None or ends is not None:
            self._settle(here.chance)
            ranking = _ranking(at)
            return Leaf(here.minutes, here.chance, ranking, ends or "nothing", step, cautions)
        branches, rare = self._branches(here.reached(step), step)
        return Node(step, here.minutes, here.chance, cautions, branches, rare)

    def _is_intake(self, at: Situation, step: NextStep) -> bool:
        """Whether the final test would only ask what the intake answered, nothing being mended."""
        mended = any(isinstance(done, Mended) for done in at.history.steps)
        return step.by == "final test" and step.id in self.left_out and not mended

    def _cautions(
        self, here: _Here, step: NextStep | None, raised: tuple[str, ...]
    ) -> tuple[str, ...]:
        if step is None:
            return ()
        entry = (self.book.checks if step.kind == "check" else self.book.remedies)[step.id]
        return cautions_before(self.book, entry, here.open_layers, raised)

    def _branches(
        self, here: _Here, step: NextStep
    ) -> tuple[tuple[Branch, ...], tuple[Chance, ...]]:
        if step.kind == "remedy":
            after = here.done(Mended(step.id), step.all_minutes, 1.0)
            return (Branch("", 1.0, self.grow(after)),), ()
        chances = self._chances(here, step.id)
        rare = tuple(c for c in chances if c.probability < RARE)
        self._settle(here.chance * sum(c.probability for c in rare))
        return tuple(
            Branch(
                c.id,
                c.probability,
                self.grow(here.done(Given(step.id, c.id), step.all_minutes, c.probability)),
            )
            for c in chances
            if c.probability >= RARE
        ), rare

    def _chances(self, here: _Here, check: str) -> tuple[Chance, ...]:
        """How likely each answer is once the layers on the way are open; they add up to 1."""
        at, _ = self._situation(here)
        evidence = self.book.checks[check].evidence
        found = what_if(at.network, list(evidence.values()), at.now).probability
        shares = (found / found.sum()).tolist()
        return tuple(Chance(answer, p) for answer, p in zip(evidence, shares, strict=True))

    def _situation(self, here: _Here) -> tuple[Situation, tuple[str, ...]]:
        """The situation, and the cautions that the rules raise in it."""
        told = self.rulebook.conclude(self.deck, here.history, here.open_layers)
        net = network(self.book, self.deck, here.history, told.raised)
        mended = frozenset(s.remedy for s in here.history.steps if isinstance(s, Mended))
        told_of = _told_of(self.book, here.history)
        about = _about(self.book, told_of)
        signs = {sign for cause in about for sign in self.book.causes[cause].shows}
        aside = {c.id for c in self.book.checks.values() if signs.isdisjoint(c.signs)}
        asked = told_of if mended else frozenset()
        aside |= {c for c in self.left_out if asked.isdisjoint(self.book.checks[c].signs)}
        at = Situation(
            book=self.book,
            deck=self.deck,
            history=here.history,
            network=net,
            now=solve(net),
            open_layers=here.open_layers,
            put_aside=frozenset(aside),
            done=mended | {r for r, mends in self.book.mends.items() if about.isdisjoint(mends)},
        )
        return at, tuple(told.cautions)

    def _settle(self, chance: float) -> None:
        self.share += chance
        self.settled(min(1.0, self.share))


@dataclass(frozen=True, slots=True)
class _Leads:
    """The checks that lead: the walk's, or those of the intake that ask for the complaint."""

    walk: frozenset[str] = frozenset()
    intake: frozenset[str] = frozenset()


def _leads(book: Book, symptom: str) -> _Leads:
    walk, signs = book.symptoms[symptom].walk, book.symptoms[symptom].signs
    if walk:
        return _Leads(walk=frozenset(s.check for s in book.walks[walk].every_step()))
    asking = (c for c in book.intake if not set(signs).isdisjoint(book.checks[c].signs))
    return _Leads(intake=frozenset(asking))


def _ends(at: Situation, here: _Here, step: NextStep | None) -> Ends | None:
    """Why a path ends here; None if it goes on."""
    if step is None:
        return "nothing"
    mended = any(isinstance(done, Mended) for done in here.history.steps)
    if step.by == "final test" and (mended or here.open_layers or step.id in at.put_aside):
        return "test"  # before any work, one that asks for the complaint is a check like others
    if step.kind == "remedy":
        surest = max(at.now.causes.get(cause, 0.0) for cause in at.book.mends[step.id])
        if surest >= SURE:
            return "mend"
    if not here.left:
        return "depth"
    return "faint" if here.chance < FAINT else None


def _told_of(book: Book, history: History) -> frozenset[str]:
    """The signs that were complained of, or found."""
    signs: set[str] = {s for name in history.symptoms for s in book.symptoms[name].signs}
    for step in history.steps:
        if isinstance(step, Given):
            said = book.checks[step.check].evidence[step.answer]
            signs |= {sign for sign, is_present in said.items() if is_present}
    return frozenset(signs)


def _about(book: Book, signs: frozenset[str]) -> frozenset[str]:
    """The causes that can show one of these signs."""
    return frozenset(cause for sign in signs for cause in book.causes_of[sign])


def _ranking(at: Situation) -> tuple[Chance, ...]:
    """The first causes of what was told and found; equals in order of their ids."""
    about = _about(at.book, _told_of(at.book, at.history))
    now = {cause: p for cause, p in at.now.causes.items() if cause in about}
    ordered = sorted(now, key=lambda cause: (-now[cause], cause))
    return tuple(Chance(cause, now[cause]) for cause in ordered[:TOP])
