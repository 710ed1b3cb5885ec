"""A ceramic as a layer that what lies behind it shows through: its scattering and absorption, and a piece as seated.

Four streams as in `streams`, in the ceramic's own medium. Two readings of one ceramic, over two backings or at two
thicknesses, give K and S per mm in each band. A piece is then taken apart with that S: its own K is the one that
explains its reading at its thickness over what lay behind it, whatever colour it has; then it is put on something
else. Backings are in optical contact and send back what they were read to send back.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from stainbook.optics.ceramic import (
    Ceramic,
    bare_reading,
    inner_reflectance,
    read_bare,
    through_face,
    under_glass,
)
from stainbook.optics.streams import Medium, lambertian, lay_on, seen_outside, slab
from stainbook.optics.two_by_two import Array

K_PRIOR = (-4.0, 3.0)  # ln K per mm, where readings do not tell: tooth-coloured zirconia (simulated), any other
S_PRIOR = (2.2, 1.5)  # ln S per mm likewise
READING_SD = 0.003  # of ln inner reflectance, all bands of one reading together: seating; common practice
BAND_SD = 0.003  # of one band
THICKNESS_SD = 0.1  # mm: callipers on a curved piece; common practice
# Of ln of what the backing sends back through the cement, an assumption, no cement is modelled: all bands together, and
# from one end of the spectrum to its middle, since cements are bluish, yellow or brown.
CEMENT_SD = 0.15
CEMENT_TINT_SD = 0.15
THINNEST = 0.05  # mm
LIGHTEST = 0.98  # no backing sends back more
UNEXPLAINED = 0.02  # mean ln inner reflectance by which readings may miss the best K and S
BLACK, WHITE = 0.01, 0.90  # backings that translucency is told between
_STEP = 1e-4
_STEPS = 40
_LONGEST = 1.0  # of one step in ln K and ln S
_LOW, _HIGH = -12.0, 6.0  # bounds of ln K and ln S


class Laying(NamedTuple):
    """How a body lay when it was read, or will lie: mm of ceramic, and the reflectance (31,) behind it."""

    thickness: float
    backing: Array


@dataclass(frozen=True, slots=True, eq=False)
class FiniteBody:
    """One ceramic: ln K and ln S (31,) per mm, and rows (r, 31) of one standard deviation of ln S."""

    ln_K: Array
    ln_S: Array
    ln_S_rows: Array
    unexplained: float  # root mean square of ln inner reflectance that is left of its readings


@lru_cache(maxsize=64)
def _medium(index: float) -> Medium:
    return Medium.of(index)


def inner_over(ln_K: Array, ln_S: Array, thickness: Array | float, backing: Array, *, ceramic: Ceramic) -> Array:
    """Diffuse reflectance below the face of a layer of ceramic over a backing.

    ``ln_K`` and ``ln_S`` are per mm, ``thickness`` is in mm, ``backing`` a reflectance; arrays of any shapes that go
    together.
    """
    medium = _medium(max(ceramic.index, 1.01))
    K, S = np.exp(ln_K) * thickness, np.exp(ln_S) * thickness
    below = lambertian(np.broadcast_to(backing, np.broadcast_shapes(K.shape, S.shape)), medium=medium)
    read = seen_outside(lay_on(*slab(K, S, medium=medium), below), medium=medium)
    return inner_reflectance(read, surface="polished", stray=0.0, ceramic=ceramic)


def inner_of(reading: Array, *, surface: str | None, stray: Array | float, ceramic: Ceramic) -> Array:
    """Diffuse reflectance below the face of a reading, bare or under glass.

    Parameters
    ----------
    reading : (…, n) float, reflectance factor
    surface : as the reading states it
    stray : reflectance factor, taken off matt faces
    ceramic : whose face it is

    >>> import numpy as np
    >>> from stainbook.optics.ceramic import Ceramic
    >>> from stainbook.optics.finite import inner_of
    >>> zirconia, read = Ceramic.of("zirconia"), np.array([0.5])
    >>> inner_of(read, surface="polished", stray=0.0, ceramic=zirconia).round(2).tolist()
    [0.88]
    """
    if surface is not None and read_bare(surface):
        return inner_reflectance(reading, surface=surface, stray=stray, ceramic=ceramic)
    low, high = np.full_like(reading, 1e-4), np.full_like(reading, 0.9999)
    for _ in range(40):  # the reading under glass grows with what lies below it
        middle = 0.5 * (low + high)
        lighter = _under_glass(middle, ceramic) < reading
        low, high = np.where(lighter, middle, low), np.where(lighter, high, middle)
    return np.asarray(0.5 * (low + high))


def reading_of(inner: Array, *, surface: str | None, stray: Array | float, ceramic: Ceramic) -> Array:
    """The reading of a diffuse reflectance below the face, bare or under glass: the inverse of `inner_of`.

    Parameters
    ----------
    inner : (…, n) float, diffuse reflectance below the face
    surface : how it is to be read
    stray : reflectance factor, added on matt faces
    ceramic : whose face it is

    >>> import numpy as np
    >>> from stainbook.optics.ceramic import Ceramic
    >>> from stainbook.optics.finite import reading_of
    >>> zirconia, inner = Ceramic.of("zirconia"), np.array([0.88])
    >>> reading_of(inner, surface="polished", stray=0.0, ceramic=zirconia).round(2).tolist()
    [0.49]
    """
    if surface is not None and read_bare(surface):
        return bare_reading(inner, surface=surface, stray=stray, ceramic=ceramic)
    return _under_glass(inner, ceramic)


def _under_glass(inner: Array, ceramic: Ceramic) -> Array:
    return through_face(under_glass(inner, ceramic=ceramic))


def finite_body(inner: Sequence[Array], layings: Sequence[Laying], *, ceramic: Ceramic) -> FiniteBody:
    """K and S of a ceramic from its readings, two or more.

    Parameters
    ----------
    inner : of each reading, (n,) diffuse reflectance below the face
    layings : thickness (mm) of the ceramic at each reading, and the reflectance (n,) behind it
    ceramic : its face

    Returns
    -------
    FiniteBody : ln K and ln S (n,) per mm

    >>> import numpy as np
    >>> from stainbook.optics.ceramic import Ceramic
    >>> from stainbook.optics.finite import Laying, finite_body
    >>> over = [Laying(1.0, np.array([0.05])), Laying(1.0, np.array([0.9]))]  # 1 mm over black and over white
    >>> fitted = finite_body([np.array([0.80]), np.array([0.88])], over, ceramic=Ceramic.of("zirconia"))
    >>> np.exp([fitted.ln_K[0], fitted.ln_S[0]]).round(2).tolist()
    [0.02, 12.95]
    """
    seen = np.log(np.array(inner))  # (r, 31)
    thickness = np.array([[one.thickness] for one in layings])
    backing = np.array([one.backing for one in layings])
    noise = np.hypot(READING_SD, BAND_SD)
    mean = np.array([np.full(seen.shape[1], K_PRIOR[0]), np.full(seen.shape[1], S_PRIOR[0])])
    weight = np.array([[noise / K_PRIOR[1]], [noise / S_PRIOR[1]]]) ** 2
    x = mean.copy()

    def ln(x: Array) -> Array:
        return np.log(inner_over(x[0], x[1], thickness, backing, ceramic=ceramic))

    cost, damping = np.inf, np.full(seen.shape[1], 1e-3)
    for _ in range(_STEPS):
        left, J = seen - ln(x), _slopes(ln, x)
        step = _solved(J, left, weight, weight * (mean - x), damping)
        after = np.clip(x + np.clip(step, -_LONGEST, _LONGEST), _LOW, _HIGH)
        before = (left**2).sum(axis=0) + (weight * (x - mean) ** 2).sum(axis=0)
        now = ((seen - ln(after)) ** 2).sum(axis=0) + (weight * (after - mean) ** 2).sum(axis=0)
        better = now <= before
        x, damping = np.where(better, after, x), np.where(better, damping / 5.0, damping * 10.0)
        if cost - np.minimum(now, before).sum() < 1e-12:
            break
        cost = float(np.minimum(now, before).sum())
    left, J = seen - ln(x), _slopes(ln, x)
    each = [_solved(J, unit, weight, 0.0, 0.0)[1] for unit in np.eye(len(seen))[:, :, None] * np.ones_like(seen)]
    return FiniteBody(x[0], x[1], READING_SD * np.array(each), float(np.sqrt(np.mean(left**2))))


def _slopes(ln: Callable[[Array], Array], x: Array) -> Array:
    """(2, r, 31) of ln inner reflectance by ln K and ln S."""
    base, step = ln(x), np.zeros_like(x)
    out = []
    for i in range(2):
        step[:] = 0.0
        step[i] = _STEP
        out.append((ln(x + step) - base) / _STEP)
    return np.array(out)


def _solved(J: Array, left: Array, weight: Array, pull: Array | float, damping: Array | float) -> Array:
    """(2, 31) of the least squares step in each band."""
    normal = np.einsum("irw,jrw->wij", J, J)
    own = weight + damping * np.einsum("wii->iw", normal)
    normal = normal + np.einsum("iw,ij->wij", np.broadcast_to(own, J.shape[::2]), np.eye(2))
    gradient = np.einsum("irw,rw->iw", J, left) + pull
    return np.asarray(np.linalg.solve(normal, gradient.T[..., None])[..., 0].T)


def seated(inner: Array, body: FiniteBody, read: Laying, on: Laying, *, ceramic: Ceramic) -> tuple[Array, Array]:
    """Inner reflectance of a piece that is put on something else, with its doubt.

    The doubt is that of the thickness, of how light and of what colour the cement behind the piece is, and of S as the
    ceramic's readings show it.

    Parameters
    ----------
    inner : (n,) diffuse reflectance below the face, as the piece was read
    body : its ceramic
    read, on : thickness (mm) and the reflectance (n,) behind it, at the reading and as seated
    ceramic : its face

    Returns
    -------
    (n,) float, inner reflectance, and (k, n) rows of one standard deviation of its ln

    >>> import numpy as np
    >>> from stainbook.optics.ceramic import Ceramic
    >>> from stainbook.optics.finite import FiniteBody, Laying, seated
    >>> fitted = FiniteBody(np.log([0.02]), np.log([9.0]), np.zeros((0, 1)), 0.0)
    >>> on_white, on_dark = Laying(1.0, np.array([0.9])), Laying(1.0, np.array([0.2]))
    >>> seated(np.array([0.88]), fitted, on_white, on_dark, ceramic=Ceramic.of("zirconia"))[0].round(2).tolist()
    [0.75]
    """
    likeliest = np.zeros_like(body.ln_S)
    ln_S = body.ln_S + np.array([likeliest] * 4 + [*body.ln_S_rows])
    thicker, lighter = np.zeros((len(ln_S), 1)), np.zeros_like(ln_S)
    thicker[1], lighter[2] = THICKNESS_SD, CEMENT_SD
    lighter[3] = CEMENT_TINT_SD * np.linspace(-1.0, 1.0, ln_S.shape[1])
    as_read, as_seated = (np.maximum(one.thickness + thicker, THINNEST) for one in (read, on))
    ln_K = _own_K(inner, body.ln_K, ln_S, as_read, read.backing, ceramic)
    before = inner_over(ln_K, ln_S, as_read, read.backing, ceramic=ceramic)
    backing = np.minimum(on.backing * np.exp(lighter), LIGHTEST)
    after = inner_over(ln_K, ln_S, as_seated, backing, ceramic=ceramic)
    found = np.clip(inner * after / before, 1e-4, 0.9999)
    return found[0], np.log(found[1:] / found[0])


def _own_K(inner: Array, start: Array, ln_S: Array, thickness: Array, backing: Array, ceramic: Ceramic) -> Array:
    """ln K (k, 31) that explains a reading with these S and thicknesses: Newton steps, damped by their bounds."""
    x = np.broadcast_to(start, ln_S.shape).copy()
    for _ in range(12):
        base = inner_over(x, ln_S, thickness, backing, ceramic=ceramic)
        slope = (inner_over(x + 1e-3, ln_S, thickness, backing, ceramic=ceramic) - base) / 1e-3
        step = np.clip((inner - base) / np.minimum(slope, -1e-9), -_LONGEST, _LONGEST)
        x = np.clip(x + step, _LOW, _HIGH)
        if np.abs(step).max() < 1e-6:
            break
    return np.asarray(x)
