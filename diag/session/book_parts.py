"""What each kind of entry says on its page, part by part."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import isinf

from diag.model.book import Book
from diag.model.figures import CheckId, Prior, SignId
from diag.model.leads_to import leads_to
from diag.model.mentions import Ref
from diag.model.remedy import Renews
from diag.model.symptom import WalkStep
from diag.model.trait import Where
from diag.model.words import answer_says, chance_in_words, layer_says
from diag.planning.reasons import minutes_in_words
from diag.session.entry_title import entry_title


@dataclass(frozen=True, slots=True)
class Link:
    """A way to another entry: what stands on the line, and a note beside it."""

    ref: Ref
    says: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a page: lines of text, then ways to other entries."""

    title: str
    lines: tuple[str, ...] = ()
    links: tuple[Link, ...] = ()


def parts_of(book: Book, ref: Ref) -> tuple[Part, ...]:
    """The parts of an entry's page; parts without content are among them."""
    return tuple(_PARTS[ref.section](book, ref.id)) if ref.section in _PARTS else ()


def _cause(book: Book, name: str) -> Iterator[Part]:
    cause = book.causes[name]
    yield Part(
        "What it is",
        _told(
            ("Part", cause.part),
            ("", cause.how),
            ("In decks that come to the bench", _prior(cause.prior)),
            ("Only where", _where(book, cause.where)),
            *(
                ("Raised", f"{factor:g} times by: {fact.replace('_', ' ')}")
                for fact, factor in cause.raised_by.items()
            ),
        ),
    )
    yield Part("Answers that lead to it", links=tuple(_leads(book, name)))
    yield Part("Shows", links=_links(book, "signs", cause.shows, _chances(cause.shows)))
    minutes = {
        str(remedy): f"{minutes_in_words(book.remedies[remedy].minutes)}, "
        f"cures {chance_in_words(book.remedies[remedy].cures)}"
        for remedy in cause.mended_by
    }
    yield Part("Mended by", links=_links(book, "remedies", cause.mended_by, minutes))
    yield Part("Looks like", links=_links(book, "causes", cause.looks_like))
    yield Part("Rules of thumb", links=_links(book, "thumbs", cause.cites))


def _check(book: Book, name: str) -> Iterator[Part]:
    check = book.checks[name]
    yield Part("Cautions", links=_links(book, "cautions", check.cautions))
    yield Part(
        "How",
        _told(
            ("", check.how),
            ("Good", check.good),
            ("At", layer_says(book, check.at)),
            ("Time", minutes_in_words(check.minutes) + (", powered" if check.live else "")),
            ("Tools", ", ".join(check.tools)),
            ("Only where", _where(book, check.where)),
        ),
    )
    yield Part("Answers", tuple(_answer(book, check.id, str(a)) for a in check.answers))
    decided = {
        cause: f"tells {dict(checks)[name]:.1f} bit"
        for cause, checks in book.deciding.items()
        if name in dict(checks)
    }
    yield Part("Decides on", links=_links(book, "causes", decided, decided))
    yield Part("Asks for", links=_links(book, "signs", check.signs))
    yield Part("Rules of thumb", links=_links(book, "thumbs", check.cites))


def _remedy(book: Book, name: str) -> Iterator[Part]:
    remedy = book.remedies[name]
    yield Part("Cautions", links=_links(book, "cautions", remedy.cautions))
    yield Part(
        "How",
        _told(
            ("", remedy.how),
            ("At", layer_says(book, remedy.at)),
            ("Time", minutes_in_words(remedy.minutes) + (", powered" if remedy.live else "")),
            ("Cures", f"{chance_in_words(remedy.cures)} of the time"),
            ("Parts", ", ".join(remedy.parts)),
            ("Renews capacitors", _renews(remedy.renews)),
            ("Tools", ", ".join(remedy.tools)),
            ("Only where", _where(book, remedy.where)),
        ),
    )
    yield Part("Mends", links=_links(book, "causes", book.mends[name]))
    yield Part("Rules of thumb", links=_links(book, "thumbs", remedy.cites))


def _renews(renews: Renews | None) -> str:
    """Places and board, as a list of capacitors calls them."""
    if renews is None:
        return ""
    return ", ".join(renews.places) + (f"; board: {renews.board}" if renews.board else "")


def _sign(book: Book, name: str) -> Iterator[Part]:
    leak = _share(book.signs[name].leak)
    yield Part("Without any known cause", (f"{leak} of decks show it",))
    shown = {c: book.causes[c].shows[SignId(name)] for c in book.causes_of[name]}
    order = dict(sorted(shown.items(), key=lambda pair: -pair[1]))
    yield Part("Brought about by", links=_links(book, "causes", order, _chances(order)))
    asked = [check.id for check in book.checks.values() if name in check.signs]
    yield Part("Asked for by", links=_links(book, "checks", asked))


def _symptom(book: Book, name: str) -> Iterator[Part]:
    symptom = book.symptoms[name]
    yield Part("Speaks of", links=_links(book, "signs", symptom.signs))
    yield Part("Walk", links=_links(book, "walks", [symptom.walk] if symptom.walk else []))


def _walk(book: Book, name: str) -> Iterator[Part]:
    yield Part("Steps", links=tuple(_steps(book, book.walks[name], "", 0)))


