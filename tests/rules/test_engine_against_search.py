"""The rule engine against a plain search over the same rules and facts."""

from hypothesis import HealthCheck, given, settings

from diag.model.book import Book
from diag.model.history import History
from diag.model.trait import Deck
from diag.rules.conclusions import CONTRADICTION
from diag.rules.facts import facts_of
from diag.rules.rulebook import Rulebook
from tests.rules.drawn import books, decks, histories, layers
from tests.rules.naive import search


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(books(), decks, histories, layers)
def test_engine_concludes_what_search_finds(
    book: Book, deck: Deck, history: History, open_layers: tuple[str, ...]
) -> None:
    """Random rules over random facts conclude the same through the engine and by plain search."""
    got = Rulebook(book).conclude(deck, history, open_layers)
    told = {(fact.kind, fact.id): fact.value for fact in facts_of(book, deck, history, open_layers)}
    wanted = search(book, told)
    assert set(got.derived) == wanted.derived
    assert set(got.cautions) == wanted.cautions
    assert set(got.thumbs) == wanted.thumbs
    own = {each.text for each in got.conflicts if each.because.rule != CONTRADICTION}
    assert own == wanted.conflicts
    assert got.raised == wanted.raised
