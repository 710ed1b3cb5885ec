"""The bench sheet of a case: where each zone is, how far from its target in value, chroma and hue, what to do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from stainbook.book import Book
from stainbook.book.case_state import CaseState
from stainbook.colour import ThresholdSet, delta_e_2000_metric, lab_jacobian
from stainbook.files.text import write_text
from stainbook.language import joined, say
from stainbook.match import UNWATCHED, advise_case, no_firing_reason
from stainbook.records import NO_FIRING_STAGES, Case
from stainbook.stage_words import finish_name, stage_name
from stainbook.words import apprentice, differences, mixes, plans, safety, sentences
from stainbook.words.figures import tenths
from stainbook.words.grounds import rests_on
from stainbook.words.hues import hue_angle
from stainbook.words.places import zone_name
from stainbook.work.case.advise import advise_files, standing_shown
from stainbook.work.case.case_desk import open_desk
from stainbook.work.case.case_plan import effect_words
from stainbook.work.case.chosen import chosen_steps, done_next
from stainbook.work.case.current_case import CurrentCase, What, current_case
from stainbook.work.case.problems import AdviceAsked, apprentice_of, prepare_case
from stainbook.work.case.standing import no_step_yet
from stainbook.work.case.zones import ZoneColours, zone_colours
from stainbook.work.documents.day_schemas import BenchResult, BenchZone, Mottle
from stainbook.work.documents.document_parts import ColourResult
from stainbook.work.documents.printed import PrintedTable, SheetContent, page_of
from stainbook.work.documents.schemas import AdvisedZone, Gap
from stainbook.work.reading.cautions import MOTTLE_READINGS
from stainbook.work.reading.compare import graded
from stainbook.work.reading.lab_settings import limits_in
from stainbook.work.reading.samples import SampleColour
from stainbook.work.reading.viewing_conditions import OWN_SCALE, Asked
from stainbook.work.sheets.plan_sheet import effects_table
from stainbook.work.stains.learnt import SCOPE


def bench(
    book: Book,
    what: What,
    asked: Asked | None = None,
    *,
    guide: Path | None = None,
    readings: Sequence[Path] = (),
    threshold_names: Sequence[str] = (),
) -> BenchResult:
    """The bench sheet of a case, by its code or file; next steps stand in it once stains were calibrated.

    Raises InputError for files that cannot be used and colours that cannot be compared.
    """
    asked = asked or Asked()
    current = current_case(book, what, guide=guide, viewing=asked.of_bare_lab)
    case = current.case
    library = current.library(book, asked, extra=tuple(readings))
    limits = limits_in(book, threshold_names)
    colours = zone_colours(case, library, optics=False)
    wish = AdviceAsked(asked, guide=guide, readings=readings, threshold_names=threshold_names)
    steps, told = _steps(book, what, case, colours, wish)
    resin = _resin(book, case)
    painted = _resin_steps(book, what, resin, wish)
    minutes = _minutes(book, case)
    never = _never_fired(case, current, colours)
    zones = [_zone(one, limits, steps.get(one.zone.key), minutes, never.get(one.zone.key)) for one in colours]
    instead = painted | _chosen(current.state, steps)
    zones = [zone.model_copy(update={"step": instead.get((zone.tooth, zone.zone), zone.step)}) for zone in zones]
    return BenchResult(
        case=case.case,
        material=case.material,
        stage=case.stage,
        finish=case.finish,
        zones=zones,
        effects=[effect_words(one) for one in case.effects],
        resin_stains=resin,
        minutes=max((zone.minutes for zone in zones if zone.minutes is not None), default=None),
        cautions=list(safety.of_sheet(case.stage)),
        apprentice=apprentice_of(book, case),
        warnings=list(
            dict.fromkeys(
                [
                    *current.warnings,
                    *library.warnings,
                    *told,
                    *_remade(steps, current.state),
                    *(_moved(book, what, current) if steps else []),
                ]
            )
        ),
    )


def _chosen(state: CaseState, steps: Mapping[tuple[int, str], AdvisedZone]) -> dict[tuple[int, str], str]:
    """The steps that were chosen and still hold, which stand before the advice's own on each sheet.

    A zone that was left since stain does not bring it there keeps its reason.
    """
    liquid = state.stage == "green"
    return {
        key: sentences.step(one.kind, one.layers, liquid=liquid)
        for key, one in chosen_steps(state).items()
        if (told := steps.get(key)) is not None and told.moves and not (one.kind == "leave" and _lost(told))
    }


def _remade(steps: Mapping[tuple[int, str], AdvisedZone], state: CaseState) -> list[str]:
    """The blank of the steps that stand on the sheet: the chosen ones, else the advice's first."""
    chosen = chosen_steps(state)
    firsts = [one.moves[0].body for key, one in steps.items() if one.moves and key not in chosen]
    blanks = [one for one in (*firsts, *(one.body for key, one in chosen.items() if key in steps)) if one]
    return [sentences.remade_on(blanks)] if blanks else []


