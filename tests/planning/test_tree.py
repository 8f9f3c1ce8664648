"""The planner worked out in advance: chances, minutes, rankings and ends of every path."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from book_folder import BookFolder

from diag.errors import UnknownId
from diag.inference.network import network
from diag.inference.posterior import solve
from diag.model.book import Book
from diag.model.history import Given, History, Mended, Opened, Step
from diag.model.trait import Deck
from diag.planning.tree.compile import FAINT, RARE, SURE, TOP, compile_tree
from diag.planning.tree.values import Branch, Leaf, Node, Tree
from diag.reading.book import read_book
from diag.reading.location import shipped
from diag.rules.rulebook import Rulebook

FAMILY = """\
family: tape
says: Machines of this test
traits:
  drive: {ask: 'What drives it?', one_of: [belt, idler]}
layers:
  outside: {}
  lid: {under: outside, open: 3, close: 2, cautions: [mains]}
  transport: {under: lid, open: 20, close: 25, upsets: {dry_shaft: 0.1}}
symptoms:
  silent: {says: No sound, signs: [silent], walk: silent}
  squeals: {says: It squeals, signs: [squeal]}
walks:
  silent: {check: leads, why: The leads come first.}
intake: [smell, listen, ear]
final_test: [listen]
"""

BENCH = """\
signs:
  silent: {says: no sound, leak: 0.02}
  squeal: {says: it squeals, leak: 0.02}
  burnt: {says: it smells burnt, leak: 0.01}
  lead_dead: {says: the lead is dead, leak: 0.0}
  film: {says: film on the head, leak: 0.1}
  belt_hangs: {says: the belt hangs, leak: 0.02}
  shaft_drags: {says: the shaft drags, leak: 0.02}
causes:
  bad_lead:
    {says: Lead broken, prior: 0.1, shows: {silent: 0.9, lead_dead: 1.0}, mended_by: [new_lead]}
  worn_belt:
    {says: Worn belt, prior: 0.2, shows: {silent: 0.8, belt_hangs: 0.9}, mended_by: [new_belt]}
  dry_shaft:
    says: Dry shaft
    prior: 0.2
    shows: {silent: 0.7, shaft_drags: 0.95}
    mended_by: [oil]
  head_dirty:
    {says: Head dirty, prior: 0.2, shows: {silent: 0.6, film: 0.7}, mended_by: [clean_head]}
  dry_roller: {says: Dry roller, prior: 0.6, shows: {squeal: 0.9}, mended_by: [oil_roller]}
checks:
  smell:
    {ask: 'Smell it.', at: outside, minutes: 1, answers: {burnt: {present: [burnt]}, clean: {}}}
  listen:
    ask: Is there sound?
    at: outside
    minutes: 2
    answers: {silent: {says: None, present: [silent]}, sound: {says: There is sound}}
  leads:
    ask: Does another lead help?
    at: outside
    minutes: 4
    answers: {helps: {says: It helps, present: [lead_dead]}, same: {says: The same}}
  look_head:
    ask: Is there film on the head?
    at: outside
    minutes: 2
    answers: {film: {says: There is, present: [film]}, clean: {says: Clean}}
  look_belt:
    ask: Does the belt hang?
    at: lid
    minutes: 2
    answers: {hangs: {says: It hangs, present: [belt_hangs]}, firm: {says: Firm}}
  feel_shaft:
    ask: Does the shaft drag?
    at: transport
    minutes: 3
    cautions: [springs]
    answers: {drags: {says: It drags, present: [shaft_drags]}, free: {says: Freely}}
  ear:
    ask: Does it squeal?
    at: outside
    minutes: 1
    answers: {squeals: {present: [squeal]}, quiet: {}}
remedies:
  new_lead: {says: A new lead, minutes: 3, at: outside, cures: 1.0}
  new_belt: {says: A new belt, minutes: 20, at: lid, cures: 0.8}
  oil: {says: Oil the shaft, minutes: 25, at: transport, cures: 0.9}
  clean_head: {says: Clean the head, minutes: 6, at: outside, cures: 0.7}
  oil_roller: {says: Oil the roller, minutes: 5, at: outside, cures: 0.9}
cautions:
  mains: {says: Mains inside., severity: danger, do: Unplug it.}
  springs: {says: Springs fly., severity: care}
