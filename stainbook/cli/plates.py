"""The commands on plates and their stripes: plate, control."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.options import Illuminant, InstrumentName, Json, Observer, asked_of, lab_of
from stainbook.cli.show import print_document, print_line, print_table, print_warnings, tenths
from stainbook.language import joined, say, say_n
from stainbook.words.figures import figure

if TYPE_CHECKING:
    from stainbook.faces.reading_types import Asked
    from stainbook.lab import Lab
    from stainbook.work.documents.day_schemas import ControlResult, PlateResult

Stains = Annotated[
    list[str] | None, typer.Argument(help="Stains to lay out; with --next case files.", show_default=False)
]
Plates = Annotated[
    list[str] | None,
    typer.Option("--plate", help="A blank at hand, light and dark in turn; may be repeated.", show_default=False),
]
Stripes = Annotated[int, typer.Option(help="Stripes of each stain, the most telling first.")]
Room = Annotated[int, typer.Option(help="Stripes that a plate has room for.")]
Hand = Annotated[
    str | None,
    typer.Option(metavar="STAIN", help="Also paint one stripe of it five times: your hand.", show_default=False),
]
Operator = Annotated[str | None, typer.Option(help="Whose hand paints.", show_default=False)]
Programme = Annotated[str | None, typer.Option(help="The programme it is fired with.", show_default=False)]
Material = Annotated[str | None, typer.Option(help="Of the plates.", show_default=False)]
Chips = Annotated[
    Path | None, typer.Option(help="Where the stripes are saved as chips.csv; with --read, where they are.")
]
Html = Annotated[Path | None, typer.Option("--html", help="Also save it as a page to print.", show_default=False)]
Read = Annotated[
    Path | None, typer.Option("--read", help="Readings in the order of the sheet, of the plates in --chips.")
]
Save = Annotated[
    Path | None, typer.Option("--save", help="With --read: readings by name, for calibrate.", show_default=False)
]
Next = Annotated[
    bool, typer.Option("--next", help="Which stripe would help most: the cases named, else the book's open ones.")
]
Chip = Annotated[str, typer.Argument(help="Name of the plate that is read each week.", show_default=False)]


def plate(
    context: typer.Context,
    stains: Stains = None,
    plates: Plates = None,
    stripes: Stripes = 3,
    room: Room = 8,
    hand: Hand = None,
    operator: Operator = None,
    programme: Programme = None,
    material: Material = None,
    chips: Chips = None,
    html: Html = None,
    read: Read = None,
    save: Save = None,
    next: Next = False,
    instrument: InstrumentName = None,
    illuminant: Illuminant = None,
    observer: Observer = None,
    json: Json = False,
) -> None:
    """Stripes of some stains on as few plates as possible; read back in order; which stripe to fire next.

    Lay out: stainbook plate husk teasel --chips plates.csv --html plates.html. Read back: stainbook plate --read
    READINGS --chips plates.csv. Next: stainbook plate --next, or plate --next CASE.
    """
    asked, lab = asked_of(context, illuminant, observer, instrument=instrument), lab_of(context)
    if next:
        result = _next_stripes(lab, stains or (), asked)
    elif read:
        if chips is None:
            raise typer.BadParameter(say("found --read alone, expected --chips with the plates that were read"))
        result = lab.stains.read_back(chips, read, save=save, asked=asked)
    else:
        from stainbook.faces.stain_types import PlateOrder

        wanted = PlateOrder(
            tuple(stains or ()), tuple(plates or ()), stripes, room, hand,
            operator=operator, programme=programme, material=material,
        )  # fmt: skip
        result = lab.stains.plates(wanted, csv=chips, html=html)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_plates(result)


def _next_stripes(lab: Lab, cases: Sequence[str], asked: Asked) -> PlateResult:
    from stainbook.faces.case_types import AdviceAsked
    from stainbook.work.documents.day_schemas import PlateResult

    wish = AdviceAsked(asked)
    found, told = (lab.stains.next_stripes(cases, wish), ()) if cases else lab.stains.stripes_for_open(wish)
    none = () if found else (say("no single stripe would help these cases by 1 in 2000 or more"),)
    return PlateResult(next=list(found), warnings=[*told, *none])


def control(
    context: typer.Context, chip: Chip, illuminant: Illuminant = None, observer: Observer = None, json: Json = False
) -> None:
    """A plate that is read each week: does the instrument still read as it did."""
    result = lab_of(context).readings.control(chip, asked_of(context, illuminant, observer))
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_control(result)


def _show_plates(result: PlateResult) -> None:
    if result.stripes:
        rows = [(str(one.row), one.plate, one.paint, one.chip) for one in result.stripes]
        heads = (say("row"), say("plate"), say("paint"), say("stripe"))
        print_table(heads, rows, numbers=heads[:1])
    for hand in result.hands:
        said = say_n(
            "{hand} scatters by {scatter:.0f} % a coat ({low:.0f} to {high:.0f} %), from {n} stripe",
            "{hand} scatters by {scatter:.0f} % a coat ({low:.0f} to {high:.0f} %), from {n} stripes",
            hand.stripes,
            hand=hand.operator or say("this hand"),
            scatter=100 * hand.scatter,
            low=100 * hand.low,
            high=100 * hand.high,
        )
        print_line(said)
    if result.next:
        best = [
            (str(one.rank), one.stain, figure(one.share), str(one.coats), one.plate, figure(100 * one.gain, "+.1f"))
            for one in result.next[:12]
        ]
        columns = ("", say("stain"), say("share"), say("coats"), say("plate"), say("in 100"))
        print_table(columns, best, numbers=(columns[0], *columns[2:4], columns[5]))


def _show_control(result: ControlResult) -> None:
    rows = [
        (one.taken_at or "", *map(tenths, (one.L, one.a, one.b, one.dE00)), joined(one.signals))
        for one in result.points
    ]
    numbers = ("L*", "a*", "b*", say("ΔE00 to centre"))
    print_table((say("taken"), *numbers, say("signals")), rows, numbers=numbers)
    if result.in_control:
        print_line(say("in control"))
    else:
        print_line(say("out of control: calibrate the instrument and read the plate again"))