def _lost(advised: AdvisedZone) -> bool:
    return advised.verdict == "out of reach" and bool(advised.why)


def _moved(book: Book, what: What, current: CurrentCase) -> list[str]:
    """Chosen steps whose chance is another by now; the case is worked out for it where any was chosen with one."""
    if not any(current.state.chosen[key].choice.claim for key in chosen_steps(current.state)):
        return []
    return list(done_next(book, open_desk(book, what, UNWATCHED)).moved)


def save_html(result: BenchResult, path: Path) -> None:
    """Write the sheet as a page to print; raises InputError when it cannot be written."""
    write_text(path, html_of(result))


def html_of(result: BenchResult) -> str:
    """The sheet as a page to print."""
    return page_of(bench_content(result))


def bench_content(result: BenchResult) -> SheetContent:
    """What the sheet says: each zone's gap and next step, effects, what to mind."""
    tooth, colour = say("tooth"), (say("value"), say("chroma"), say("hue"))
    table = PrintedTable(
        (tooth, say("zone"), say("known by"), "ΔE00", *colour, say("next step"), say("done")),
        [(*cells(zone), "") for zone in result.zones],
        numbers=(tooth, "ΔE00"),
    )
    stage = stage_name(result.stage) if result.stage else None
    finish = say("finish {finish}", finish=finish_name(result.finish))
    lead = joined(word for word in (result.material, stage, finish) if word)
    painted = any(zone.step for zone in result.zones)
    weights = [plans.by_weight(liquid=result.stage == "green")] if painted else []
    signed = [apprentice.line_to_sign(result.apprentice)] if result.apprentice else []
    notes = [*signed, *result.warnings, *weights, *result.cautions]
    tables = [table, *([effects_table(result.effects)] if result.effects else [])]
    return SheetContent(say("Bench sheet {case}", case=result.case), lead, tables, notes)


def cells(zone: BenchZone) -> tuple[str, ...]:
    """A zone as the sheet's row: tooth, zone, what it rests on, ΔE00, value, chroma, hue, next step."""
    said = (tenths(zone.gap.dE00) if zone.gap else "", zone.value or "", zone.chroma or "", zone.hue or "")
    return (str(zone.tooth), zone_name(zone.zone), rests_on(zone.standing), *said, zone.step or "")


def _minutes(book: Book, case: Case) -> float | None:
    """Minutes of one firing by the case's programme, where the lab entered them."""
    programme = book.programmes().get(case.programme) if case.programme else None
    return programme.minutes if programme else None


def _never_fired(case: Case, current: CurrentCase, colours: Sequence[ZoneColours]) -> dict[tuple[int, str], str]:
    """Why nothing is fired on the zones of a piece that never is, as the advice says it."""
    if case.stage not in NO_FIRING_STAGES:
        return {}
    note = no_firing_reason(case.stage, case.limits.firings_left)
    reason = sentences.note(note) if note else ""
    found = {one.zone.key: one.standing for one in colours if one.standing is not None}
    return {key: no_step_yet(case, current.state, found, key) or reason for key in found}


def _zone(
    colours: ZoneColours,
    limits: Mapping[str, ThresholdSet],
    advised: AdvisedZone | None,
    minutes: float | None,
    never: str | None,
) -> BenchZone:
    zone, seen, target = colours.zone, colours.seen, colours.target
    bare = BenchZone(
        tooth=zone.tooth,
        zone=zone.zone,
        tissue=zone.tissue,
        like="{} {}".format(*zone.like) if zone.like else None,
        target=_colour(target) if target else None,
        step=_step(advised) or (never if seen and target else None),
        standing=standing_shown(colours),
        minutes=advised.moves[0].firings * minutes if advised and advised.moves and minutes else None,
    )
    if seen is None or target is None:
        return bare.model_copy(update={"step": bare.step or (say("not read") if seen is None else say("no target"))})
    pair = graded(seen, target, limits[zone.tissue])
    gap = Gap(
        dE00=pair.dE00, dL=pair.dL, dC=pair.dC, dH=pair.dH, grade=pair.grade, u=pair.u, visibility=pair.visibility
    )
    words = dict(zip(("value", "chroma", "hue"), gap_words(gap, target.lab), strict=True))
    scale = None if seen.viewing.known else OWN_SCALE
    return bare.model_copy(update={"now": _colour(seen), "gap": gap, "scale": scale, "mottle": _mottle(seen), **words})


