"""Visual thresholds in ΔE00 as named sets with their source, and the grades that follow from them.

Ends: a difference that equals a threshold is still on its good side.
"""

from __future__ import annotations

from dataclasses import dataclass

from stainbook.errors import UnknownNameError
from stainbook.language import say

NOT_STATED = say("not stated")
LEAST, MOST = 0.01, 20.0  # ΔE00: a threshold beyond these is a slip of the pen
_OWN = "own"


@dataclass(frozen=True, slots=True)
class ThresholdSet:
    """The differences that half of the observers see, and that half of them accept, in ΔE00.

    ``illuminant`` and ``observer`` are those under which the colours were computed, or ``not stated``
    where the source at hand does not say. ``sure`` says whether the figures were seen in the source.
    """

    name: str
    tissue: str
    perceptible: float  # ΔE00
    acceptable: float  # ΔE00
    source: str
    illuminant: str = NOT_STATED
    observer: str = NOT_STATED
    kL: float = 1.0
    kC: float = 1.0
    kH: float = 1.0
    sure: str = say("figures seen in the source's abstract")


_GOMEZ_POLO = "Gomez-Polo C et al. J Dent 2020;103:103502"
_SETS = (
    ThresholdSet(
        "tooth-2015",
        "tooth",
        0.8,
        1.8,
        say(
            "{article}; 175 observers, 63 ceramic discs, viewing booth",
            article="Paravina RD, Ghinea R, Herrera LJ, et al. J Esthet Restor Dent 2015;27 Suppl 1:S1-9",
        ),
    ),
    ThresholdSet("tooth-iso-2016", "tooth", 0.8, 1.8, "ISO/TR 28642:2016", sure=say("figures from memory")),
    ThresholdSet(
        "tooth-2010",
        "tooth",
        1.30,
        2.25,
        say(
            "{article}; 13 observers, 105 pairs of ceramic discs",
            article="Ghinea R et al. J Dent 2010;38 Suppl 2:e57-64",
        ),
        sure=say("acceptable seen in the source's abstract, perceptible from memory"),
    ),
    ThresholdSet(
        "gum-2020",
        "gingiva",
        2.1,
        2.9,
        say("{article}; 352 people, 21 pink ceramic samples, pooled", article=_GOMEZ_POLO),
    ),
    ThresholdSet(
        "gum-2020-strict",
        "gingiva",
        1.5,
        2.0,
        say("{article}; the lowest values of any group of observers", article=_GOMEZ_POLO),
    ),
    ThresholdSet(
        "gum-2020-lenient",
        "gingiva",
        1.8,
        2.5,
        say("{article}; the highest values of any group of observers", article=_GOMEZ_POLO),
    ),
    ThresholdSet(
        "denture-base-2015",
        "gingiva",
        1.71,
        4.00,
        say(
            "{article}; 32 professionals, 291 discs of acrylic",
            article="Ren J, Lin H, Huang Q, Zheng G. Biomed Mater Eng 2015;26(s1) BME-1287",
        ),
    ),
)
_BY_NAME = {one.name: one for one in _SETS}
_DEFAULTS = {"tooth": "tooth-2015", "gingiva": "gum-2020"}


def threshold_sets(tissue: str | None = None) -> tuple[ThresholdSet, ...]:
    """All sets of thresholds of a tissue; the default of each tissue comes first.

    Parameters
    ----------
    tissue : ``tooth``, ``gingiva``, or None for both; no other name has a set

    Returns
    -------
    tuple of ThresholdSet; each names its source

    >>> from stainbook.colour import threshold_sets
    >>> [one.name for one in threshold_sets("gingiva")][:2]
    ['gum-2020', 'gum-2020-strict']
    """
    return tuple(one for one in _SETS if tissue in (None, one.tissue))


def own_set(tissue: str, perceptible: float, acceptable: float) -> ThresholdSet:
    """A set of a lab's own figures, under a name that says them: ``own-tooth-0.8-1.8``.

    Parameters
    ----------
    tissue : ``tooth`` or ``gingiva``
    perceptible, acceptable : ΔE00

    Raises
    ------
    UnknownNameError : for another tissue
    ValueError : unless 0.01 <= perceptible <= acceptable <= 20

    >>> from stainbook.colour import own_set
    >>> own_set("tooth", 0.8, 2.0).name
    'own-tooth-0.8-2'
    """
    if tissue not in _DEFAULTS:
        raise UnknownNameError(say("tissue"), tissue, _DEFAULTS)
    if not LEAST <= perceptible <= acceptable <= MOST:
        raise ValueError(
            say(
                "found {perceptible:g} and {acceptable:g}, expected {least:g} <= perceptible <= acceptable <= {most:g}",
                perceptible=perceptible,
                acceptable=acceptable,
                least=LEAST,
                most=MOST,
            )
        )
    name = f"{_OWN}-{tissue}-{perceptible:g}-{acceptable:g}"
    return ThresholdSet(
        name, tissue, perceptible, acceptable, say("the lab's own figures"), sure=say("as the lab entered them")
    )


