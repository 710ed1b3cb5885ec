"""The cases that wait, as rows that can be chosen."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.faces.app_types import Waiting
from stainbook.language import joined
from stainbook.pages.shell import texts, wording
from stainbook.pages.shell.plain import counted
from stainbook.pages.widgets.signs import inline_sign
from stainbook.stage_words import stage_name
from stainbook.words.escaping import escape
from stainbook.words.places import place as place_name


def waits_markup(cases: Sequence[Waiting]) -> str:
    """The rows, with their heads; each row's key is its place."""
    heads = "".join(f"<span>{escape(head)}</span>" for head in texts.WAIT_HEADS)
    rows = "".join(_row(place, one) for place, one in enumerate(cases))
    return f'<div class="table waits"><div class="heads" aria-hidden="true">{heads}</div>{rows}</div>'


def job(case: Waiting) -> str:
    """What a case waits for."""
    return counted(texts.JOBS[case.job], case.waiting)


def _stands(case: Waiting) -> str:
    """The state of the case, and of which zone it is."""
    worst = case.worst
    return joined([case.state.said, *([place_name(worst.tooth, worst.zone)] if worst else ())], ": ")


def _row(place: int, case: Waiting) -> str:
    worst = case.worst
    gap = worst.gap if worst else None
    cells = (
        f"<b>{escape(case.case)}</b>",
        escape(case.material or ""),
        escape(stage_name(case.stage or "")),
        f"{inline_sign(case.state)} {escape(_stands(case))}",
        wording.one_decimal(gap.dE00) if gap else "–",
        escape(wording.value(gap)) if gap else "",
        escape(wording.chroma(gap)) if gap else "",
        escape(wording.hue(gap, worst.target)) if gap and worst else "",
        escape(job(case)),
    )
    label = escape(joined([case.case, joined([case.state.said, job(case)], "; ")], ": "))
    body = "".join(f"<span>{cell}</span>" for cell in cells)
    why = f'<span class="whole-row">{escape(case.broken)}</span>' if case.broken else ""
    return f'<div class="table-row" data-key="{place}" aria-label="{label}">{body}{why}</div>'
