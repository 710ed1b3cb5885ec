"""Changes of a case as its pages ask for them: targets, effects, zones, settings. A case in, a case out."""

from __future__ import annotations

import itertools
import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from stainbook.book import Book
from stainbook.book.teeth_renamed import of_case, renaming
from stainbook.errors import InputError, UnknownNameError
from stainbook.files.case_zones import place_of
from stainbook.files.guide import zone_word
from stainbook.language import joined, say, say_as
from stainbook.records import (
    DEFAULT_SHARES,
    EFFECTS,
    TOOTH_ZONES,
    UNKNOWN_VIEWING,
    Blank,
    Case,
    CaseZone,
    Effect,
    GuideTab,
    LabRef,
    Limits,
    SampleRef,
    TabRef,
    Target,
)
from stainbook.stage_words import finish_name, stage_name
from stainbook.words.effects import effect_name
from stainbook.words.figures import figure
from stainbook.words.places import place as place_name
from stainbook.words.places import zone_name
from stainbook.words.teeth import called
from stainbook.work.case.trial import GUIDE as TRIAL
from stainbook.work.case.undo import listed_zones
from stainbook.work.reading.typed_colour import typed_number
from stainbook.work.reading.typing_slips import typed_target
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.known_stains import check_known
from stainbook.work.stains.painted import painted_layers

Key = tuple[int, str]
AIMS = ("tab", "lab", "reading", "photo", "trial", "none")
_SHARE = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:/\s*(\d+(?:[.,]\d+)?)|\s*(%))?")


@dataclass(frozen=True, slots=True)
class Aim:
    """Where zones must go, as a form tells it; ``kind`` is one of ``AIMS``.

    said : ``guide/tab``, L*, a*, b* as typed, a reading's sample, or the case of a trial piece. value, chroma : a
    shift upon it as typed, in L* and C*.
    """

    kind: str
    said: str = ""
    value: str = ""
    chroma: str = ""


@dataclass(frozen=True, slots=True)
class CaseSettings:
    """What is set of a case beside its zones, texts as typed; ``body`` is the blank of a green piece."""

    material: str = ""
    stage: str | None = None
    finish: str = "glaze"
    operator: str = ""
    programme: str = ""
    body: str | None = None
    lots: str = ""
    firings_left: int = 2
    layers: int = 1
    coats: int = 2
    pots: int | None = None
    strengths: str = ""
    stains: tuple[str, ...] = ()


# ---------------------------------------------------------------- targets


def aimed(case: Case, keys: Collection[Key], aim: Aim, book: Book, asked: Asked) -> Case:
    """The case with another target for some zones.

    Raises InputError for a colour or shift that is none, UnknownNameError for tabs and readings that are not there.
    """
    if not keys:
        raise InputError(say("found no zone, expected one or more: choose them on the arch"))
    shift = _shift(aim)
    targets = {zone.key: target_of(zone, case, aim, shift, book, asked) for zone in case.zones if zone.key in keys}
    zones = (replace(zone, target=targets[zone.key]) if zone.key in targets else zone for zone in case.zones)
    return replace(case, zones=tuple(zones))


def _shift(aim: Aim) -> tuple[tuple[str, float], ...]:
    typed = (("L", aim.value, say("shift of value")), ("C", aim.chroma, say("shift of chroma")))
    found = ((axis, typed_number(text, what)) for axis, text, what in typed if text.strip())
    return tuple((axis, by) for axis, by in found if by)


def target_of(
    zone: CaseZone, case: Case, aim: Aim, shift: tuple[tuple[str, float], ...], book: Book, asked: Asked
) -> Target | None:
    """What a zone's target is by what is asked, with a shift upon it; raises InputError as `aimed` does."""
    name = place_name(*zone.key)
    if aim.kind == "none":
        return None
    if aim.kind == "lab":
        read = typed_target(aim.said, asked, say("target"), tissue=zone.tissue)
        assert read.lab is not None
        return Target(LabRef(read.lab, read.viewing or UNKNOWN_VIEWING), shift)
    if aim.kind in ("reading", "photo"):
        photo = f"{case.case}-patient-{zone.tooth}-{zone.zone}"
        sample = aim.said.strip() if aim.kind == "reading" else photo
        if book.find_reading(sample) is None:
            by_photo = say("reading of {zone} from a photo of the patient:", zone=name)
            missing = say("reading") if aim.kind == "reading" else by_photo
            raise UnknownNameError(missing, sample, [one.sample for one in book.readings()])
        return Target(SampleRef(sample), shift)
    guide, _, tab = aim.said.partition("/")
    if aim.kind == "trial":
        guide, tab = TRIAL, f"{aim.said}-{zone.tooth}"
    known = {one.sample for one in book.guide()}
    if GuideTab(guide, tab, zone.zone, zone.tissue).sample not in known:
        raise InputError(
            say(
                "the tab {guide}/{tab} has no {zone}, so {place} cannot go there; take that zone out of the choice",
                guide=guide,
                tab=tab,
                zone=zone_name(zone.zone),
                place=name,
            )
        )
    return Target(TabRef(guide, tab), shift)


