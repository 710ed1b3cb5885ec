"""Which role each method of `Lab` and of its faces needs: the one list, held on every call.

What is not named here only looks. The book itself stores nothing for a reader (see `Book`), so a method that is
missing here is refused too, only later; `tests/house` finds it.
"""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable
from typing import Any

from stainbook.permit import LEAD, TECHNICIAN, Permit

_WORKS = {
    "CaseFace": "approve_trial glazed_all accept deliver undo_received take_return",
    "CasesFace": "bring_in make make_piece",
    "DeskFace": "choose undo take_over",
    "ExchangeFace": "import_ take_in",
    "FiringFace": "paint lay record record_piece sinter_with_discs read_discs correct_zone take_back_zone correct",
    "JarsFace": "load keep run_out not_run_out",
    "Lab": "recorded calibrate record",
    "MeasuredFace": "store take correct",
    "PhotoFace": "keep_chart store",
    "ReadingsFace": "take_in keep_piece_offset set_up load_guide",
    "RecipesFace": "revise keep undo use_on",
    "SettingsFace": "keep_limits keep_viewing keep_lab keep_host keep_edges keep_shadow keep_annex keep_mixing "
    "keep_instrument keep_person keep_programme load_mixes load_programmes undo",
    "ShelfFace": "share",
    "StainsFace": "held_now enter calibrate learn_from keep_plates remove_plates bring_back read_plates read_back "
    "decide",
    "TimelineFace": "note undo_note",
    "TrayFace": "put_in not_in taken_out back_in",
    "WayFace": "open did undo_did undo_received take_back_firing",
    "WishFace": "aim prescribe step as_group draw undraw add_zones take_out rename set undo",
}
_LEADS = {
    "ExchangeFace": "erase",
    "RecipesFace": "set_state",
    "SettingsFace": "keep_roles keep_prices",
    "ShelfFace": "withdraw",
}
_GIVES_OUT = {
    "ExchangeFace": "export packed_book packed_case",
    "ShelfFace": "back_up backup",
}


_MANAGES = {"AccountsFace": "all add set_role set_password remove log", "AppFace": "prepare_lab"}  # no rows of the book


def _named(table: dict[str, str]) -> set[str]:
    return {f"{cls}.{name}" for cls, names in table.items() for name in names.split()}


WRITES = _named(_WORKS) | _named(_LEADS)
GIVES_OUT = _named(_GIVES_OUT)
NEEDS = dict.fromkeys(_named(_WORKS) | GIVES_OUT, TECHNICIAN) | dict.fromkeys(_named(_LEADS) | _named(_MANAGES), LEAD)
_SHOWS_OUT = {"CaseFace": "report_file"}  # a reader may have it, and the list says so
TOLD = {**dict.fromkeys(GIVES_OUT | _named(_SHOWS_OUT), "export"), "ExchangeFace.erase": "erase"}  # the lab's list


def guard(cls: type, permit_of: Callable[[Any], Permit | None]) -> None:
    """Let the methods of a class that are named above ask for their role before they do anything.

    permit_of : gives the permit of an object of the class; None: all may be done

    >>> lab.stains.enter.__wrapped__.__name__
    'enter'
    """
    for name, method in list(vars(cls).items()):
        full = f"{cls.__name__}.{name}"
        if full in NEEDS | TOLD and inspect.isfunction(method):
            setattr(cls, name, _guarded(method, full, permit_of))


def _about(name: str, values: tuple[Any, ...], done: Any) -> str:
    """What the log keeps of a deed: never a case's code, which an erased case leaves nowhere."""
    deed = name.partition(".")[2]
    if deed == "erase":
        return str(done.tombstone)
    return deed if deed == "packed_case" else " ".join([deed, *map(str, values[:1])])


def _guarded(method: Callable[..., Any], name: str, permit_of: Callable[[Any], Permit | None]) -> Callable[..., Any]:
    @functools.wraps(method)
    def asked(self: Any, *values: Any, **named: Any) -> Any:
        permit = permit_of(self)
        if permit is None:
            return method(self, *values, **named)
        if name in NEEDS:
            permit.need(NEEDS[name])
        done = method(self, *values, **named)
        if name in TOLD:
            permit.tell(TOLD[name], _about(name, values, done))
        return done

    return asked
