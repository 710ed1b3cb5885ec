"""The parts of the result page: the firing's fields, one row a zone with a form beside it, and what came out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import streamlit as st

from stainbook.faces.desk_types import CaseDesk
from stainbook.faces.firing_types import FiringNow, Since
from stainbook.language import joined
from stainbook.pages.case.page_choices import choices
from stainbook.pages.plan.plan_way import may_plan, to_plan
from stainbook.pages.shell import case_source, wording
from stainbook.pages.shell import way_texts as words
from stainbook.pages.shell.name_field import name_field
from stainbook.pages.shell.page_frame import go_to, keeping, kept, to_stripes
from stainbook.pages.shell.plain import bare, counted, plain
from stainbook.pages.widgets.arch_svg import key_text
from stainbook.pages.widgets.markup import pick, show_markup
from stainbook.pages.widgets.tables import lab_cells, recorded_markup
from stainbook.records import Case
from stainbook.words.escaping import escape
from stainbook.words.places import place as place_name
from stainbook.work.documents.book_schemas import RecordResult
from stainbook.work.documents.schemas import ColourResult

ZoneKey = tuple[int, str]


@dataclass(frozen=True, slots=True)
class ResultRow:
    """One zone of the firing: what was painted, and the readings after it by where they come from."""

    tooth: int
    zone: str
    painted: str
    pasted: ColourResult | None
    since: Since | None
    step: str  # what stands there until it is changed
    number: int  # of the firing recorded here

    @property
    def key(self) -> ZoneKey:
        """Tooth and zone."""
        return self.tooth, self.zone

    @property
    def read(self) -> bool:
        """Whether there is a reading after the firing."""
        return self.pasted is not None or self.since is not None


@dataclass(frozen=True, slots=True)
class FiringFields:
    """Who fired by which programme in which furnace, how long, and which other cases stood on the tray."""

    operator: str | None
    programme: str | None
    furnace: str | None
    minutes: str
    tray: tuple[str, ...] = ()
    checked_by: str = ""


def firing_fields(code: str, known: FiringNow, case: Case) -> FiringFields:
    """Technician, programme, furnace and minutes, each may stay empty; and what else was on the tray."""
    (who, programme), (furnace, minutes) = st.columns(2), st.columns(2)
    by = known.lying.operator if known.lying is not None else None
    painter = name_field(who, words.WHO, known.people, f"who {code}", by or case.operator)
    return FiringFields(
        painter,
        name_field(
            programme, words.PROGRAMME, known.programmes, f"programme {code}", case.programme, words.PROGRAMME_HELP
        ),
        name_field(furnace, words.FURNACE, known.furnaces, f"furnace {code}", None),
        str(minutes.text_input(words.MINUTES, **keeping(f"minutes {code}"))),
        tuple(one for one in _tray(code, known) if one in known.others),
        _checked_by(code, known, painter),
    )


def _checked_by(code: str, known: FiringNow, painter: str | None) -> str:
    """Who looked at an apprentice's work before the furnace; asked for of nobody else."""
    if painter is None or painter not in known.apprentices:
        return ""
    others = [one for one in known.people if one != painter]
    return name_field(st, words.CHECKED_BY, others, f"checked {code}", None, words.CHECKED_HELP) or ""


def _tray(code: str, known: FiringNow) -> list[str]:
    """The other painted pieces that went into the furnace with this one."""
    if not known.others:
        return []
    return st.multiselect(words.TRAY, known.others, help=words.TRAY_HELP, **keeping(f"tray {code}", []))


def proposed(code: str, desk: CaseDesk) -> dict[ZoneKey, str]:
    """What is thought to be painted: the chosen next steps; a layer a line."""
    return {key: _lines(text) for key, text in case_source.case(code).desk.next(desk).written.items()}


def _lines(text: str) -> str:
    return bare(text).replace("; ", "\n")


# ---------------------------------------------------------------- a row a zone, and the form of one


def list_of(code: str, rows: Sequence[ResultRow]) -> None:
    """The zones of the firing as rows to choose from."""

    def take(found: str) -> None:
        tooth, zone = found.split(" ", 1)
        choices().here.zone = int(tooth), zone

    heads = "".join(f"<span>{escape(head)}</span>" for head in words.RESULT_HEADS)
    body = "".join(map(_row, rows))
    pick(
        f'<div class="table fired" data-scroll><div class="heads" aria-hidden="true">{heads}</div>{body}</div>',
        label=words.RESULT_LABEL,
        chosen=key_text(_chosen(rows).key) if rows else None,
        key=f"fired {code}",
        on_pick=take,
    )