def trials_of(guide: Sequence[GuideTab]) -> list[str]:
    """The cases whose approved trial pieces are tabs."""
    return list(dict.fromkeys(one.tab.rsplit("-", 1)[0] for one in guide if one.guide == TRIAL))


def said_target(target: Target | None) -> str:
    """``house/oat-mid, L +1, C −2``; empty for none."""
    if target is None:
        return ""
    colour = target.colour
    if isinstance(colour, TabRef):
        head = f"{colour.guide}/{colour.tab}"
    elif isinstance(colour, SampleRef):
        head = say("reading {sample}", sample=colour.sample)
    else:
        head = say("L* {L:.1f}, a* {a:.1f}, b* {b:.1f}", **dict(zip("Lab", colour.lab, strict=True)))
    shifts = [joined([axis, figure(by, "+.1f")], " ") for axis, by in target.shift]
    return joined([head, *shifts])


# ---------------------------------------------------------------- effects


def drawn(
    case: Case, teeth: Sequence[int], effect: str, book: Book, place: str = "", mix: str = "", note: str = ""
) -> Case:
    """The case with something to be drawn by eye on some teeth; raises InputError for no tooth, word, or such mix."""
    kind = effect.strip()
    if not teeth or not kind:
        raise InputError(say("found no tooth or no effect, expected a tooth and what is drawn there, such as halo"))
    layers = painted_layers(mix)
    if len(layers) > 1:
        raise InputError(say("found {n} mixes, expected one, such as 1 part flour + 3 parts clear", n=len(layers)))
    check_known(book, layers)
    pot = layers[0].pot if layers else None
    word = kind.lower() if kind.lower() in EFFECTS else kind
    new = tuple(Effect(tooth, word, place.strip() or None, pot, note.strip() or None) for tooth in teeth)
    return replace(case, effects=(*case.effects, *new))


def undrawn(case: Case, effect: Effect) -> Case:
    """The case without one effect of its list; raises InputError where somebody took it off meanwhile."""
    if effect not in case.effects:
        raise InputError(
            say("{tooth} {effect} is not on the list any more", tooth=effect.tooth, effect=effect_name(effect.effect))
        )
    place = case.effects.index(effect)
    return replace(case, effects=(*case.effects[:place], *case.effects[place + 1 :]))


# ---------------------------------------------------------------- zones


def with_zones(case: Case, teeth: Sequence[int], zones: Sequence[str]) -> Case:
    """The case with more zones; those that it has stay as they are. Raises InputError for a word that is no zone."""
    have = {place_of(*zone.key) for zone in case.zones}
    new = []
    for tooth, word in itertools.product(teeth, map(zone_word, zones)):
        if place_of(tooth, word) not in have:
            have.add(place_of(tooth, word))
            new.append(CaseZone(tooth, word, "tooth" if word in TOOTH_ZONES else "gingiva"))
    if not new:
        raise InputError(say("found no zone that the case has not, expected other teeth or zones"))
    return replace(case, zones=(*case.zones, *new))


def without_zones(case: Case, keys: Collection[Key]) -> Case:
    """The case without some zones; raises InputError for all of them, and for one that was fired."""
    fired = [place_name(*zone.key) for zone in case.zones if zone.key in keys and zone.fired]
    if fired:
        raise InputError(say("{zone} was fired, so it stays in the case", zone=fired[0]))
    left = tuple(zone for zone in case.zones if zone.key not in keys)
    if not left or len(left) == len(case.zones):
        raise InputError(say("found {n} zones to take out, expected some, but not all", n=len(case.zones) - len(left)))
    freed = (replace(zone, like=None, like_spread=None) if zone.like in keys else zone for zone in left)
    return replace(case, zones=tuple(freed))


# ---------------------------------------------------------------- settings


def settings_of_case(case: Case) -> CaseSettings:
    """What is set of a case, as a form shows it."""
    limits = case.limits
    return CaseSettings(
        case.material or "",
        case.stage,
        case.finish,
        case.operator or "",
        case.programme or "",
        case.blank.name if case.blank is not None else None,
        "\n".join(f"{stain}: {lot}" for stain, lot in case.lots),
        limits.firings_left,
        limits.layers,
        limits.coats,
        limits.pots,
        ", ".join(map(share_text, limits.strengths)),
        limits.stains or (),
    )


