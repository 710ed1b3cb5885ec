"""What a photo's zones came out as: colours with their doubt, how far from the case's targets, and storing them."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping
from typing import Any

import streamlit as st

from stainbook.errors import InputError
from stainbook.faces.photo_types import Measured, OpenedPhoto, PhotoAsked, ShownPhoto, summary_of, usable_zones
from stainbook.language import joined
from stainbook.pages.photo import photo_texts as texts
from stainbook.pages.photo.photo_before import offer_as_before
from stainbook.pages.shell import case_source
from stainbook.pages.shell import texts as shell_texts
from stainbook.pages.shell.long_work import begin, begun, drop, is_done
from stainbook.pages.shell.page_frame import do, keep, kept
from stainbook.pages.shell.plain import Ours, bare, counted, named_zone, plain
from stainbook.pages.shell.pressing import pressed, tell, under_the_press
from stainbook.pages.shell.wording import one_decimal, viewing
from stainbook.pages.widgets.markup import show_markup
from stainbook.pages.widgets.swatches import Patch, small
from stainbook.pages.widgets.tables import cards
from stainbook.words.escaping import escape
from stainbook.words.places import place as place_name
from stainbook.words.states import TOLERANCE
from stainbook.work.documents.document_parts import ColourResult
from stainbook.work.documents.photo_schemas import PhotoResult, PhotoZone
from stainbook.work.documents.schemas import AdvisedZone

STORED = "photo stored"
WORK = "photo:"  # with which the names of work on the picture begin
_MEASURE = f"{WORK}measured"


def targets_of(case: str | None) -> dict[str, AdvisedZone]:
    """The zones of a case that have a target, by ``11 cervical``."""
    if case is None:
        return {}
    zones = case_source.case(case).desk.gaps().advised.zones
    return {place_name(zone.tooth, zone.zone): zone for zone in zones if zone.target is not None}


def target_line(case: str | None, place: str) -> None:
    """Where the zone must go, by the case; nothing where no target is known."""
    zone = targets_of(case).get(place)
    if zone is not None and zone.target is not None:
        L, a, b = map(one_decimal, (zone.target.L, zone.target.a, zone.target.b))
        st.caption(texts.TARGET_OF.format(place=place, L=L, a=a, b=b))


def measure_and_show(
    desk: OpenedPhoto, shown: ShownPhoto, case: str | None, before: OpenedPhoto | None, *, press: Any
) -> None:
    """The one thing to press; once done the change and the colours, and storing them as readings of the case.

    shown : the picture as it was looked at; press : where the button stands, None for here
    """
    st.download_button(texts.KEEP_SCENE, case_source.lab().photo.scene_text(desk), "scene.yaml", "application/yaml")
    shared, photo = _shared(desk, before), case_source.lab().photo
    targets = targets_of(case)
    about = _mark(desk, case, before, targets)
    job = begun(_MEASURE, about)
    if before is not None and not shared:
        st.info(texts.NO_SHARED.format(names=joined(place_name(z.tooth, z.zone) for z in before.scene.zones)))
    unheard = job is not None and (not job.wait(0) or job.failed)
    if pressed(texts.MEASURE, looks=True, place=press, type="primary", began=unheard):
        wish, then = PhotoAsked(case=case), before if shared else None
        aimed = {place_name(zone.tooth, zone.zone) for zone in desk.scene.zones} & set(targets)
        mapped = bool(shared or aimed)
        job = begin(_MEASURE, about, lambda: photo.begin(photo.measured, desk, wish, then, mapped=mapped))
        keep(STORED, None)
    if job is None:
        return
    with under_the_press():
        done = is_done(_MEASURE, job)
    if not done:
        return
    try:
        standing: Measured = job.result()
    except InputError as error:
        drop(_MEASURE)
        tell(texts.CANNOT.format(reason=error))
        return
    _show(standing, targets, compared=bool(shared))
    if case is not None:
        _store(desk, shown, standing.result, case)
    offer_as_before(desk)


def _mark(
    desk: OpenedPhoto, case: str | None, before: OpenedPhoto | None, targets: Mapping[str, AdvisedZone]
) -> tuple[object, ...]:
    """What a result holds for: another drawing, picture, table, frame, case or target, and it is no longer shown."""
    return case, desk, before, tuple((place, zone.target) for place, zone in targets.items())


def _shared(desk: OpenedPhoto, before: OpenedPhoto | None) -> set[tuple[int, str]]:
    keys = {(zone.tooth, zone.zone) for zone in desk.scene.zones}
    return keys & {(zone.tooth, zone.zone) for zone in before.scene.zones} if before else set()


def _show(found: Measured, targets: Mapping[str, AdvisedZone], *, compared: bool) -> None:
    result = found.result
    summary = summary_of(result)
    figures = {name: value for name, value in summary._asdict().items() if name not in ("case", "zones")}
    st.markdown(f"**{counted(texts.SUMMARY[summary.case], summary.zones, **figures)}**")
    for warning in result.warnings:
        st.info(plain(warning))
    if found.side:
        _in_a_well(found.side, "image/jpeg", texts.SIDE, key="photo side")
    if compared:
        st.subheader(texts.CHANGE)
        show_markup(cards([_changed(zone) for zone in result.zones if zone.change]), key="photo changes")
        st.caption(texts.CHANGE_DOUBT)
    if found.map:
        _in_a_well(found.map, "image/png", texts.MAP[compared], key="photo map")
    graded = any(zone.gap for zone in result.zones)
    st.subheader(texts.COLOURS)
    show_markup("".join(_swatches(zone, targets) for zone in result.zones), key="photo swatches")
    show_markup(cards([_row(zone, graded=graded) for zone in result.zones]), key="photo colours")
    lights = dict.fromkeys(viewing(_colour(zone)) for zone in result.zones)
    st.caption(" · ".join([*lights, texts.DOUBT]))
    if result.reference.tabs_dE00 is None:
        st.caption(texts.NO_TAB)
    with st.expander(texts.HOW):
        st.write(plain(result.method, longest=None))


def _in_a_well(image: bytes, kind: str, said: str, *, key: str) -> None:
    """A picture on the neutral ground on which colours are judged, its words below."""
    data = b64encode(image).decode("ascii")
    drawn = f'<img class="photo" src="data:{kind};base64,{data}" alt="{escape(said)}">'
    show_markup(
        f'<figure class="photo"><div class="well">{drawn}</div><figcaption>{escape(said)}</figcaption></figure>',
        key=key,
    )


def _swatches(zone: PhotoZone, targets: Mapping[str, AdvisedZone]) -> str:
    """The colour of a zone, beside its target where it has one, in a well."""
    name = place_name(zone.tooth, zone.zone)
    aim = targets[name].target if name in targets else None
    patches = [Patch(shell_texts.NOW, _colour(zone)), *([Patch(shell_texts.TARGET, aim)] if aim is not None else [])]
    return f'<section class="photo-zone"><h3>{escape(name)}</h3>{small(patches)}</section>'


def _colour(zone: PhotoZone) -> ColourResult:
    return ColourResult(L=zone.L, a=zone.a, b=zone.b, illuminant=zone.illuminant, observer=zone.observer)


def _changed(zone: PhotoZone) -> dict[str, Any]:
    """The change of one zone since the picture before: what is less than its doubt is not told as a change."""
    assert zone.change is not None
    parts = {"value": zone.change.dL, "chroma": zone.change.dC, "hue": zone.change.dH}
    return {
        texts.HEADS["tooth"]: zone.tooth,
        texts.HEADS["zone"]: named_zone(zone.zone),
        texts.HEADS["change"]: round(zone.change.dE00, 1),
        texts.HEADS["change doubt"]: round(zone.change.u, 1),
        **{texts.HEADS[name]: round(value, 1) for name, value in parts.items()},
        texts.HEADS["seen"]: texts.SURE[zone.change.dE00 > zone.change.u],
    }


def _row(zone: PhotoZone, *, graded: bool) -> dict[str, Any]:
    row: dict[str, Any] = {
        texts.HEADS["tooth"]: zone.tooth,
        texts.HEADS["zone"]: named_zone(zone.zone),
        **{name: round(getattr(zone, key), 1) for name, key in (("L*", "L"), ("a*", "a"), ("b*", "b"))},
        "± ΔE00": round(zone.u, 1),
    }
    if graded:
        gap = zone.gap
        row[texts.HEADS["target"]] = round(gap.dE00, 1) if gap else None
        row[texts.HEADS["target doubt"]] = round(gap.u, 1) if gap and gap.u is not None else None
        row[texts.HEADS["tolerance"]] = bare(TOLERANCE[gap.grade]) if gap else ""
    return row | {
        texts.HEADS["masked"]: f"{zone.masked:.0%}",
        texts.HEADS["use"]: texts.USABLE[not zone.flagged],
    }


def _store(desk: OpenedPhoto, shown: ShownPhoto, result: PhotoResult, case: str) -> None:
    usable = usable_zones(result, patient=desk.scene.subject == "patient")
    if usable and pressed(counted(texts.STORE, len(usable), case=case), key="store photo"):
        do(lambda: keep(STORED, case_source.lab().photo.store(desk, result, case, shown)), cannot=texts.CANNOT)
    stored: PhotoResult | None = kept(STORED, None)
    if stored is not None:
        told = [one for one in stored.warnings if one not in result.warnings]
        st.success(Ours(" ".join([texts.STORED.format(names=joined(stored.stored)), *map(plain, told)])))
