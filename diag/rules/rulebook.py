"""The rules of a book, ready to conclude from any case."""

from __future__ import annotations

from collections.abc import Iterable

from diag.model.book import Book
from diag.model.history import History
from diag.model.trait import Deck
from diag.rules.conclusions import Conclusions
from diag.rules.engine import Engine
from diag.rules.facts import CaseFact, facts_of, tellings_of
from diag.rules.findings import Findings
from diag.rules.messages import Scales, telling_message
from diag.rules.translate import translate


class Rulebook:
    """A book's rules, translated once. Keeps nothing between cases; threads may share it.

    Raises:
        RuleError: a rule can't be translated.
    """

    def __init__(self, book: Book) -> None:
        self._book = book
        self._scales = Scales(book)
        self._clauses = translate(book, self._scales)
        self._engine = Engine([clause.patterns for clause in self._clauses])

    def conclude(
        self, deck: Deck, history: History, open_layers: Iterable[str] = ()
    ) -> Conclusions:
        """All that follows from what is known of a case.

        The rules run round by round: first on what was told, then on what that derived, until
        nothing new is derived. Within a round the rules speak in the order of the book.

        Args:
            deck: its known traits and facts.
            history: complaints and steps; of each check the latest answer counts.
            open_layers: the layers that are open now.

        Raises:
            RuleError: a fact of the deck is not what the book says, or the engine stopped.
            UnknownId: a check or an answer that the book does not have.
        """
        facts = list(facts_of(self._book, deck, history, open_layers))
        findings = Findings(self._book, facts)
        messages = [self._scales.message(fact) for fact in facts]
        certain = [each for each in tellings_of(self._book, history) if each.certain]
        facts += [telling.fact for telling in certain]
        messages += map(telling_message, certain)
        with self._engine.evaluation() as tell:
            while messages:
                derived: list[CaseFact] = []
                for firing in tell(messages):
                    taken = tuple(facts[number] for number in firing.messages)
                    derived += findings.take(self._clauses[firing.clause], taken)
                facts += derived
                messages = [self._scales.message(fact) for fact in derived]
        return findings.conclusions()


def conclude(
    book: Book, deck: Deck, history: History, open_layers: Iterable[str] = ()
) -> Conclusions:
    """`Rulebook.conclude` for a single use; translates the book anew each time."""
    return Rulebook(book).conclude(deck, history, open_layers)
