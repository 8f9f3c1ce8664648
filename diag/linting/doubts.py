"""All that is doubtful in a book although it can be used."""

from __future__ import annotations

from collections.abc import Collection

from diag.linting import advice, basis, causes, safety, steps, walks
from diag.linting.alike import causes_alike
from diag.linting.doubt import Doubt, Finding
from diag.linting.idle_checks import check_moves_nothing, check_outdone
from diag.linting.walk_ends import walk_ends_nowhere
from diag.model.book import Book

FINDINGS = (
    Finding("B07", "powered inside with no caution before it", safety.live_without_caution),
    Finding("B20", "powered beside a danger, with no danger named", safety.live_without_danger),
    Finding("B19", "a way without power that is powered", safety.unpowered_is_live),
    Finding("B18", "powered checks inside with no way without power", safety.live_only),
    Finding("B25", "dangers with a figure and no source", safety.danger_without_source),
    Finding("B02", "causes that no check asks for", causes.unasked),
    Finding("B14", "causes that no check tells apart", causes_alike),
    Finding("B01", "causes without a remedy", causes.without_remedy),
    Finding("B04", "signs that no cause shows", causes.sign_unshown),
    Finding("B03", "signs that nothing asks for", causes.sign_unasked),
    Finding("B15", "signs of a symptom that no check asks for", causes.sign_only_complained),
    Finding("B05", "checks that speak of no sign", steps.check_says_nothing),
    Finding("B16", "checks that move no cause", check_moves_nothing),
    Finding("B17", "checks that another outdoes", check_outdone),
    Finding("B28", "checks that nothing lets in again", steps.never_let_in_again),
    Finding("B06", "remedies that mend nothing", steps.remedy_mends_nothing),
    Finding("B13", "facts that nothing tells", advice.fact_untold),
    Finding("B12", "no final test", walks.no_final_test),
    Finding("B09", "symptoms without a walk", walks.symptom_without_walk),
    Finding("B10", "walks that begin inside the deck", walks.opens_first),
    Finding("B11", "walks that ask the same twice", walks.asks_twice),
    Finding("B26", "answers of a walk that deny those above", walks.contradicts),
    Finding("B23", "ways of a walk that point at nothing", walk_ends_nowhere),
    Finding("B22", "steps of a walk without a why", walks.step_without_why),
    Finding("B08", "rules of thumb that nothing cites", advice.thumb_uncited),
    Finding("B21", "rules of thumb with a figure and no unit", advice.thumb_without_unit),
    Finding("B27", "rules of thumb with a figure and no range", advice.thumb_without_range),
    Finding("B24", "entries with figures of no basis", basis.without_basis),
)
"""Every finding, what can hurt first, then what misleads, then what is only not told."""


def doubts(book: Book, codes: Collection[str] = ()) -> tuple[Doubt, ...]:
    """All that is doubtful in a book: in the order of `FINDINGS`, then of file and line.

    Give `codes` to look for those only.
    """
    wanted = [finding for finding in FINDINGS if not codes or finding.code in codes]
    return tuple(
        Doubt(finding.code, origin, words)
        for finding in wanted
        for origin, words in sorted(
            finding.find(book), key=lambda found: (found.origin.path, found.origin.line)
        )
    )
