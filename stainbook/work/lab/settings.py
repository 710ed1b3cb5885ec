"""What the lab sets up once, for a page: thresholds, light, mixes, instruments, people, programmes, and its book."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from stainbook.apparatus import Programme
from stainbook.book import Book
from stainbook.colour import ThresholdSet, own_set, threshold_set, threshold_sets
from stainbook.errors import InputError, UnknownNameError, message
from stainbook.inside import temporary
from stainbook.kept import Operator, Prices, Settings
from stainbook.language import say
from stainbook.records import DEFAULT_SHARES, Viewing
from stainbook.work.case.case_edits import share_text, strengths_of
from stainbook.work.documents.day_schemas import InstrumentShown
from stainbook.work.reading.instruments import Stated, set_up, shown
from stainbook.work.reading.lab_settings import SCALE_STEP, check_settings, host_of, limits_in
from stainbook.work.reading.typed_colour import typed_number
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, Asked

MOST_NAME = 80  # letters of the lab's name
MOST_CURRENCY, MOST_PRICE = 12, 1e9


@dataclass(frozen=True, slots=True)
class LabSettings:
    """What is set up, and how many records of each kind the book holds."""

    lab: str
    limits: dict[str, ThresholdSet]
    viewing: Viewing
    scale_step: float
    strengths: str
    together: str
    instruments: tuple[InstrumentShown, ...]
    people: tuple[str, ...]
    programmes: tuple[Programme, ...]
    counts: tuple[tuple[str, int], ...]
    place: str
    in_a_file: bool
    shadow: bool = False
    edges: bool = False
    annex: bool = True
    host: str = ""
    leads: tuple[str, ...] = ()
    lead_sees_all: bool = False
    apprentices: tuple[str, ...] = ()
    prices: Prices = field(default_factory=Prices)


@dataclass(frozen=True, slots=True)
class OwnLimits:
    """Thresholds as they were chosen: a set by its name, or own figures in ΔE00."""

    name: str | None = None
    perceptible: float | None = None
    acceptable: float | None = None


def settings_of(book: Book) -> LabSettings:
    """What is set up."""
    found = book.settings()
    return LabSettings(
        lab=found.lab or "",
        limits=limits_in(book),
        viewing=found.viewing or SPECTRA_SEEN_UNDER,
        scale_step=found.scale_step or SCALE_STEP,
        strengths=", ".join(map(share_text, found.strengths or DEFAULT_SHARES)),
        together="; ".join(" + ".join(pair) for pair in found.together),
        instruments=tuple(shown(book).instruments),
        people=tuple(book.operators()),
        programmes=tuple(book.programmes().values()),
        counts=tuple(book.counts().items()),
        place=book.place,
        in_a_file=book.in_a_file,
        shadow=bool(found.shadow),
        edges=bool(found.edges),
        annex=found.annex is not False,
        leads=found.leads or (),
        lead_sees_all=bool(found.lead_sees_all),
        apprentices=found.apprentices or (),
        prices=found.prices or Prices(),
        host=found.host or "",
    )


def sets_of(tissue: str) -> list[ThresholdSet]:
    """The sets that can be chosen for a tissue, the default first."""
    return list(threshold_sets(tissue))


# ---------------------------------------------------------------- what the lab decided


def keep_limits(book: Book, tissue: str, chosen: OwnLimits) -> None:
    """Judge a tissue by another set, or by own figures; raises InputError for figures that are none."""
    if chosen.name is not None:
        limits = threshold_set(chosen.name)
    else:
        try:
            limits = own_set(tissue, chosen.perceptible or math.nan, chosen.acceptable or math.nan)
        except ValueError as error:
            raise InputError(say("thresholds of {tissue}: {reason}", tissue=tissue, reason=message(error))) from error

    def change(found: Settings) -> Settings:
        others = (name for name in found.thresholds if threshold_set(name).tissue != tissue)
        return replace(found, thresholds=(*others, limits.name))

    _change(book, change)


def keep_viewing(book: Book, *, illuminant: str, observer: int) -> None:
    """Compare spectra with spectra under this light; raises UnknownNameError for one that is not known."""
    viewing = Asked(illuminant, observer).viewing
    _change(book, lambda found: replace(found, viewing=viewing))


def keep_lab(book: Book, name: str) -> None:
    """The lab's name, as reports carry it; empty: none. Raises InputError for one that is too long."""
    plain = " ".join(name.split())
    if len(plain) > MOST_NAME:
        raise InputError(say("found a name of {n} letters, expected {most} at most", n=len(plain), most=MOST_NAME))
    _change(book, lambda found: replace(found, lab=plain or None))


def keep_host(book: Book, host: str) -> None:
    """Where other devices reach the app, as labels name it, empty: nowhere; raises InputError for no address."""
    found = host_of(host) if host.strip() else None
    _change(book, lambda settings: replace(settings, host=found))


