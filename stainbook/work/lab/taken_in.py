"""The content of an exchange into the book, in one step: cases with the steps of their pieces, and all else."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from stainbook.book import Transaction
from stainbook.book.events import moment
from stainbook.kept import StepDone
from stainbook.work.case.open_case import wish_of
from stainbook.work.lab.folder import ExchangeContent
from stainbook.work.lab.import_differences import as_arrived


def _store_cases(step: Transaction, content: ExchangeContent) -> None:
    """Store what is prescribed of cases, and the steps of their pieces.

    An exchange of before tells no steps: its cases stand as they were left, after the firings that it tells.
    """
    known = set(step.names("case"))
    opened = {one.case for one in content.steps if one.did == "opened"}
    last: dict[str, str] = {}
    for firing in content.firings:
        last[firing.case] = max(firing.fired_at, last.get(firing.case, ""), key=moment)
    for case in content.cases:
        if case.case in known or case.case in opened:
            step.add_cases([wish_of(case)])
        elif case.case in last:
            step.add_cases([wish_of(case)])
            at = last[case.case]
            step.add_steps([StepDone(case.case, "opened", at), StepDone(case.case, "stated", at, stage=case.stage)])
        else:
            step.add_cases([case])
    step.add_steps(content.steps)


def store_content(step: Transaction, content: ExchangeContent, why: str, *, own: bool) -> None:
    """Store what was chosen of a folder or bundle; recipes as they arrive, unless it is of this lab itself.

    why : said of what corrects something
    """
    adders: dict[str, Callable[[Iterable[Any]], int]] = {
        "stains": step.add_stains,
        "bodies": step.add_bodies,
        "chips": step.add_chips,
        "guide": step.add_guide,
        "operators": step.add_operators,
        "programmes": step.add_programmes,
        "instruments": step.add_instruments,
        "jars": step.add_jars,
        "readings": step.add_readings,
    }
    for name, add in adders.items():
        add(getattr(content, name))
    _store_cases(step, content)
    step.add_firings(content.firings, why=why)
    step.add_outcomes(content.outcomes, why=why)
    step.add_decisions(content.decisions)
    for revisions in content.recipes:
        for recipe in revisions if own else as_arrived(revisions):
            step.revise_recipe(recipe)
