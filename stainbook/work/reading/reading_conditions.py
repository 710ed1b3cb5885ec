"""How colours that meet were read: instrument, geometry, gloss, aperture. Alike, brought over with doubt, or said.

The optics learn from chips as those were read. A piece or target that was read in another way is brought
to theirs: what is known of the way (the mirror image of a face, Fresnel) is added or taken off, what is not
widens the doubt, and one line says so. Where only one side says how it was read, the doubt grows by a share
of what a difference would do.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import lab_to_xyz, xyz_to_lab
from stainbook.errors import some_of
from stainbook.language import filled, joined, say, say_as
from stainbook.optics.ceramic import Ceramic, faces
from stainbook.optics.interfaces import outside_beam_reflectance
from stainbook.optics.streams import GLASS
from stainbook.records import Reading
from stainbook.words.figures import figure

if TYPE_CHECKING:
    from stainbook.book import Book

Floats = NDArray[np.float64]

CHIPS_FIT = "optics"  # the scope of the fit that the book keeps of its chips
WATER = 1.33  # index
EXPECTED = "expected"  # the note of a reading that nobody took

# Of what is not known of a conversion; common practice, held against simulated worlds (DEVELOPERS, Reading conditions).
MIRROR_SD = 0.1  # of a smooth face's mirror image: ripples and edges throw some of it elsewhere
ROUGH_MIRROR_SD = 0.15  # of a matt face's: its facets do not all lie flat
GEOMETRY_SD = 0.03  # of ln reflectance: light from a ring or a sphere comes back unlike from what is translucent
INSTRUMENT_SD = 0.05  # of ln reflectance: two scales differ by a few percent (see `colour.agreement`)
APERTURE_SD = 0.05  # of ln reflectance: a small port loses 6 to 16 % sideways of a bare piece, 4 to 11 % once stained
APERTURE_ALIKE = 1.25  # ports of no more than this ratio lose alike
# A small port loses light sideways out of a thin piece that a thick plate keeps, and less of it once stain lies on the
# piece: what plates show of stain does not hold for it. Ports up to 4 mm count as small: common practice.
SMALL_PORT_MM, SMALL_PORT_SD = 4.0, 0.04  # of ln reflectance
TILT = 0.5  # of each of these, what grows to the ends of the spectrum
UNSTATED = 0.25  # share of a difference that counts where one side does not say how it was read

_SPHERE, _RING = "8:d", "45:0"
_WHITE = np.full(3, 100.0)  # of any light: a shift that is alike in all bands is alike in X, Y, Z over the white's
_CENTRES = np.array([0.12, 0.05, -0.65])  # where X, Y, Z lie on the spectrum from -1 (400 nm) to 1 (700 nm)


@dataclass(frozen=True, slots=True)
class ReadWith:
    """How a colour was read; None where nothing says it."""

    instrument: str | None = None
    geometry: str | None = None
    specular: str | None = None
    aperture_mm: float | None = None

    @property
    def by_small_port(self) -> bool:
        """True where light is lost sideways that plates keep."""
        return self.aperture_mm is not None and self.aperture_mm <= SMALL_PORT_MM

    @classmethod
    def of(cls, reading: Reading) -> ReadWith:
        """As a reading says it; 45:0 sees no mirror image."""
        geometry = one_spelling(reading.geometry)
        specular = reading.specular or ("excluded" if geometry == _RING else None)
        return cls(reading.instrument, geometry, specular, reading.aperture_mm)

    @classmethod
    def usual(cls, readings: Iterable[Reading]) -> ReadWith:
        """What most of some readings say, point by point; None where most say nothing."""
        all_of = [cls.of(reading) for reading in readings]
        most = {
            name: Counter(getattr(one, name) for one in all_of).most_common(1)[0][0]
            for name in cls.__dataclass_fields__
            if all_of
        }
        return cls(**most)


@dataclass(frozen=True, slots=True)
class Crossing:
    """The way from how one colour was read to how others were.

    ``shift`` is added to every band's reflectance factor, ``shift_sd`` its doubt; ``level_sd`` of ln reflectance,
    all bands alike, ``tilt_sd`` growing to the ends of the spectrum. ``told`` says what differs, ``specular`` what
    the gloss is then.
    """

    shift: float = 0.0
    shift_sd: float = 0.0
    level_sd: float = 0.0
    tilt_sd: float = 0.0
    told: tuple[str, ...] = ()
    specular: str | None = None

    def __bool__(self) -> bool:
        return bool(self.told)


AS_READ = Crossing()


def one_spelling(geometry: str | None) -> str | None:
    """A geometry as it is compared: 8:d for spheres either way round, 45:0 for rings, else as it is written."""
    if geometry is None:
        return None
    plain = re.sub(r"[^0-9a-z:]", "", geometry.casefold().replace("/", ":"))
    if re.fullmatch(r"d[ie]?:[08]|[08]:d[ie]?", plain):
        return _SPHERE
    if plain == "sphere":
        return _SPHERE
    return _RING if re.fullmatch(r"45[acx]?:0|0:45[acx]?", plain) else plain


def chips_read_with(book: Book) -> ReadWith | None:
    """How the chips of the book's fit were read; None where nothing was calibrated."""
    fit = book.fit(CHIPS_FIT)
    if fit is None:
        return None
    stored: Mapping[str, Any] | None = fit.document.get("read_with")
    if stored is not None:
        return ReadWith(**stored)
    chips = book.chips()  # a fit of an earlier version
    found = (book.find_reading(name) for name in dict.fromkeys(chip.chip for chip in chips))
    return ReadWith.usual(reading for reading in found if reading is not None)


