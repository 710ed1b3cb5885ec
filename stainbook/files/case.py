"""case.yaml: a piece of work, its zones, where each is and where it must go."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from stainbook.colour import SHIPPED_ILLUMINANTS, illuminant_name
from stainbook.errors import FileError, UnknownNameError
from stainbook.files.case_zones import apply_tabs, read_apply, read_tooth, read_zones, resolve_like
from stainbook.files.loaded import Loaded
from stainbook.files.short_set import like_the_short_set
from stainbook.files.text import shown
from stainbook.files.yaml_nodes import Node, read_yaml
from stainbook.kept import ACCEPTED_BY, RETURNED_FOR
from stainbook.language import joined, say, say_n
from stainbook.records import (
    EFFECTS,
    FINISHES,
    STAGES,
    UNKNOWN_VIEWING,
    Blank,
    Case,
    Effect,
    GuideTab,
    Later,
    Limits,
    Pot,
    Viewing,
)

KEYS = (
    "case", "material", "stage", "finish", "zones", "apply", "effects", "operator", "programme", "lots", "limits",
    "readings", "accepted_by", "returned", "mark", "blank", "ceramic", "read_over", "seated_on", "lights",
)  # fmt: skip
EXTENTS = ("all", "short")  # of the readings that a case wants
_EFFECT_KEYS = ("tooth", "effect", "place", "pot", "note")
_ROUNDING = 1e-9  # shares such as three times 1/3 may add up to a little more than 1
_COUNTS = {
    "firings_left": (0, 20), "layers": (1, 6), "coats": (1, 20), "pots": (1, 100), "coats_in_all": (1, 40),
    "dryings": (0, 5),
}  # what a bench can mean  # fmt: skip
_EVER_FIRED = (0, 9999)  # firings left and had, of a piece that came back again and again
_MOST_STRENGTHS = 32
HIGHEST_MM = 100.0  # in a blank: the highest discs have less than 40
MARK = re.compile("[0-9a-f]{16}")


def read_case(
    path: Path | str,
    *,
    guide: Sequence[GuideTab] | None = None,
    viewing: Viewing = UNKNOWN_VIEWING,
    exchanged: bool = False,
) -> Loaded[Case]:
    """Read one case; ``guide`` holds the tabs that ``apply`` may name, ``viewing`` the default of L*, a*, b*.

    A zone without ``now`` and ``like`` has no reading in the files: the newest in the book is meant.

    exchanged : as `read_zones` has it; firings had since the number left was set count among those left

    Raises
    ------
    FileError
        For anything malformed: names the file, the row and key, what was found and expected.

    >>> from pathlib import Path
    >>> from stainbook.files import read_case
    >>> Path("case.yaml").write_text("case: W-1\\nzones: [{tooth: 11, zone: middle}]\\n")
    45
    >>> read_case("case.yaml").records[0].zones[0].key
    (11, 'middle')
    """
    root = read_yaml(path, say("a case"))
    keys = root.mapping(KEYS, required=("case", "zones"))
    folder = Path(path).parent
    stage = keys["stage"].choice(STAGES) if "stage" in keys else None
    listed = keys["zones"].items()
    zones, warnings = apply_tabs(
        read_zones(listed, folder, viewing, green=stage == "green", exchanged=exchanged),
        read_apply(keys.get("apply")),
        guide,
    )
    if not zones and "apply" not in keys:
        raise keys["zones"].fail(say("no zone"), say("one zone or more"))
    zones = resolve_like(zones, listed)
    short = "readings" in keys and keys["readings"].choice(EXTENTS) == "short"
    case = Case(
        case=keys["case"].text(),
        zones=like_the_short_set(zones) if short else zones,
        material=_text(keys, "material"),
        stage=stage,
        finish=keys["finish"].choice(FINISHES) if "finish" in keys else FINISHES[0],
        effects=tuple(map(_effect, keys["effects"].items())) if "effects" in keys else (),
        operator=_text(keys, "operator"),
        programme=_text(keys, "programme"),
        lots=_lots(keys["lots"]) if "lots" in keys else (),
        limits=_limits(keys["limits"], exchanged=exchanged) if "limits" in keys else Limits(),
        accepted_by=keys["accepted_by"].choice(ACCEPTED_BY) if "accepted_by" in keys else None,
        returned=keys["returned"].choice(RETURNED_FOR) if "returned" in keys else None,
        ceramic=_text(keys, "ceramic"),
        read_over=_text(keys, "read_over"),
        seated_on=_text(keys, "seated_on"),
        mark=_mark(keys["mark"]) if "mark" in keys else None,
        blank=_blank(keys["blank"]) if "blank" in keys else None,
        lights=_lights(keys["lights"]) if "lights" in keys else None,
        folder=folder,
        source=str(path),
    )
    return Loaded((case,), warnings)


def read_cases(
    paths: Iterable[Path | str], *, guide: Sequence[GuideTab] | None = None, viewing: Viewing = UNKNOWN_VIEWING
) -> Loaded[Case]:
    """Read several case files, each another case; raises FileError as `read_case` does.

    >>> from pathlib import Path
    >>> from stainbook.files import read_cases
    >>> Path("case.yaml").write_text("case: W-1\\nzones: [{tooth: 11, zone: middle}]\\n")
    45
    >>> [one.case for one in read_cases(["case.yaml"]).records]
    ['W-1']
    """
    cases: dict[str, Case] = {}
    warnings: list[str] = []
    for path in paths:
        loaded = read_case(path, guide=guide, viewing=viewing)
        case = loaded.records[0]
        if case.case in cases:
            raise FileError(
                path,
                say("case {case} as in {source}", case=shown(case.case), source=cases[case.case].source),
                say("each case once"),
            )
        cases[case.case] = case
        warnings.extend(loaded.warnings)
    return Loaded(tuple(cases.values()), tuple(warnings))


def read_pot(node: Node) -> Pot:
    """Read a mapping of stain to share; the rest, or a share of ``clear``, is clear glaze, and ``{}`` is it alone.

    Raises FileError for shares that are none, or more than 1 in all.

    >>> from pathlib import Path
    >>> from stainbook.files import read_pot
    >>> from stainbook.files.yaml_nodes import read_yaml
    >>> Path("pot.yaml").write_text("{husk: 1/4}")
    11
    >>> read_pot(read_yaml("pot.yaml", "a mix")).as_dict()
    {'husk': 0.25}
    """
    shares = {name: share.share() for name, share in node.mapping().items()}
    if sum(shares.values()) > 1.0 + _ROUNDING:
        raise node.fail(say("shares that add up to {total:g}", total=sum(shares.values())), say("at most 1"))
    return Pot.of(shares)


def _mark(node: Node) -> str:
    """What an exchange names the case by."""
    text = node.text()
    if not MARK.fullmatch(text):
        raise node.fail(shown(text), say("a mark as `stainbook book export` writes it: 16 of 0-9 and a-f"))
    return text


def _blank(node: Node) -> Blank:
    """The one blank of the piece: its name, or a mapping with lot and layers, each a height in it and a sample."""
    if isinstance(node.value, str):
        return Blank(node.text())
    keys = node.mapping(("name", "lot", "layers"), required=("name",))
    layers = []
    for one in keys["layers"].items() if "layers" in keys else ():
        own = one.mapping(("height_mm", "sample"), required=("height_mm", "sample"))
        layers.append((own["height_mm"].number(0.0, HIGHEST_MM), own["sample"].text()))
    return Blank(keys["name"].text(), _text(keys, "lot"), tuple(layers))


def _text(keys: dict[str, Node], name: str) -> str | None:
    return keys[name].text() if name in keys else None


def _effect(node: Node) -> Effect:
    keys = node.mapping(_EFFECT_KEYS, required=("tooth", "effect"))
    effect = keys["effect"].text()
    return Effect(
        tooth=read_tooth(keys["tooth"]),
        effect=effect.lower() if effect.lower() in EFFECTS else effect,
        place=_text(keys, "place"),
        pot=read_pot(keys["pot"]) if "pot" in keys else None,
        note=keys["note"].lines() if "note" in keys else None,
    )


def _lots(node: Node) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((stain, lot.text()) for stain, lot in node.mapping().items()))


def _limits(node: Node, *, exchanged: bool) -> Limits:
    keys = node.mapping((*_COUNTS, "strengths", "stains", "later", "liquid_way"))
    ranges = _COUNTS | ({"firings_left": _EVER_FIRED} if exchanged else {})
    counts = {name: keys[name].integer(*ranges[name]) for name in ranges if name in keys}
    default = Limits()
    return Limits(
        **counts,
        strengths=_strengths(keys["strengths"]) if "strengths" in keys else default.strengths,
        stains=keys["stains"].texts() if "stains" in keys else None,
        later=_later(keys["later"]) if "later" in keys else None,
        liquid_way=keys["liquid_way"].share() if "liquid_way" in keys else None,
    )


def _later(node: Node) -> Later:
    """What surface stain may do after sintering."""
    counts = ("layers", "coats", "pots")
    keys = node.mapping((*counts, "strengths", "stains"))
    return Later(
        **{name: keys[name].integer(*_COUNTS[name]) for name in counts if name in keys},
        strengths=_strengths(keys["strengths"]) if "strengths" in keys else None,
        stains=keys["stains"].texts() if "stains" in keys else None,
    )


def _lights(node: Node) -> tuple[str, ...]:
    """Lights by their names, each once."""
    found = []
    for name in node.texts():
        try:
            found.append(illuminant_name(name))
        except UnknownNameError as error:
            raise node.fail(
                say("the light {name}", name=shown(name)),
                say("lights such as {lights}", lights=joined(SHIPPED_ILLUMINANTS)),
            ) from error
    return tuple(dict.fromkeys(found))


def _strengths(node: Node) -> tuple[float, ...]:
    shares = sorted({item.share() for item in node.items()})
    if not 1 <= len(shares) <= _MOST_STRENGTHS:
        raise node.fail(say_n("{n} strength", "{n} strengths", len(shares)), say("1 to {most}", most=_MOST_STRENGTHS))
    return tuple(shares)