"""

Path_ = tuple[tuple[Node, Branch], ...]


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """Four causes of silence at three depths, and one of a squeal."""
    folder = BookFolder(tmp_path)
    folder.put("family.yaml", FAMILY)
    folder.put("reels/idler.yaml", BENCH)
    return folder.read()


def tree_of(book: Book, symptom: str = "silent", depth: int = 6, deck: Deck | None = None) -> Tree:
    """The tree of a complaint."""
    return compile_tree(Rulebook(book), book, deck or Deck(), symptom, depth)


def paths(at: Node | Leaf, before: Path_ = ()) -> Iterator[tuple[Path_, Leaf]]:
    """Every leaf with the steps and answers that lead to it."""
    if isinstance(at, Leaf):
        yield before, at
        return
    for branch in at.branches:
        yield from paths(branch.to, (*before, (at, branch)))


def history_of(symptom: str, path: Path_) -> History:
    """What has been done to a deck at the end of a path."""
    steps: list[Step] = []
    for node, branch in path:
        steps += [Opened(layer) for layer in node.step.access.opens]
        kind = node.step.kind
        steps.append(
            Given(node.step.id, branch.answer) if kind == "check" else Mended(node.step.id)
        )
    return History((symptom,), tuple(steps))


@pytest.fixture(scope="module")
def cassette() -> Book:
    """The book that is shipped."""
    return read_book(shipped(), "cassette")


@pytest.fixture(scope="module", params=[("eats_tape", 3), ("random_stops", 2)])
def shipped_tree(cassette: Book, request: pytest.FixtureRequest) -> Tree:
    """Trees of the shipped book, one without a walk among them."""
    symptom, depth = request.param
    return tree_of(cassette, symptom, depth, Deck(age_years=40, traits={"drive": "belt"}))


def test_chances_of_a_check_share_out_all_answers(book: Book, shipped_tree: Tree) -> None:
    """Those that are followed and those that are rare add up to one, each answer once."""
    for tree in (tree_of(book), shipped_tree):
        for node in tree.nodes:
            if node.step.kind == "check":
                told = [(b.answer, b.chance) for b in node.branches]
                told += [(rare.id, rare.probability) for rare in node.rare]
                assert sum(chance for _, chance in told) == pytest.approx(1.0, abs=1e-9)
                answers = tree.book.checks[node.step.id].answers
                assert sorted(name for name, _ in told) == sorted(answers)
                assert all(b.chance >= RARE for b in node.branches)
                assert all(rare.probability < RARE for rare in node.rare)


def test_chance_of_an_answer_is_that_given_the_complaint(book: Book) -> None:
    """The first check's chance equals an enumeration of causes and of the complaint by hand."""
    # From the definition of the network (noisy-OR, complaint 0.1 if absent and 0.9 if present).
    shows = {
        "bad_lead": (0.1, 0.9),
        "worn_belt": (0.2, 0.8),
        "dry_shaft": (0.2, 0.7),
        "head_dirty": (0.2, 0.6),
    }
    whole = dead = 0.0
    for state in range(16):
        weight, quiet = 1.0, 0.98
        for at, (prior, chance) in enumerate(shows.values()):
            weight *= prior if state >> at & 1 else 1 - prior
            quiet *= 1 - chance if state >> at & 1 else 1.0
        weight *= 0.1 * quiet + 0.9 * (1 - quiet)
        whole += weight
        dead += weight if state & 1 else 0.0
    root = tree_of(book).root
    assert isinstance(root, Node)
    assert (root.step.id, root.step.by) == ("leads", "walk")
    assert root.branches[0].answer == "helps"
    assert root.branches[0].chance == pytest.approx(dead / whole, abs=1e-12)


def test_chances_of_the_ends_share_out_all_decks(book: Book, shipped_tree: Tree) -> None:
    """What is not followed is all that the ends lack."""
    for tree in (tree_of(book), shipped_tree):
        cut = sum(node.chance * rare.probability for node in tree.nodes for rare in node.rare)
        assert sum(leaf.chance for leaf in tree.leaves) + cut == pytest.approx(1.0, abs=1e-9)


def test_minutes_so_far_are_the_sum_of_the_way(book: Book, shipped_tree: Tree) -> None:
    """Own minutes of every step, and each layer's opening and closing once."""
    for tree in (tree_of(book), shipped_tree):
        for path, leaf in paths(tree.root):
            minutes, opened = 0.0, set[str]()
            for node, _ in path:
                assert node.minutes == pytest.approx(minutes)
                entry = (
                    tree.book.checks[node.step.id]
                    if node.step.kind == "check"
                    else tree.book.remedies[node.step.id]
                )
                new = set(tree.book.ways[entry.at]) - opened
                layers = [tree.book.layers[name] for name in new]
                minutes += entry.minutes
                minutes += sum(layer.open_minutes + layer.close_minutes for layer in layers)
                opened |= new
            assert leaf.minutes == pytest.approx(minutes)


def test_ranking_of_an_end_is_the_posterior_of_its_answers(book: Book, shipped_tree: Tree) -> None:
    """Each probability is that of a case with just these answers, repairs and openings."""
    for tree in (tree_of(book), shipped_tree):
        for path, leaf in paths(tree.root):
            history = history_of(tree.symptom, path)
            raised = Rulebook(tree.book).conclude(tree.deck, history).raised if path else {}
            now = solve(network(tree.book, tree.deck, history, raised)).causes
            assert 0 < len(leaf.ranking) <= TOP
            for cause in leaf.ranking:
                assert cause.probability == pytest.approx(now[cause.id], abs=1e-9)
            ranked = [cause.probability for cause in leaf.ranking]
            assert ranked == sorted(ranked, reverse=True)