def faces_of(book: Book) -> dict[str, Ceramic]:
    """The ceramics of the book's fit, by material."""
    fit = book.fit(CHIPS_FIT)
    return {name: Ceramic(**values) for name, values in fit.document.get("ceramics", {}).items()} if fit else {}


def crossing(own: ReadWith, to: ReadWith, *, surface: str, ceramic: Ceramic) -> Crossing:
    """The way from one way of reading to another.

    Parameters
    ----------
    own, to : how this colour and how those that it meets were read
    surface : that was read (see formats.md)
    ceramic : below it
    """
    shift, shift_sd, told = _gloss(own.specular, to.specular, surface, ceramic)
    level, lines = 0.0, [told] if told else []
    for what, one, other, sd in (
        ("geometry", own.geometry, to.geometry, GEOMETRY_SD),
        ("instrument", own.instrument, to.instrument, INSTRUMENT_SD),
        ("aperture", own.aperture_mm, to.aperture_mm, APERTURE_SD),
    ):
        if one == other or (what == "aperture" and _near(own.aperture_mm, to.aperture_mm)):
            continue
        share = 1.0 if one is not None and other is not None else UNSTATED
        level = float(np.hypot(level, share * sd))
        lines.append(filled(_READ_OTHERWISE[what], own=_said(one), to=_said(other), doubt=share * sd))
    return Crossing(shift, shift_sd, level, TILT * level, tuple(lines), to.specular or own.specular)


_READ_OTHERWISE = {
    "geometry": say("geometry {own}, not {to} (± {doubt:.1%})"),
    "instrument": say("instrument {own}, not {to} (± {doubt:.1%})"),
    "aperture": say("aperture {own}, not {to} (± {doubt:.1%})"),
}


def way_to(to: ReadWith, reading: Reading, surface: str, ceramic: Ceramic) -> Crossing:
    """The way of one reading; photos have their own doubt, and what is typed or expected was read with nothing."""
    own = ReadWith.of(reading)
    if reading.is_photo or reading.notes == EXPECTED or (not reading.is_spectral and own == ReadWith()):
        return AS_READ
    return crossing(own, to, surface=surface, ceramic=ceramic)


def through_small_port(way: Crossing, meets: ReadWith, reading: Reading) -> Crossing:
    """The way of a piece that was read through the same small port as the plates: it loses light that they keep."""
    port = reading.aperture_mm
    if reading.is_photo or not (meets.by_small_port and _near(port, meets.aperture_mm)):
        return way
    level = float(np.hypot(way.level_sd, SMALL_PORT_SD))
    line = filled(_SMALL_PORT, own=_said(port), doubt=SMALL_PORT_SD)
    return replace(way, level_sd=level, tilt_sd=TILT * level, told=(*way.told, line))


_SMALL_PORT = say("aperture {own}, through which a piece loses light that a plate keeps (± {doubt:.1%})")


def _near(one: float | None, other: float | None) -> bool:
    return one is not None and other is not None and max(one, other) <= APERTURE_ALIKE * min(one, other)


def _said(value: str | float | None) -> str:
    if value is None:
        return say("unstated")
    return joined([figure(value), "mm"], " ") if isinstance(value, float) else _SPECULAR.get(value, value)


_SPECULAR = {"included": say("included"), "excluded": say("excluded")}


