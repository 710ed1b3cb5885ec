"""Light in a layer as four streams: two down, two up, inside and outside the escape cone.

Kubelka and Munk follow one diffuse stream each way. In a glaze that is too coarse: what travels
within 42° of the normal leaves through the face after a short path, what travels flatter is thrown
back by total reflection and crosses the stain again, on a path more than twice as long. So each
half-space is split at the critical angle of the glass. The stream equations are those of discrete
ordinates with isotropic scattering; a slab's reflection and transmission are closed forms in
functions of a 2 x 2 matrix, and slabs are stacked by adding.

For a slab of unit thickness with absorption K and scattering S along the normal, the fluxes down
f and up g obey  f' = -A f + B g,  g' = A g - B f  with A + B = P = diag((K + S)/mu) and
A - B = Q = P - S v (1/mu)^T; v are the shares of solid angle, so that scattering loses nothing.

References
----------
Kubelka P. J Opt Soc Am 1948;38:448-57 and 1954;44:330-5 (stacking).
Mudgett PS, Richards LW. Appl Opt 1971;10:1485-502 (many-flux calculations).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from stainbook.optics.interfaces import diffuse_reflectance, outside_beam_reflectance
from stainbook.optics.two_by_two import IDENTITY, Array, Mat2, add, apply, diagonal, inverse, mul, sub

BACKWARD = 0.2  # share of scattered light that turns back: pigment grains in glass scatter forward (DEVELOPERS, Optics)
_THICKEST = 3.0  # optical depth of the flat stream up to which cosh and sinh keep 10 digits


@dataclass(frozen=True, slots=True)
class Medium:
    """Stream constants of a clear medium of one index under air.

    ``mu`` mean cosines, ``solid`` shares of the half-space's solid angle, ``flux`` shares of
    Lambertian flux, ``face`` reflectance of the face to air from inside, each for the stream inside
    the escape cone and the one outside it; ``entering`` is what the instrument's beam lets in.
    """

    index: float
    mu: tuple[float, float]
    solid: tuple[float, float]
    flux: tuple[float, float]
    face: tuple[float, float]
    entering: float

    @classmethod
    def of(cls, index: float) -> Medium:
        """The constants of a medium of this index."""
        edge = float(np.sqrt(1.0 - 1.0 / index**2))
        return cls(
            index=index,
            mu=((1.0 + edge) / 2.0, edge / 2.0),
            solid=(1.0 - edge, edge),
            flux=(1.0 / index**2, 1.0 - 1.0 / index**2),
            face=(diffuse_reflectance(1.0 / index, edge, 1.0), 1.0),
            entering=1.0 - outside_beam_reflectance(index),
        )


GLASS = Medium.of(1.5)  # fired dental glazes and stains: n 1.48 to 1.52, common practice


def slab(K: Array, S: Array, *, medium: Medium = GLASS) -> tuple[Mat2, Mat2]:
    """Reflection and transmission matrices of one slab, alike from both sides.

    Parameters
    ----------
    K, S : absorption and scattering of the whole slab along the normal, any equal shape, >= 0

    Returns
    -------
    R, T : each four arrays of that shape; columns are the stream that comes in

    >>> R, T = slab(np.array([0.0]), np.array([1.0]))  # nothing is absorbed: what comes in goes out again
    >>> [round(float((R[i] + R[i + 2] + T[i] + T[i + 2])[0]), 6) for i in (0, 1)]
    [1.0, 1.0]
    """
    deepest = float(np.max((K + S) / medium.mu[1], initial=0.0))
    halvings = max(0, int(np.ceil(np.log2(max(deepest, 1e-9) / _THICKEST))))
    R, T = _thin_slab(K / 2**halvings, S / 2**halvings, medium)
    for _ in range(halvings):
        gain = mul(T, inverse(sub(IDENTITY, mul(R, R))))
        R, T = add(R, mul(mul(gain, R), T)), mul(gain, T)
    return R, T


def _thin_slab(K: Array, S: Array, medium: Medium) -> tuple[Mat2, Mat2]:
    m1, m2 = medium.mu
    v1, v2 = medium.solid
    e = K + S + 1e-12  # keeps the two eigenvalues apart where there is no stain at all
    f = 1.0 - 2.0 * BACKWARD
    loss = diagonal(e / m1, e / m2)
    gain = (S * (v1 / m1), S * (v1 / m2), S * (v2 / m1), S * (v2 / m2))
    Q = sub(loss, gain)
    P = sub(loss, (f * gain[0], f * gain[1], f * gain[2], f * gain[3]))
    PQ, QP = mul(P, Q), mul(Q, P)
    half = 0.5 * (PQ[0] + PQ[3])
    root = np.sqrt(np.maximum((0.5 * (PQ[0] - PQ[3])) ** 2 + PQ[1] * PQ[2], 0.0))
    low, high = np.maximum(half - root, 0.0), half + root
    cosh_, sinhc = _even_functions(low, high)
    HP, HQ = mul(_of_matrix(PQ, low, sinhc), P), mul(_of_matrix(QP, low, sinhc), Q)
    C, D = _of_matrix(PQ, low, cosh_), _of_matrix(QP, low, cosh_)
    R = mul(inverse(add(add(C, D), add(HP, HQ))), add(sub(D, C), sub(HP, HQ)))
    T = sub(mul(C, add(IDENTITY, R)), mul(HP, sub(IDENTITY, R)))
    return R, T


def _even_functions(low: Array, high: Array) -> tuple[tuple[Any, Any], tuple[Any, Any]]:
    """Value at ``low`` and divided difference to ``high`` of cosh(sqrt x) and sinh(sqrt x)/sqrt x."""
    a, b = np.sqrt(low), np.sqrt(high)
    ea, eb = np.exp(a), np.exp(b)
    ca, cb = 0.5 * (ea + 1.0 / ea), 0.5 * (eb + 1.0 / eb)
    with np.errstate(invalid="ignore", divide="ignore"):
        sa = np.where(a > 1e-4, 0.5 * (ea - 1.0 / ea) / a, 1.0 + low / 6.0)
        sb = np.where(b > 1e-4, 0.5 * (eb - 1.0 / eb) / b, 1.0 + high / 6.0)
        gap = high - low
        near = gap < 1e-9
        dc = np.where(near, 0.5 * sa, (cb - ca) / gap)
        ds = np.where(near, 1.0 / 6.0, (sb - sa) / gap)
    return (ca, dc), (sa, ds)


def _of_matrix(M: Mat2, low: Array, function: tuple[Any, Any]) -> Mat2:
    """f(M) = f(low) + (M - low) f[low, high], by Cayley and Hamilton."""
    value, slope = function
    return (
        value + (M[0] - low) * slope,
        M[1] * slope,
        M[2] * slope,
        value + (M[3] - low) * slope,
    )


def lay_on(R: Mat2, T: Mat2, base: Mat2) -> Mat2:
    """The matrix of a slab in optical contact with a base: R + T B (I - R B)^-1 T, all of one shape.

    >>> nothing = slab(np.array(0.0), np.array(0.0))
    >>> np.allclose(lay_on(*nothing, lambertian(np.array(0.8))), lambertian(np.array(0.8)))
    True
    """
    return add(R, mul(mul(T, mul(base, inverse(sub(IDENTITY, mul(R, base))))), T))


def lambertian(rho: Array, *, medium: Medium = GLASS) -> Mat2:
    """A base that sends back the share ``rho``, of any shape, of any flux, spread as Lambertian flux.

    >>> to_narrow, _, to_wide, _ = lambertian(np.array(0.8))
    >>> round(float(to_narrow + to_wide), 6)
    0.8
    """
    a, b = rho * medium.flux[0], rho * medium.flux[1]
    return a, a, b, b


def seen_outside(inside: Mat2, *, medium: Medium = GLASS) -> Array:
    """Reflectance factor read in 8°:diffuse geometry, specular excluded, of what lies under the face.

    The instrument's beam enters near the normal, so it starts in the stream of the escape cone.

    >>> round(float(seen_outside(lambertian(np.array(0.8)))), 3)  # faces keep a part of the light inside
    0.593
    """
    r1, r2 = medium.face
    first = (inside[0], inside[2])
    up = apply(inverse(sub(IDENTITY, mul(inside, diagonal(r1, r2)))), first)
    return np.asarray(medium.entering * (1.0 - r1) * up[0])


def under_face(reflectance: Array, *, medium: Medium = GLASS) -> Array:
    """The Lambertian reflectance under a smooth face that gives this reading: the inverse of `seen_outside`.

    ``reflectance`` is a reflectance factor, 8°:diffuse, specular excluded, of any shape.

    >>> import numpy as np
    >>> from stainbook.optics.streams import under_face
    >>> round(float(under_face(np.array([0.5]))[0]), 2)
    0.73
    """
    r1, _ = medium.face
    w1, w2 = medium.flux
    sent = medium.entering * w1 * (1.0 - r1)
    held = w1 * r1 + w2
    return np.asarray(reflectance / (sent + held * reflectance))