def gap_words(gap: Gap, target: NDArray[np.float64]) -> tuple[str, str, str]:
    """Value, chroma and hue of a zone against its target, in words: ``2.1 too dark``."""
    h = hue_angle(float(target[1]), float(target[2]))
    return differences.value(gap.dL), differences.chroma(gap.dC), differences.hue(gap.dH, h)


def _mottle(seen: SampleColour) -> Mottle | None:
    """The scatter of gum that was read in several places."""
    reading = seen.reading
    if reading.repeats < MOTTLE_READINGS or reading.scatter is None:
        return None
    spread = _scatter(seen)
    L, a, b = (float(value) for value in np.sqrt(spread.diagonal()))
    return Mottle(L=L, a=a, b=b, dE00=float(np.sqrt(np.trace(delta_e_2000_metric(seen.lab) @ spread))))


def _scatter(seen: SampleColour) -> NDArray[np.float64]:
    """Covariance (3, 3) of L*, a*, b* of one place; bands are taken to scatter together, as more or less blood does."""
    scatter = np.asarray(seen.reading.scatter)
    if not seen.reading.is_spectral:
        return np.diag(scatter**2)
    by_R = lab_jacobian(
        np.asarray(seen.reading.reflectance),
        seen.reading.wavelengths,
        illuminant=seen.viewing.illuminant,
        observer=seen.viewing.observer,
    )
    step = by_R @ scatter
    return np.outer(step, step)


def _steps(
    book: Book, what: What, case: Case, colours: Sequence[ZoneColours], wish: AdviceAsked
) -> tuple[dict[tuple[int, str], AdvisedZone], list[str]]:
    """The advice by zone; none before a stain was calibrated, for pieces never fired, and on an own scale."""
    if case.stage in NO_FIRING_STAGES:
        return {}, [joined([sentences.no_firing(case.stage), say("no chance of a firing")], ": ")]
    if any(one.seen is not None and not one.seen.viewing.known for one in colours):
        return {}, [say("no next step: readings are {scale}, from which no stain can be computed", scale=OWN_SCALE)]
    if book.fit(SCOPE) is None:
        return {}, [say("no next step yet: no stain was calibrated; `stainbook plate` lays out the first stripes")]
    result = advise_files(book, [what], wish)
    return {(zone.tooth, zone.zone): zone for zone in result.cases[0].zones}, result.warnings


def _resin_steps(book: Book, what: What, resin: Sequence[str], wish: AdviceAsked) -> dict[tuple[int, str], str]:
    """What resin stains would do best on a provisional: the layers alone, since nothing is fired."""
    if book.fit(SCOPE) is None or not resin:
        return {}
    prepared = prepare_case(book, what, wish)
    lab = prepared.lab
    known = tuple(name for name in resin if name in lab.optics.stains and name not in lab.jars.gone)
    if not known:
        return {}
    advice = advise_case(replace(prepared.bench, stains=known), prepared.problems, stage=None)
    firsts = {zone.key: zone.moves[0] for zone in advice.zones if zone.moves}
    return {key: mixes.layers(move.layers) for key, move in firsts.items() if move.kind == "add"}


def _step(advised: AdvisedZone | None) -> str | None:
    if advised is None or (not advised.moves and not advised.why):
        return None
    if not advised.moves:
        return advised.why
    move = advised.moves[0]
    if _lost(advised) and move.kind == "leave":
        return advised.why
    return sentences.step(move.kind, move.layers, liquid=any(layer.liquid for layer in move.layers))


def _resin(book: Book, case: Case) -> list[str]:
    """The resin stains of the lab that a provisional may take."""
    if case.stage != "trial":
        return []
    fit = (one for one in book.stains().values() if one.kind == "resin")
    return [one.name for one in fit if not (one.materials and case.material and case.material not in one.materials)]


def _colour(colour: SampleColour) -> ColourResult:
    L, a, b = (float(value) for value in colour.lab)
    return ColourResult(L=L, a=a, b=b, illuminant=colour.viewing.illuminant, observer=colour.viewing.observer or None)