def _gloss(own: str | None, to: str | None, surface: str, ceramic: Ceramic) -> tuple[float, float, str]:
    """Reflectance to add, its doubt, and what to tell."""
    if own == to:
        return 0.0, 0.0, ""
    mirror, sd = mirror_of(surface, ceramic)
    if own is None or to is None:
        return (
            0.0,
            UNSTATED * mirror,
            say(
                "specular {own}, not {to} (± {doubt:.1%} of the light)",
                own=_said(own),
                to=_said(to),
                doubt=UNSTATED * mirror,
            ),
        )
    told = {"surface": _FACES.get(surface, surface), "mirror": mirror, "doubt": sd}
    if own == "included":
        return (
            -mirror,
            sd,
            say(
                "specular included, not excluded: the mirror image of its {surface} face, {mirror:.1%} of the light, "
                "is taken off (± {doubt:.1%})",
                **told,
            ),
        )
    return (
        mirror,
        sd,
        say(
            "specular excluded, not included: the mirror image of its {surface} face, {mirror:.1%} of the light, is "
            "added (± {doubt:.1%})",
            **told,
        ),
    )


_FACES = {
    "matt": say_as("of a face", "matt"),
    "polished": say_as("of a face", "polished"),
    "glazed": say_as("of a face", "glazed"),
    "wet": say_as("of a face", "wet"),
}


def mirror_of(surface: str, ceramic: Ceramic) -> tuple[float, float]:
    """What a gloss trap takes of a face's reflection, as a reflectance factor, and its doubt."""
    if surface == "matt":
        face = faces(ceramic.index).reflected(ceramic.roughness(surface))
        return max(face - ceramic.stray, 0.0), ROUGH_MIRROR_SD * face
    index = {"polished": ceramic.index, "wet": WATER}.get(surface, GLASS.index)
    face = outside_beam_reflectance(index)
    return face, MIRROR_SD * face


# ---------------------------------------------------------------- bringing colours over


def brought(reading: Reading, way: Crossing) -> Reading:
    """The reading as it would be had it been read the other way; L*a*b* alone by X, Y, Z, for the shift is neutral."""
    if not way.shift:
        return reading
    if reading.is_spectral:
        moved = np.maximum(np.asarray(reading.reflectance) + way.shift, 0.0)
        return replace(reading, reflectance=tuple(moved.tolist()), specular=way.specular)
    L, a, b = brought_lab(np.asarray(reading.lab), way).tolist()
    return replace(reading, lab=(L, a, b), specular=way.specular)


def brought_lab(lab: Floats, way: Crossing) -> Floats:
    """L*, a*, b* (3,) as the other way of reading would have them: the shift is alike in X, Y and Z."""
    return _of_share(_share(lab) + way.shift) if way.shift else lab


def ln_doubt(reflectance: Floats, way: Crossing) -> Floats:
    """Covariance (31, 31) of ln reflectance that the way adds."""
    span = np.linspace(-1.0, 1.0, reflectance.size)
    rows = np.stack([way.shift_sd / reflectance, np.full_like(span, way.level_sd), way.tilt_sd * span])
    return np.asarray(rows.T @ rows)


def lab_doubt(lab: Floats, way: Crossing) -> Floats:
    """Covariance (3, 3) of L*, a*, b* that the way adds."""
    xyz = _share(lab)
    moves = np.stack([np.full(3, way.shift_sd), way.level_sd * xyz, way.tilt_sd * _CENTRES * xyz])
    rows = _of_share(xyz + moves) - lab
    return np.asarray(rows.T @ rows)


def _share(lab: Floats) -> Floats:
    """X, Y, Z over those of the white, 1 for white; the scale of a white is Y = 100."""
    return np.asarray(lab_to_xyz(lab, white=_WHITE)) / 100.0


def _of_share(xyz: Floats) -> Floats:
    return np.asarray(xyz_to_lab(100.0 * np.maximum(xyz, 0.0), white=_WHITE))


def said(ways: Iterable[tuple[str, Crossing]], *, against: str) -> list[str]:
    """One line for each way that colours were brought over; ``ways`` names the samples."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for sample, way in ways:
        if way:
            groups.setdefault(way.told, []).append(sample)
    lines = []
    for told, samples in groups.items():
        names = list(dict.fromkeys(samples))
        read = some_of(names, most=1)
        lines.append(
            say("{samples} read unlike {against}: {ways}", samples=read, against=against, ways=joined(told, "; "))
        )
    return lines