def _row(row: ResultRow) -> str:
    lines = (one for one in row.painted.splitlines() if one.strip())
    painted = "".join(f'<span class="layer">{escape(one)}</span>' for one in lines)
    source, lab = _source(row)
    name = place_name(row.tooth, row.zone)
    cells = (f"<b>{escape(name)}</b>", painted or f"<i>{escape(words.NOT_PAINTED)}</i>", escape(source), *lab)
    label = escape(joined([name, joined([row.painted or words.NOT_PAINTED, source], "; ")], ": "))
    body = "".join(f"<span>{cell}</span>" for cell in cells)
    return f'<div class="table-row" data-key="{escape(key_text(row.key))}" aria-label="{label}">{body}</div>'


def _source(row: ResultRow) -> tuple[str, tuple[str, str, str]]:
    """Where the reading after the firing comes from, and L*, a*, b*."""
    if row.pasted is not None:
        return words.FROM["pasted"], lab_cells(row.pasted)
    if row.since is not None:
        u = row.since.u
        said = words.FROM["book"] if u is None else words.FROM["photo"].format(u=wording.one_decimal(u))
        return said, lab_cells(row.since.colour)
    return words.FROM[""], ("", "", "")


def zone_form(code: str, rows: Sequence[ResultRow]) -> None:
    """What was painted on the chosen zone, to be changed."""
    if not rows:
        return
    row = _chosen(rows)
    name = place_name(row.tooth, row.zone)
    end = f"{code} {name} {row.number}"
    st.text_area(
        words.PAINTED_HERE.format(zone=name), height=96, help=words.PAINTED_HELP,
        **keeping(f"painted {end}", row.step),
    )  # fmt: skip


def _chosen(rows: Sequence[ResultRow]) -> ResultRow:
    """The zone chosen here or on the case page, else the first that was painted."""
    here = choices().here.zone
    painted = next((row for row in rows if row.painted.strip()), rows[0])
    return next((row for row in rows if row.key == here), painted)


# ---------------------------------------------------------------- what came out


def show_recorded(code: str, *, busy: bool) -> None:
    """What was expected, what came out, what was learnt and what is next, of the last firing recorded here.

    busy : another firing is about to be recorded
    """
    result: RecordResult | None = kept(f"recorded {code}", None)
    if result is None:
        return
    st.subheader(counted(words.RECORDED, len(result.outcomes) + len(result.painted), case=code), anchor=False)
    if not result.outcomes:
        st.markdown(words.AFTER_UNREAD)
        return
    show_markup(recorded_markup(result.outcomes), key="recorded")
    if result.painted:
        st.info(words.ONLY_PAINTED.format(zones=joined(place_name(one.tooth, one.zone) for one in result.painted)))
    if all(one.expected is None for one in result.outcomes):
        st.caption(words.NOT_EXPECTED)
        to_stripes()
    else:
        st.markdown(f"**{words.LEARNT}**")
        told = [one.sentence for one in result.learnt] + [one.sentence for one in result.scatter]
        st.markdown("\n".join(f"- {plain(said)}" for said in told) or words.NOTHING_LEARNT)
    _next(code, result, busy=busy)


def _next(code: str, result: RecordResult, *, busy: bool) -> None:
    """On to delivery where all is accepted, else to the next step: a plan for all zones, or zone by zone."""
    off = sum(one.accepted is False for one in result.outcomes)
    unsure = sum(one.accepted is None for one in result.outcomes)
    met = counted(words.AFTER_UNSURE, unsure) if unsure else words.AFTER_MET
    said, do = st.columns([8, 4], vertical_alignment="center")
    said.markdown(counted(words.AFTER_OFF, off) if off else met)
    look: Literal["primary", "secondary"] = "secondary" if busy else "primary"
    with do:
        if not off:
            if st.button(words.TO_DELIVER, type=look, width="stretch"):
                go_to("deliver_page")
            return
        if may_plan(code):
            to_plan(code, look=look)
            look = "secondary"
        if st.button(words.NEXT_STEP, type=look, width="stretch"):
            go_to("case_page")
