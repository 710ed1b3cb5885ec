"""What a zone in a photo may be made of: the lab's own material, living tissue, or nothing that is known."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from stainbook.book import Book
from stainbook.colour import resample
from stainbook.language import joined, say
from stainbook.photo.doubt import kind_words
from stainbook.photo.tissue_families import gum_models, living_family
from stainbook.records import Reading, tissue_of

Floats = NDArray[np.float64]

FEWEST = 12  # spectra of the lab's own, below which they say too little
MOST = 240
LIVING = "living"  # stage of a reading taken in a mouth
_FIRED = ("stained", "glazed", "delivered", "returned")


def kind_of(subject: str, tissue: str) -> str:
    """The kind of a zone, as priors and doubt name it."""
    what = "gum" if tissue == "gingiva" else "tooth"
    return f"{'living' if subject == 'patient' else 'fired'} {what}"


class Priors:
    """Likely reflectances by kind, the lab's own looked up in its book when a piece is first asked for."""

    def __init__(self, book: Book | None) -> None:
        self._book = book
        self._own: dict[str, Floats] | None = None
        self._gums: list[Floats] | None = None

    def of(self, subject: str, tissues: Iterable[str], *, grey_only: bool) -> tuple[dict[str, Floats], dict[str, str]]:
        """Reflectances (n, 31) by kind, and in words what is used for each kind and why."""
        known: dict[str, Floats] = {}
        why: dict[str, str] = {}
        for tissue in sorted(tissues):
            kind = kind_of(subject, tissue)
            found, why[kind] = self._one(subject, tissue, kind, grey_only=grey_only)
            if found is not None:
                known[kind] = found
        return known, why

    def tissues(self, subject: str) -> dict[str, tuple[Floats, ...]]:
        """Reflectances (n, 31) by kind and by each model of a living tissue, the lab's own spectra first."""
        return {"living gum": gum_models(self._living_gums())} if subject == "patient" else {}

    def _living_gums(self) -> Floats | None:
        """Spectra of living gum that the lab has read, at stage `living`; None for too few."""
        if self._gums is None:
            self._gums = _living_spectra(self._book) if self._book is not None else []
        return np.array(self._gums[-MOST:]) if len(self._gums) >= FEWEST else None

    def _one(self, subject: str, tissue: str, kind: str, *, grey_only: bool) -> tuple[Floats | None, str]:
        if subject == "patient":
            gums = self._living_gums() if tissue == "gingiva" else None
            told = say("{kind}: curves of living tissue", kind=kind_words(kind))
            if gums is not None:
                told = joined([told, say("and the lab's own {n} spectra of gum", n=len(gums))], "; ")
            return living_family(tissue), told
        own = self._lab().get(tissue)
        if own is not None and len(own) >= FEWEST:
            return own, say(
                "{kind}: the lab's own {n} readings of chips, bodies and pieces", kind=kind_words(kind), n=len(own)
            )
        if grey_only:  # greys cannot tell one colour from another: the nearest that is known
            both = np.vstack([living_family("tooth"), living_family("gingiva")])
            return both, say(
                "{kind}: the book holds too few readings of the lab's material, tooth and gum curves instead",
                kind=kind_words(kind),
            )
        return None, say(
            "{kind}: the chart alone, since the book holds too few spectra of the lab's material", kind=kind_words(kind)
        )

    def _lab(self) -> dict[str, Floats]:
        if self._own is None:
            self._own = {}
            if self._book is not None:
                self._own = _own_spectra(self._book)
        return self._own


def _own_spectra(book: Book) -> dict[str, Floats]:
    """Spectra of chips for both tissues, and of bodies and fired pieces for the tissue that they are of."""
    chips = {chip.chip for chip in book.chips()} | {chip.body for chip in book.chips()}
    bodies = set(book.bodies())
    found: dict[str, list[Floats]] = {"tooth": [], "gingiva": []}
    for reading in book.readings():
        fired = reading.sample in bodies or reading.stage in _FIRED
        if not reading.is_spectral or not (reading.sample in chips or fired):
            continue
        curve = np.maximum(resample(np.asarray(reading.reflectance), reading.wavelengths), 1e-3)
        for tissue in _tissues(reading, chip=reading.sample in chips):
            found[tissue].append(curve)
    return {tissue: np.array(curves[-MOST:]) for tissue, curves in found.items() if curves}


def _living_spectra(book: Book) -> list[Floats]:
    found = [reading for reading in book.readings() if reading.is_spectral and reading.stage == LIVING]
    found = [reading for reading in found if _tissues(reading, chip=False) == ("gingiva",)]
    return [np.maximum(resample(np.asarray(one.reflectance), one.wavelengths), 1e-3) for one in found]


def _tissues(reading: Reading, *, chip: bool) -> tuple[str, ...]:
    stated = reading.tissue or next((t for word in reading.sample.split("-") if (t := tissue_of(word))), None)
    return ("tooth", "gingiva") if chip or stated is None else (stated,)
