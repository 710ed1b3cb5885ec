"""The colour that layers on a body will have after the furnace, with its doubt."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from stainbook.book import Book
from stainbook.colour import delta_e_2000
from stainbook.errors import FileError, UnknownNameError
from stainbook.files import ReadingSet, read_readings, read_recipes
from stainbook.language import say
from stainbook.match.factors import NOBODY
from stainbook.optics.ceramic import has_bare_face
from stainbook.optics.curves import Optics
from stainbook.optics.film import Piece
from stainbook.optics.forecast import Forecast, Hands, draw, forecast
from stainbook.records import Body, Layers, Reading, Recipe, Stain, Viewing
from stainbook.words import hand_words
from stainbook.work.documents.schemas import Assumes, PredictedRecipe, PredictResult
from stainbook.work.reading.optical import OpticalReading, lab_of, lab_on_grid, optical
from stainbook.work.reading.plate_and_piece import Pieces
from stainbook.work.reading.reading_conditions import said
from stainbook.work.reading.samples import colour_of, warnings_of
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, Asked, viewing_of
from stainbook.work.stains.jars_in_work import JarsInWork, jars_in_work
from stainbook.work.stains.learnt import BY_EYE, COMPUTED, Known, hands_of, learnt
from stainbook.work.stains.other_ceramic import on_ceramic
from stainbook.work.stains.outcome_learning import known_of

DRAWS = 1024
WILD = 0.19  # of ln amount of one coat: a hand of 12 to 15 % is seldom taken for so much, one of 30 % mostly is
FOLLOWS_FROM = ("fit", "stain", "chip", "body", "operator", "jar")  # kinds of records that `LabOptics` is made of
BRIGHTEST = 1.2  # reflectance factor: no reading is above it (formats.md), so no draw is


@dataclass(frozen=True, slots=True)
class Meant:
    """Whose hand, which jars, which programme and which finish a prediction is for."""

    operator: str | None = None
    lots: Mapping[str, str] = field(default_factory=dict)
    programme: str | None = None
    finish: str = "glaze"


@dataclass(frozen=True, slots=True, eq=False)
class LabOptics:
    """What the book knows that a prediction needs.

    ``lots`` are those the chips were made with, ``known`` what outcomes have taught of hands, jars, programmes,
    ``people`` the technicians that the book knows, ``jars`` which are in work.
    """

    optics: Optics
    lots: Mapping[str, str]
    stains: Mapping[str, Stain]
    bodies: Mapping[str, Body]
    known: Known = field(default_factory=Known)
    people: frozenset[str] = frozenset()
    jars: JarsInWork = field(default_factory=JarsInWork)
    expected: dict[Hashable, Any] = field(default_factory=dict)  # forecasts of zones that `expected_zone` made by it

    def whose(self, operator: str | None) -> str | None:
        """The hand that is meant where ``operator`` is named or not: the only technician's, else anyone's (None)."""
        if operator or ("operator", NOBODY, None) in self.known.factors:
            return operator
        learnt_of = {name for what, name, _ in self.known.factors if what == "operator"}
        everyone = {name for name in (*self.people, *learnt_of, self.optics.operator) if name}
        return everyone.pop() if len(everyone) == 1 else None

    def hands(self, operator: str | None, lots: Mapping[str, str], programme: str | None = None) -> Hands:
        """The hand and jars that are meant; jars that nobody named are the newest ones seen."""
        jars = {**self.known.newest_lots, **lots}
        return hands_of(self.optics, self.lots, self.whose(operator), jars, programme=programme, known=self.known)

    def in_work(self, named: Mapping[str, str]) -> dict[str, str]:
        """The jars that are painted with today: as named or seen last, for one that ran out the one in work."""
        seen = {**self.lots, **self.known.newest_lots, **named}
        instead = self.jars.instead_of(seen)
        return {**named, **{stain: lot for stain, lot in instead.items() if seen[stain] != lot}}

    @property
    def families(self) -> dict[str, tuple[str, str | None]]:
        """Kind and family of every stain that the lab lists."""
        return {name: (stain.kind, stain.family) for name, stain in self.stains.items()}


def wild_hand(optics: Optics, hands: Hands) -> list[str]:
    """A line where the stripes show a hand that scatters far more than is usual, and no outcome tells it better."""
    return [hand_words.wild(optics.pooled.hand)] if hands.scatter is None and optics.pooled.hand > WILD else []


def lab_of_book(book: Book) -> LabOptics:
    """The lab's stains as learnt; raises InputError where nothing was calibrated."""
    return book.kept("lab of the book", lambda: _lab_of_book(book), of=FOLLOWS_FROM)