def test_no_path_is_longer_than_the_depth(book: Book) -> None:
    """A tree of depth 1 has one step; a deeper one is a continuation of it."""
    for depth in (1, 2, 3):
        tree = tree_of(book, depth=depth)
        assert max(len(path) for path, _ in paths(tree.root)) <= depth
        assert any(leaf.ends == "depth" for leaf in tree.leaves)
    shallow, deep = tree_of(book, depth=1).root, tree_of(book, depth=3).root
    assert isinstance(shallow, Node)
    assert isinstance(deep, Node)
    assert shallow.step == deep.step
    assert [b.chance for b in shallow.branches] == [b.chance for b in deep.branches]


def test_tree_is_the_same_each_time(book: Book) -> None:
    """Equal books, decks and complaints give equal trees."""
    assert tree_of(book) == tree_of(book)


def test_path_ends_with_a_cause_that_is_all_but_sure(book: Book) -> None:
    """Its repair comes next, with its cautions; no other path ends so."""
    ends = {leaf.ends for leaf in tree_of(book).leaves}
    assert "mend" in ends
    for leaf in tree_of(book).leaves:
        if leaf.ends == "mend":
            assert leaf.step is not None
            assert leaf.step.kind == "remedy"
            assert leaf.ranking[0].probability >= SURE
    root = tree_of(book).root
    assert isinstance(root, Node)
    helped = root.branches[0].to
    assert isinstance(helped, Leaf)
    assert (helped.ends, helped.step and helped.step.id) == ("mend", "new_lead")
    assert helped.ranking[0].id == "bad_lead"


def test_repair_has_one_way_out_and_its_sign_is_asked_again(book: Book) -> None:
    """After a repair that is not sure to be the right one, the planner asks what it changed."""
    tree = tree_of(book, depth=8)
    mended = [node for node in tree.nodes if node.step.kind == "remedy"]
    assert mended
    for node in mended:
        (done,) = node.branches
        assert (done.answer, done.chance, node.rare) == ("", 1.0, ())
    assert any(
        isinstance(node.branches[0].to, Node) and node.branches[0].to.step.kind == "check"
        for node in mended
    )


def test_tree_is_about_its_complaint(book: Book) -> None:
    """Neither the intake nor checks and causes of another complaint fill it."""
    tree = tree_of(book)
    mended = False
    for path, leaf in paths(tree.root):
        mended = False
        for node, _ in path:
            assert node.step.id not in {"smell", "ear", "oil_roller"}
            assert node.step.id != "listen" or mended
            mended |= node.step.kind == "remedy"
        assert all(cause.id != "dry_roller" for cause in leaf.ranking)
    squeals = tree_of(book, "squeals")
    assert {node.step.id for node in squeals.nodes} <= {"ear", "oil_roller"}


def test_complaint_without_a_walk_is_seen_first(book: Book) -> None:
    """What the intake asks of the complaint leads, as it was put there to be safe."""
    root = tree_of(book, "squeals").root
    assert isinstance(root, Node)
    assert (root.step.id, root.step.by) == ("ear", "intake")


def test_known_trait_rules_checks_out(cassette: Book) -> None:
    """A tree for a kind of deck asks nothing that only another kind can be asked."""
    name, trait = next(
        (name, trait)
        for name, trait in cassette.traits.items()
        if any(name in check.where for check in cassette.checks.values())
    )
    for value in trait.one_of:
        for node in tree_of(cassette, "eats_tape", 1, Deck(traits={name: value})).nodes:
            entry = cassette.checks.get(node.step.id) or cassette.remedies[node.step.id]
            assert value in entry.where.get(name, (value,))


def test_faint_paths_are_not_followed(shipped_tree: Tree) -> None:
    """Every step is one that enough decks come to."""
    assert all(node.chance >= FAINT for node in shipped_tree.nodes)
    assert all(leaf.chance < FAINT for leaf in shipped_tree.leaves if leaf.ends == "faint")


def test_cautions_of_the_layers_stand_before_the_step(book: Book) -> None:
    """Where the lid comes off its danger is named; later steps under it name their own."""
    for node in tree_of(book).nodes:
        assert ("mains" in node.cautions) == ("lid" in node.step.access.opens)
        assert ("springs" in node.cautions) == (node.step.id == "feel_shaft")


def test_share_that_is_settled_rises_to_all(book: Book) -> None:
    """Progress never falls, and ends at one."""
    told: list[float] = []
    compile_tree(Rulebook(book), book, Deck(), "silent", 4, told.append)
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1.0)


def test_unknown_complaint_names_the_nearest(book: Book) -> None:
    """The error says what there is."""
    with pytest.raises(UnknownId) as error:
        tree_of(book, "silnt")
    assert "'silent'" in error.value.do


@pytest.mark.parametrize("depth", [0, -1, 13])
def test_depth_out_of_range_is_refused(book: Book, depth: int) -> None:
    """No tree without a step, and none that nobody could read."""
    with pytest.raises(ValueError, match="depth"):
        tree_of(book, depth=depth)
