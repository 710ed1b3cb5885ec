"""The passes of a bench sheet ticked on the screen: what is ticked lies on the piece, and stands in the book at once.

So a tick outlives a reload, is seen on a second device, and nothing of it is recorded twice.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stainbook.faces.desk_types import ScreenPass, ScreenSheet
from stainbook.pages.plan import tick_texts as words
from stainbook.pages.result.exception_parts import lying_on, planned_layers
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_frame import do, keep, kept
from stainbook.pages.shell.plain import bare, counted
from stainbook.pages.shell.pressing import tell
from stainbook.pages.widgets.markup import pick_many, show_markup
from stainbook.records import Layers
from stainbook.words import mixes
from stainbook.words.escaping import escape
from stainbook.work.documents.plan_schemas import PlanResult

ZoneKey = tuple[int, str]


def still_shown(code: str, plan: PlanResult) -> bool:
    """Whether the sheet is the one that stood on this screen when something was pressed; from now on this one stands.

    Another screen may have gone on with the piece meanwhile: what was read from the old sheet is not on it.
    """
    now = planned_layers(plan), [one.fired_at for one in case_source.case(code).firing.all()]
    before = kept(_shown(code), None)
    keep(_shown(code), now)
    return before is None or before == now


def _shown(code: str) -> str:
    return f"shown {code}"


def show_passes(code: str, sheet: ScreenSheet, plan: PlanResult, *, holds: bool) -> None:
    """Each pass with its drawing and its rows; ``holds``: a tick was made on this sheet, not on an older one."""
    planned, lying = planned_layers(plan), lying_on(case_source.case(code).firing.now())
    asked, ticked = kept(_asked(code), None) or (None, [])
    keep(_asked(code), None)
    for number, one in enumerate(sheet.passes):
        _pass(code, one, number, lying)
        if number == asked:  # what cannot be noted is said under its pass
            if holds:
                _tick(code, one.rows_ticked(ticked), number, planned, lying)
            else:
                tell(words.MOVED_ON)


def _asked(code: str) -> str:
    return f"ticked {code}"


def _pass(code: str, one: ScreenPass, number: int, lying: Mapping[ZoneKey, Layers]) -> None:
    show_markup(f'<div class="sheet-part"><h2>{escape(one.heading)}</h2>{one.drawing}</div>', key=f"pass {number}")
    rows = "".join(
        f'<div class="tick-row" data-key="{place}"><i class="tick"></i><b>{escape(mixes.mark(row.pot, 0))}</b>'
        f"<span>{escape(row.zones)}</span></div>"
        for place, row in enumerate(one.rows)
    )
    done = [str(place) for place, row in enumerate(one.rows) if _is_done(row.keys, number, lying)]
    pick_many(
        f'<div class="sheet-part ticks">{rows}</div>', label=bare(one.heading), chosen=done, key=f"ticks {number}",
        on_pick=lambda found: keep(_asked(code), (number, found)),
    )  # fmt: skip


def _is_done(keys: Sequence[ZoneKey], number: int, lying: Mapping[ZoneKey, Layers]) -> bool:
    return all(len(lying.get(key, ())) > number for key in keys)


def _tick(
    code: str, rows: Mapping[tuple[ZoneKey, ...], bool], number: int, planned: Mapping[ZoneKey, Layers],
    lying: Mapping[ZoneKey, Layers],
) -> None:  # fmt: skip
    """Store what a tick says: this layer lies on its zones, and what belongs below it; without it nothing above."""
    new: dict[ZoneKey, Layers] = {}
    for keys, ticked in rows.items():
        if ticked == _is_done(keys, number, lying):
            continue
        for key in keys:
            here = lying.get(key, ())
            new[key] = (*here, *planned[key][len(here) : number + 1]) if ticked else here[:number]
    if new:
        do(lambda: case_source.case(code).firing.lay(new), cannot=words.CANNOT_TICK)


def all_painted(code: str, plan: PlanResult) -> bool:
    """Whether as many layers lie on each zone as the sheet asks for."""
    lying = lying_on(case_source.case(code).firing.now())
    return all(len(lying.get(key, ())) >= len(layers) for key, layers in planned_layers(plan).items())


def paint_all(code: str, plan: PlanResult) -> None:
    """Note what the sheet says of all zones; a zone that lies otherwise stays as it was noted."""
    face = case_source.case(code).firing
    lying = lying_on(face.now())
    here = {key: lying.get(key, ()) for key in planned_layers(plan)}
    planned = planned_layers(plan).items()
    face.lay({key: (*here[key], *all_[len(here[key]) :]) for key, all_ in planned if len(here[key]) < len(all_)})


def said_of(plan: PlanResult) -> str:
    """What stands on the one press."""
    return counted(words.PAINT_ALL, sum(bool(zone.layers) for zone in plan.zones))
