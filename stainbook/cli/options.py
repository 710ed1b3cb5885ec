"""Options that several commands share, each written once."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.language import say

if TYPE_CHECKING:
    from stainbook.faces.reading_types import Asked
    from stainbook.lab import Lab

Json = Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")]
Illuminant = Annotated[
    str | None,
    typer.Option(
        help="Light: what spectra are computed for, and what L,a,b without a stated light is. "
        "By default D65 for spectra; A, D50, D55, F2, F11, LED-B3 and others.",
        show_default=False,
    ),
]
Observer = Annotated[
    int | None, typer.Option(help="Observer, 2 or 10, likewise. By default 10 for spectra.", show_default=False)
]
Adapt = Annotated[bool, typer.Option("--adapt", help="Take L,a,b alone to another light or observer, with more doubt.")]
Readings = Annotated[Path, typer.Argument(help="File of readings.", show_default=False)]
InstrumentName = Annotated[
    str | None,
    typer.Option("--instrument", help="The instrument of readings that name none, as set up.", show_default=False),
]


Thresholds = Annotated[
    list[str] | None,
    typer.Option(
        help="Threshold set to grade by, once a tissue: tooth-2015, tooth-iso-2016, tooth-2010, gum-2020, "
        "gum-2020-strict, gum-2020-lenient, denture-base-2015. By default tooth-2015 and gum-2020.",
        show_default=False,
    ),
]
Operator = Annotated[
    str | None, typer.Option(help="Whose hand is meant; by default that of the stripes.", show_default=False)
]
Lots = Annotated[
    list[str] | None,
    typer.Option("--lot", metavar="STAIN=LOT", help="The jar in use of a stain; may be repeated.", show_default=False),
]


def lots_of(given: list[str] | None) -> dict[str, str]:
    """Lots by stain from STAIN=LOT options."""
    lots = {}
    for one in given or []:
        stain, equals, lot = one.partition("=")
        if not (equals and stain.strip() and lot.strip()):
            raise typer.BadParameter(
                say("found {given!r}, expected STAIN=LOT such as husk=24-117", given=one), param_hint="--lot"
            )
        lots[stain.strip()] = lot.strip()
    return lots


@dataclass(frozen=True, slots=True)
class Session:
    """What stands before the command."""

    book: str | None = None


def session(context: typer.Context) -> Session:
    """The session of a command."""
    found = context.find_object(Session)
    return found or Session()


def lab_of(context: typer.Context) -> Lab:
    """The lab that a command talks to, closed when the command ends."""
    from stainbook.lab import Lab

    lab = Lab(session(context).book)
    context.find_root().call_on_close(lab.close)
    return lab


def asked_of(
    context: typer.Context,
    illuminant: str | None,
    observer: int | None,
    adapt: bool = False,
    instrument: str | None = None,
) -> Asked:
    """What the user says of light, observer and instrument, with the profiles of the book, if there is one."""
    return lab_of(context).readings.asked(illuminant, observer, adapt=adapt, instrument=instrument)


def place_of(zone: str) -> tuple[int, str]:
    """Tooth and zone of '11 cervical'; raises BadParameter where it is none."""
    tooth, _, name = zone.strip().partition(" ")
    if not (tooth.isdecimal() and name.strip()):
        said = say("found {zone!r}, expected tooth and zone such as '11 cervical'", zone=zone)
        raise typer.BadParameter(said, param_hint="ZONE")
    return int(tooth), name.strip()