def with_settings(case: Case, told: CaseSettings) -> Case:
    """The case with other settings; raises InputError for jars and strengths that cannot be read."""
    limits = Limits(
        told.firings_left, told.layers, told.coats, told.pots, strengths_of(told.strengths), told.stains or None,
        coats_in_all=case.limits.coats_in_all, dryings=case.limits.dryings, later=case.limits.later,
        liquid_way=case.limits.liquid_way,
    )  # fmt: skip
    changed = replace(
        case,
        material=told.material.strip() or None,
        stage=told.stage,
        finish=told.finish,
        operator=told.operator.strip() or None,
        programme=told.programme.strip() or None,
        lots=_lots(told.lots),
        limits=limits,
        blank=_blank(case.blank, told.body),
    )
    if told.stage != "green":
        return changed
    return replace(changed, zones=tuple(replace(zone, like=None, like_spread=None) for zone in case.zones))


def _blank(before: Blank | None, name: str | None) -> Blank | None:
    """The one blank of the piece, with its lot and layers where it stays the same."""
    if before is not None and name in (None, before.name):
        return before
    return Blank(name) if name else None


def _lots(text: str) -> tuple[tuple[str, str], ...]:
    found: dict[str, str] = {}
    for line in (one.strip() for one in re.split(r"[;\n]", text)):
        stain, mark, lot = (part.strip() for part in line.partition(":"))
        if line and not (mark and stain and lot):
            raise InputError(
                say("found the jar {line!r}, expected a stain and its lot in a line, such as husk: 24-117", line=line)
            )
        if line and found.setdefault(stain, lot) != lot:
            raise InputError(
                say("{stain}: found the jars {one} and {other}, expected one", stain=stain, one=found[stain], other=lot)
            )
    return tuple(sorted(found.items()))


def strengths_of(text: str) -> tuple[float, ...]:
    """Shares as the lab writes them: ``1/8, 0,25, 50 %``; nothing is the default."""
    found = []
    for part in filter(None, map(str.strip, re.split(r"[;\n]|,\s+|,(?=\d+/)", text))):
        read = _SHARE.fullmatch(part)
        if read is None or (read[2] and not float(read[2].replace(",", "."))):
            raise InputError(say("found the strength {part!r}, expected shares such as 1/8, 1/4, 1", part=part))
        share = float(read[1].replace(",", ".")) / (float(read[2].replace(",", ".")) if read[2] else 1.0)
        share = share / 100.0 if read[3] else share
        if not 0.0 < share <= 1.0:
            raise InputError(say("found the strength {part!r}, expected more than 0, at most 1", part=part))
        found.append(share)
    return tuple(sorted(set(found))) or DEFAULT_SHARES


def share_text(share: float) -> str:
    """A share as the lab writes it: ``1/8``, else a number."""
    whole = round(1.0 / share)
    return f"1/{whole}" if whole > 1 and abs(share * whole - 1.0) < 1e-9 else f"{share:g}"


# ---------------------------------------------------------------- in words


def difference_in_words(before: Case, after: Case) -> str:
    """What differs between two revisions of a case, for a button that undoes it."""
    said = [
        _old_new(name, getattr(before, key), getattr(after, key))
        for key, name in _SCALARS
        if _differ(before, after, key)
    ]
    teeth = renaming(before, after)
    said += [called(teeth)] if teeth else []
    was = of_case(before, teeth).record(before) if teeth else before
    old, new = {zone.key: zone for zone in was.zones}, {zone.key: zone for zone in after.zones}
    retargeted = [key for key in new if key in old and new[key].target != old[key].target]
    added, gone = [key for key in new if key not in old], [key for key in old if key not in new]
    said += [say("target of {zones}", zones=listed_zones(retargeted))] if retargeted else []
    said += [say("added {zones}", zones=listed_zones(added))] if added else []
    said += [say("taken out {zones}", zones=listed_zones(gone))] if gone else []
    said += [name for key, name in _LISTS if _differ(was, after, key)]
    said += [say("blank")] if before.blank != after.blank else []
    return joined(said, "; ") if said else say("case")


_SCALARS = (
    ("material", say("material")),
    ("stage", say("stage")),
    ("finish", say("finish")),
    ("operator", say("technician")),
    ("programme", say("programme")),
)
_LISTS = (("effects", say("effects drawn by eye")), ("lots", say("jars in use")), ("limits", say("limits")))


def _differ(before: Case, after: Case, key: str) -> bool:
    return bool(getattr(before, key) != getattr(after, key))


def _old_new(name: str, before: str | None, after: str | None) -> str:
    old, new = (
        say_as("a word of a case that is not set", "none") if not one else stage_name(finish_name(one))
        for one in (before, after)
    )
    return say("{name} {before} → {after}", name=name, before=old, after=new)