def _lab_of_book(book: Book) -> LabOptics:
    optics, lots = learnt(book)
    found = known_of(book)
    optics, known = found or (optics, Known())
    jars = jars_in_work(book, known)
    return LabOptics(optics, lots, book.stains(), book.bodies(), known, frozenset(book.operators()), jars)


def predict_files(
    book: Book, recipes: Path, readings: Path, asked: Asked | None = None, meant: Meant | None = None
) -> PredictResult:
    """Predict each recipe of a file on the body that a reading names.

    Raises InputError for files that cannot be used and stains that nothing is known of.
    """
    asked, meant = asked or Asked(), meant or Meant()
    lab = lab_of_book(book)
    found = read_readings(readings, defaults=asked.defaults)
    listed = read_recipes(recipes)
    _check_stains(listed.records, lab, recipes)
    hands = lab.hands(meant.operator, {**lab.in_work({}), **meant.lots}, meant.programme)
    assumes = assumed(lab, meant)
    viewing = _viewing(found, asked)
    pieces = Pieces.of_book(book)
    bodies = [_body(one, found, recipes, pieces) for one in listed.records]
    pairs = zip(listed.records, bodies, strict=True)
    results, told = [], list[str]()
    for one, body in pairs:
        own, lines = on_ceramic(book, hands, [_ceramic_of(lab, one.body)], _stains_of(one.layers))
        results.append(_predicted(one, body, lab, own, meant, viewing, asked))
        told += lines
    results = [one.model_copy(update={"assumes": assumes}) for one in results]
    told += [*pieces.told(body.reading for body in bodies if body.shape is not None), *wild_hand(lab.optics, hands)]
    told += said(((body.reading.sample, body.crossed) for body in bodies), against=say("the stripes"))
    return PredictResult(
        recipes=results, assumes=assumes, warnings=[*found.warnings, *listed.warnings, *dict.fromkeys(told)]
    )


def predict_layers(
    book: Book, layers: Layers, body: Reading, asked: Asked | None = None, meant: Meant | None = None
) -> PredictedRecipe:
    """Predict one stack of layers on a body as it was read.

    Raises InputError where nothing was calibrated, UnknownNameError for a stain that nothing is known of.
    """
    asked, meant = asked or Asked(), meant or Meant()
    lab = lab_of_book(book)
    recipe = Recipe("layers", body.sample, layers, say("what is asked"))
    _check_stains([recipe], lab, say("the layers"))
    pieces, found = Pieces.of_book(book), optical(body, tissue=body.tissue)
    found = found if body.sample in pieces.flat else pieces.laid_on(found)
    hands = lab.hands(meant.operator, {**lab.in_work({}), **meant.lots}, meant.programme)
    wild = wild_hand(lab.optics, hands)
    hands, told = on_ceramic(book, hands, [_ceramic_of(lab, body.sample)], _stains_of(layers))
    viewing = asked.viewing or viewing_of(body) or SPECTRA_SEEN_UNDER
    result = _predicted(recipe, found, lab, hands, meant, viewing, asked)
    return result.model_copy(update={"assumes": assumed(lab, meant), "warnings": [*result.warnings, *told, *wild]})


def _ceramic_of(lab: LabOptics, body: str) -> str | None:
    return lab.bodies[body].ceramic if body in lab.bodies else None


def _stains_of(layers: Layers) -> set[str]:
    return {name for layer in layers for name in layer.pot.stains}


def assumed(lab: LabOptics, meant: Meant) -> Assumes:
    """The hand, jars, programme and finish that a prediction means, the chips' own where none is named."""
    return Assumes(
        operator=meant.operator or lab.optics.operator,
        lots={**lab.lots, **lab.known.newest_lots, **lab.in_work({}), **meant.lots},
        programme=meant.programme,
        finish=meant.finish,
    )