def _own(name: str) -> ThresholdSet | None:
    """The set that a name as `own_set` makes it says, None for other names."""
    own, _, rest = name.partition("-")
    parts = rest.split("-")
    if own != _OWN or len(parts) != 3 or parts[0] not in _DEFAULTS:
        return None
    try:
        return own_set(parts[0], float(parts[1]), float(parts[2]))
    except ValueError:
        return None


def threshold_set(name: str) -> ThresholdSet:
    """The set of that name, or of own figures that the name says.

    Raises
    ------
    UnknownNameError : for a name that is not known

    >>> from stainbook.colour import threshold_set
    >>> threshold_set("tooth-2015").acceptable
    1.8
    """
    own = _own(name)
    if own is not None:
        return own
    if name not in _BY_NAME:
        raise UnknownNameError(say("threshold set"), name, _BY_NAME)
    return _BY_NAME[name]


def thresholds(tissue: str) -> ThresholdSet:
    """The default set of a tissue, ``tooth`` or ``gingiva``.

    Raises
    ------
    UnknownNameError : for another tissue

    >>> from stainbook.colour import thresholds
    >>> thresholds("tooth").name
    'tooth-2015'
    """
    if tissue not in _DEFAULTS:
        raise UnknownNameError(say("tissue"), tissue, _DEFAULTS)
    return _BY_NAME[_DEFAULTS[tissue]]


def grade(dE00: float, limits: ThresholdSet) -> str:
    """Acceptability of a ΔE00: ``within`` up to and including the threshold, ``beyond`` above it.

    Parameters
    ----------
    dE00 : ΔE00; NaN gives ``cannot tell``
    limits : the set whose acceptability threshold counts

    >>> from stainbook.colour import grade, thresholds
    >>> grade(1.2, thresholds("tooth"))
    'within'
    """
    return grade_interval(dE00, dE00, limits)


def grade_interval(low: float, high: float, limits: ThresholdSet) -> str:
    """Acceptability of a ΔE00 that lies between two values.

    Parameters
    ----------
    low, high : ΔE00, the ends of the interval
    limits : the set whose acceptability threshold counts

    Returns
    -------
    ``within`` where all of it is, ``beyond`` where none of it is, else ``cannot tell``

    >>> from stainbook.colour import grade_interval, thresholds
    >>> grade_interval(1.2, 2.4, thresholds("tooth"))
    'cannot tell'
    """
    return _told(low, high, limits.acceptable, ("within", "beyond"))


def visibility(dE00: float, limits: ThresholdSet) -> str:
    """Visibility of a ΔE00: ``imperceptible`` up to and including the threshold, ``perceptible`` above it.

    Parameters
    ----------
    dE00 : ΔE00; NaN gives ``cannot tell``
    limits : the set whose perceptibility threshold counts

    >>> from stainbook.colour import thresholds, visibility
    >>> visibility(1.2, thresholds("tooth"))
    'perceptible'
    """
    return visibility_interval(dE00, dE00, limits)


def visibility_interval(low: float, high: float, limits: ThresholdSet) -> str:
    """Visibility of a ΔE00 that lies between two values.

    Parameters
    ----------
    low, high : ΔE00, the ends of the interval
    limits : the set whose perceptibility threshold counts

    Returns
    -------
    ``imperceptible`` where all of it is, ``perceptible`` where all of it is above, else ``cannot tell``

    >>> from stainbook.colour import thresholds, visibility_interval
    >>> visibility_interval(0.2, 0.6, thresholds("tooth"))
    'imperceptible'
    """
    return _told(low, high, limits.perceptible, ("imperceptible", "perceptible"))


def review_grade(dE00: float, limits: ThresholdSet) -> int | None:
    """Grade of a ΔE00 in the five steps of review papers, from 5, excellent, to 1, extremely unacceptable.

    Upper ends are closed: 5 (excellent) up to the perceptibility threshold PT, 4 (acceptable) up to the acceptability
    threshold AT, 3 (moderately unacceptable) up to 2 AT, 2 (clearly unacceptable) up to 3 AT, 1 above.

    Parameters
    ----------
    dE00 : ΔE00
    limits : the set with PT and AT

    Returns
    -------
    int from 1 to 5; None for NaN

    References
    ----------
    Paravina RD, Perez MM, Ghinea R. J Esthet Restor Dent 2019;31:103-112 (scheme from memory).

    >>> from stainbook.colour import review_grade, thresholds
    >>> [review_grade(dE00, thresholds("tooth")) for dE00 in (0.5, 1.2, 3.0)]
    [5, 4, 3]
    """
    if dE00 != dE00:
        return None
    ends = (limits.perceptible, limits.acceptable, 2.0 * limits.acceptable, 3.0 * limits.acceptable)
    return 5 - sum(dE00 > end for end in ends)


def _told(low: float, high: float, limit: float, words: tuple[str, str]) -> str:
    if high <= limit:
        return words[0]
    return words[1] if low > limit else "cannot tell"