def keep_edges(book: Book, *, count: bool) -> None:
    """Whether incisal thirds and papillae of a translucent piece count as other zones do."""
    _change(book, lambda found: replace(found, edges=count or None))


def keep_shadow(book: Book, *, shadow: bool) -> None:
    """Keep what the program would have done beside what the hand did, or not."""
    _change(book, lambda found: replace(found, shadow=shadow or None))


def keep_annex(book: Book, *, annex: bool) -> None:
    """Give the clinic the zones' numbers beside its page, or not."""
    _change(book, lambda found: replace(found, annex=None if annex else False))


def keep_roles(book: Book, *, leads: Sequence[str], lead_sees_all: bool, apprentices: Sequence[str]) -> None:
    """Who leads the lab and whether a lead sees all numbers, and who paints as an apprentice.

    Raises UnknownNameError for somebody who is no technician of the lab, InputError for a lead who is an apprentice.
    """
    known = book.operators()
    for name in (*leads, *apprentices):
        if name not in known:
            raise UnknownNameError(say("technician"), name, known)
    both = [name for name in leads if name in apprentices]
    if both:
        raise InputError(say("found {name} as lead and as apprentice, expected one of them", name=both[0]))
    _change(
        book,
        lambda found: replace(
            found,
            leads=tuple(leads) or None,
            lead_sees_all=lead_sees_all or None,
            apprentices=tuple(apprentices) or None,
        ),
    )


def keep_prices(book: Book, *, firing: str, blank: str, hour: str, currency: str) -> None:
    """The price of a firing, a blank and an hour as typed, and the lab's own text for its currency; empty: none.

    Raises InputError for what is no price.
    """
    typed = ((firing, say("price of a firing")), (blank, say("price of a blank")), (hour, say("price of an hour")))
    prices = [typed_number(text, name, least=0.0, most=MOST_PRICE) if text.strip() else None for text, name in typed]
    text = " ".join(currency.split())
    if len(text) > MOST_CURRENCY:
        said = say("found {n} letters, expected {most} at most, such as EUR", n=len(text), most=MOST_CURRENCY)
        raise InputError(said)
    kept = Prices(prices[0], prices[1], prices[2], text or None)
    _change(book, lambda found: replace(found, prices=None if kept == Prices() else kept))


def keep_mixing(book: Book, *, strengths: str, scale_step: float, together: str = "") -> None:
    """The shares that the lab mixes, the step of its scale, and which systems or forms of jars it mixes.

    together : pairs as ``one + other; paste + powder``

    Raises InputError for what is none.
    """
    shares, pairs = strengths_of(strengths), _pairs(together)
    check_settings(Settings(strengths=shares, scale_step=scale_step))
    _change(book, lambda found: replace(found, strengths=shares, scale_step=scale_step, together=pairs))


def _pairs(text: str) -> tuple[tuple[str, str], ...]:
    found = []
    for part in filter(None, map(str.strip, re.split(r"[;\n]", text))):
        names = sorted({" ".join(name.split()) for name in part.split("+")})
        if len(names) != 2 or "" in names:
            raise InputError(
                say("found {part!r}, expected two systems or forms with + between, such as paste + powder", part=part)
            )
        found.append((names[0], names[1]))
    return tuple(dict.fromkeys(found))


def _change(book: Book, change: Callable[[Settings], Settings]) -> None:
    """Change some of the settings; what another session set meanwhile stays."""
    with book.transaction() as step:
        step.add_settings(change(step.settings()))


# ---------------------------------------------------------------- instruments, people, programmes


def keep_instrument(book: Book, name: str, stated: Stated) -> None:
    """Set an instrument up; raises InputError for what is stated wrongly, and an empty name."""
    if not name.strip():
        raise InputError(say("found no name, expected the one that the instrument's readings carry, such as hand"))
    set_up(book, name.strip(), stated)


def keep_person(book: Book, name: str) -> None:
    """Enter someone whose hand lays stain on; raises InputError for an empty name."""
    if not name.strip():
        raise InputError(say("found no name, expected the one used at the bench, such as bench-1"))
    book.add_operators([Operator(name.strip())])


def keep_programme(book: Book, programme: Programme) -> None:
    """Enter a firing programme as its maker's sheet has it; raises InputError for an empty name."""
    name = programme.programme.strip()
    if not name:
        raise InputError(say("found no name, expected the programme's, such as glaze"))
    book.add_programmes([replace(programme, programme=name)])


# ---------------------------------------------------------------- the book


def backup(book: Book) -> bytes:
    """A copy of a book in a file, read back before it counts; raises BookError for a damaged one and on a server."""
    with temporary() as place:
        copy, _ = book.copy_to(Path(place) / "lab.db")
        return copy.read_bytes()