def _steps(book: Book, step: WalkStep, answered: str, depth: int) -> Iterator[Link]:
    says = f"{'   ' * depth}{answered}{entry_title(book, Ref('checks', step.check))}"
    yield Link(Ref("checks", step.check), says, step.why)
    for answer, after in step.then.items():
        told = answer_says(book.checks[CheckId(step.check)], answer)
        yield from _steps(book, after, f"{told}: ", depth + 1)


def _thumb(book: Book, name: str) -> Iterator[Part]:
    thumb = book.thumbs[name]
    figure = "" if thumb.figure is None else f"{thumb.figure:g} {thumb.unit}".strip()
    within = " to ".join(f"{end:g}" for end in thumb.range)
    yield Part("Figure", _told(("", figure), ("Range", f"{within} {thumb.unit}".strip(" "))))
    source = book.sources[thumb.source]
    yield Part("Source", links=_links(book, "sources", [source.id], {source.id: source.standing}))


def _caution(book: Book, name: str) -> Iterator[Part]:
    caution = book.cautions[name]
    yield Part("How bad", (caution.severity.upper(),))
    yield Part("What to do", _told(("", caution.do)))
    yield Part("Source", links=_links(book, "sources", [caution.source] if caution.source else []))


def _layer(book: Book, name: str) -> Iterator[Part]:
    layer = book.layers[name]
    minutes = (
        f"{minutes_in_words(layer.open_minutes)} to open, "
        f"{minutes_in_words(layer.close_minutes)} to close"
    )
    yield Part("How", _told(("", layer.how), ("Time", minutes if layer.under else "")))
    yield Part("Before it is closed", layer.before_closing)
    upsets = {str(cause): _share(p) for cause, p in layer.upsets.items()}
    yield Part("Can bring about", links=_links(book, "causes", layer.upsets, upsets))
    yield Part("Cautions", links=_links(book, "cautions", layer.cautions))
    at = [c.id for c in book.checks.values() if c.at == name]
    yield Part("Checks here", links=_links(book, "checks", at))
    work = [r.id for r in book.remedies.values() if r.at == name]
    yield Part("Remedies here", links=_links(book, "remedies", work))


def _trait(book: Book, name: str) -> Iterator[Part]:
    trait = book.traits[name]
    values = (
        value.replace("_", " ")
        + (f" ({chance_in_words(trait.shares[value])} of decks)" if value in trait.shares else "")
        for value in trait.one_of
    )
    yield Part("Values", tuple(values))
    yield Part("How to tell", _told(("", trait.how)))


def _source(book: Book, name: str) -> Iterator[Part]:
    source = book.sources[name]
    year = "" if source.year is None else str(source.year)
    told = _told(("Publisher", source.publisher), ("Year", year), ("Number", source.number))
    yield Part("Published", told)


_PARTS: Mapping[str, Callable[[Book, str], Iterator[Part]]] = {
    "causes": _cause,
    "checks": _check,
    "remedies": _remedy,
    "signs": _sign,
    "symptoms": _symptom,
    "walks": _walk,
    "thumbs": _thumb,
    "cautions": _caution,
    "layers": _layer,
    "traits": _trait,
    "sources": _source,
}


def _leads(book: Book, cause: str) -> Iterator[Link]:
    for lead in leads_to(book, cause):
        check = book.checks[lead.check]
        note = f"{answer_says(check, lead.answer)}: {_factor(lead.factor)}"
        yield Link(Ref("checks", lead.check), check.ask, note)


def _factor(factor: float) -> str:
    """What an answer does to the odds, no finer than such a figure can be."""
    if isinf(factor):
        return "settles it"
    return f"odds times {factor:.0f}" if factor >= 10 else f"odds times {factor:.2g}"


def _answer(book: Book, check: str, answer: str) -> str:
    """An answer and the signs that it speaks of."""
    entry = book.checks[check]
    said = entry.evidence[answer]
    present = [book.signs[sign].says for sign, is_there in said.items() if is_there]
    absent = [book.signs[sign].says for sign, is_there in said.items() if not is_there]
    told = "; ".join([*present, *(f"not: {says}" for says in absent)])
    return f"{answer_says(entry, answer)} - {told or 'says nothing of any sign'}"


def _links(
    book: Book, section: str, ids: Iterable[str], notes: Mapping[str, str] | None = None
) -> tuple[Link, ...]:
    refs = (Ref(section, str(name)) for name in ids)
    return tuple(Link(r, entry_title(book, r), (notes or {}).get(r.id, "")) for r in refs)


def _chances(figures: Mapping[SignId, float] | Mapping[str, float]) -> dict[str, str]:
    return {str(name): chance_in_words(p) for name, p in figures.items()}


def _prior(prior: Prior) -> str:
    if len(prior.by_age) == 1:
        return _share(prior.by_age[0][1])
    return ", ".join(f"{_share(p)} at {age:g} years" for age, p in prior.by_age)


def _share(p: float) -> str:
    """A share as the book states it: rare faults differ below one in a hundred."""
    return f"{p * 100:.2g} %"


def _where(book: Book, where: Where) -> str:
    told = (
        f"{trait.replace('_', ' ')} is {' or '.join(v.replace('_', ' ') for v in values)}"
        for trait, values in where.items()
    )
    return ", ".join(told)


def _told(*lines: tuple[str, str]) -> tuple[str, ...]:
    return tuple(f"{label}: {text}" if label else text for label, text in lines if text)