def _check_stains(recipes: Sequence[Recipe], lab: LabOptics, path: Path | str) -> None:
    known = {*lab.optics.stains, *lab.stains}
    for recipe in recipes:
        for layer in recipe.layers:
            for name in layer.pot.stains:
                if name not in known:
                    where = recipe.source or recipe.recipe
                    raise UnknownNameError(say("stain in {file}: {place}:", file=path, place=where), name, known)
                if name in lab.stains and lab.stains[name].kind == "effect":
                    where = recipe.source or recipe.recipe
                    raise FileError(path, say("{name}, an effect", name=name), COMPUTED, where=where, hint=BY_EYE)


def _body(recipe: Recipe, readings: ReadingSet, path: Path, pieces: Pieces) -> OpticalReading:
    if recipe.body not in readings.samples:
        raise FileError(
            path,
            say("body {name!r} without a reading", name=recipe.body),
            say("a sample of that name in {source}", source=readings.source),
            where=recipe.source or None,
            hint=say("read the bare piece first"),
        )
    reading = readings.get(recipe.body)
    found = optical(reading, tissue=reading.tissue)
    if reading.sample in pieces.flat:  # a recipe on a plate stays one
        return found.crossing(pieces.way(reading))
    return pieces.laid_on(found)


def _viewing(readings: ReadingSet, asked: Asked) -> Viewing:
    """What was asked; else the one light and observer of readings that are all L*a*b*; else D65, 10°."""
    if asked.viewing is not None:
        return asked.viewing
    own = {viewing_of(reading) for reading in readings.all}
    only = next(iter(own)) if len(own) == 1 else None
    return only if only is not None and only.known else SPECTRA_SEEN_UNDER


def piece_of(body: OpticalReading, lab: LabOptics, material: str | None) -> Piece:
    """A body's reading with the face of its material."""
    known = lab.bodies.get(body.reading.sample)
    ceramic = lab.optics.ceramic(material or (known.material if known else None)).read_at(body.reading.stage)
    return Piece(body.reflectance, body.surface, ceramic.stray if body.surface == "matt" else 0.0, ceramic)


def forecasts_on(
    body: OpticalReading,
    stacks: Sequence[Layers],
    lab: LabOptics,
    hands: Hands,
    *,
    finish: str,
    material: str | None,
    key: str,
) -> list[Forecast]:
    """Forecasts of several stacks on one body."""
    return forecast(
        lab.optics,
        piece_of(body, lab, material),
        stacks,
        key=key,
        glazed=finish == "glaze" or not has_bare_face(body.surface),
        hands=hands,
        families=lab.families,
        reading_covariance=body.ln_covariance,
    )


def _predicted(
    recipe: Recipe, body: OpticalReading, lab: LabOptics, hands: Hands, meant: Meant, viewing: Viewing, asked: Asked
) -> PredictedRecipe:
    (found,) = forecasts_on(body, [recipe.layers], lab, hands, finish=meant.finish, material=None, key=recipe.recipe)
    bare = colour_of(body.reading, viewing, adapt=asked.adapt)  # refuses L*a*b* of another light unasked
    wavelengths, reflectance = body.after(found.reflectance)
    colour = lab_of(reflectance, wavelengths, viewing)
    drawn = lab_on_grid(np.minimum(np.exp(draw(found, DRAWS)), BRIGHTEST), viewing)
    drawn = drawn + (colour - lab_on_grid(found.reflectance, viewing))
    p90 = float(np.quantile(delta_e_2000(drawn, colour), 0.9))
    return PredictedRecipe(
        recipe=recipe.recipe,
        L=float(colour[0]),
        a=float(colour[1]),
        b=float(colour[2]),
        illuminant=viewing.illuminant,
        observer=viewing.observer,
        dE00_p90=p90,
        wavelengths=wavelengths.tolist(),
        reflectance=reflectance.tolist(),
        warnings=warnings_of([bare]) + _unproved(recipe.layers, lab),
    )


def _unproved(layers: Layers, lab: LabOptics) -> list[str]:
    names = sorted(_stains_of(layers) - lab.optics.stains.keys())
    return [
        say("{stain} has no stripe yet: only what its colour family commonly does is known", stain=name)
        for name in names
    ]
