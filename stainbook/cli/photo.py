"""The command on photos: photo."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.options import Adapt, Illuminant, Json, Observer, asked_of, lab_of
from stainbook.cli.show import percent, print_document, print_line, print_table, print_warnings, tenths, viewing
from stainbook.errors import some_of
from stainbook.language import say
from stainbook.words.places import zone_name
from stainbook.words.states import TOLERANCE

if TYPE_CHECKING:
    from stainbook.work.documents.schemas import PhotoResult, PhotoZone

Image = Annotated[Path, typer.Argument(help="JPEG, PNG, TIFF, DNG or camera raw.", show_default=False)]
SceneFile = Annotated[Path, typer.Argument(metavar="SCENE", help="What is where in it.", show_default=False)]
Before = Annotated[
    tuple[Path, Path] | None,
    typer.Option(
        metavar="IMAGE SCENE", help="An earlier photo with the same target: changes are told.", show_default=False
    ),
]
CaseFile = Annotated[
    str | None, typer.Option("--case", help="The case whose targets the zones are held against.", show_default=False)
]

MapFile = Annotated[
    Path | None,
    typer.Option(
        "--map", help="Write a PNG of ΔE00 over the zones: to the case, else since before.", show_default=False
    ),
]
Store = Annotated[
    bool, typer.Option("--store", help="Put the zones into the book as readings of the case, each with its doubt.")
]


def photo(
    context: typer.Context,
    image: Image,
    scene: SceneFile,
    before: Before = None,
    case: CaseFile = None,
    map: MapFile = None,
    store: Store = False,
    illuminant: Illuminant = None,
    observer: Observer = None,
    adapt: Adapt = False,
    json: Json = False,
) -> None:
    """Zone colours from a calibrated photo, each with its doubt."""
    from stainbook.faces.photo_types import PhotoAsked

    asked = asked_of(context, illuminant, observer, adapt)
    wish = PhotoAsked(asked=asked, before=before, case=case, map=map, store=store)
    result = lab_of(context).photo.measure(image, scene, wish)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show(result)


def _show(result: PhotoResult) -> None:
    print_line(result.method)
    tooth = say("tooth")
    numbers = ["L*", "a*", "b*", "C*", "h °", "± ΔE00", say("masked")]
    columns = [tooth, say("zone"), *numbers, say("light")]
    changes, gaps = any(zone.change for zone in result.zones), any(zone.gap for zone in result.zones)
    if changes:
        more = [say("change ΔE00"), say("± change")]
        numbers, columns = [*numbers, *more], [*columns, *more]
    if gaps:
        more = [say("to target"), say("± target")]
        numbers, columns = [*numbers, *more], [*columns, *more, say("tolerance")]
    print_table(columns, [_row(zone, changes, gaps) for zone in result.zones], numbers=[tooth, *numbers])
    if result.stored:
        print_line(say("stored: {samples}", samples=some_of(result.stored)))


def _row(zone: PhotoZone, changes: bool, gaps: bool) -> list[str]:
    row = [str(zone.tooth), zone_name(zone.zone), *map(tenths, (zone.L, zone.a, zone.b, zone.C, zone.h))]
    row += [say("{doubt} glare", doubt=tenths(zone.u)) if zone.flagged else tenths(zone.u), percent(zone.masked)]
    row += [viewing(zone.illuminant, zone.observer)]
    if changes:
        row += [tenths(zone.change.dE00), tenths(zone.change.u)] if zone.change else ["", ""]
    if gaps:
        gap = zone.gap
        row += [tenths(gap.dE00), tenths(gap.u or 0.0), TOLERANCE[gap.grade]] if gap else ["", "", ""]
    return row
