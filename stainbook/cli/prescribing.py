"""The commands on what is wanted and how it is fired: guide, trial, programme, mixes, bench."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from stainbook.cli.options import Adapt, Illuminant, InstrumentName, Json, Observer, Thresholds, asked_of, lab_of
from stainbook.cli.show import print_document, print_line, print_table, print_warnings, tenths, viewing
from stainbook.errors import some_of
from stainbook.language import say
from stainbook.words.figures import figure
from stainbook.words.mixes import mix
from stainbook.words.places import place, zone_name
from stainbook.words.states import TOLERANCE
from stainbook.words.times import moment

if TYPE_CHECKING:
    from stainbook.work.documents.day_schemas import BenchResult, GuideResult, MixesResult, ProgrammeResult, TrialResult

GuideFile = Annotated[Path | None, typer.Argument(help="guide.csv; by default the book's are listed.")]
TabReadings = Annotated[Path | None, typer.Argument(help="Readings named guide/tab/zone.", show_default=False)]
CaseCode = Annotated[str, typer.Argument(metavar="CASE", help="Code of the trial piece's case.", show_default=False)]
Approve = Annotated[
    str | None,
    typer.Option(help="left or worn: make the first or the newest readings the targets.", show_default=False),
]
By = Annotated[str, typer.Option(help="Who approved it: clinic, lab, or a bench; no patient's name.")]
MixesFile = Annotated[Path | None, typer.Argument(help="mixes.yaml; by default the book's are listed.")]
ProgrammeFile = Annotated[Path | None, typer.Argument(help="programmes.yaml; by default the book's are listed.")]

CaseFile = Annotated[
    str, typer.Argument(metavar="CASE", help="A case file, or the code of a case.", show_default=False)
]
Html = Annotated[Path | None, typer.Option("--html", help="Also save it as a page to print.", show_default=False)]
Guide = Annotated[
    Path | None,
    typer.Option(help="The lab's guide; by default guide.csv beside the case, or the book's.", show_default=False),
]
MoreReadings = Annotated[
    list[Path] | None,
    typer.Option("--readings", help="More readings, of guide tabs and blanks; may be repeated.", show_default=False),
]
_APPROVED = {"left": say("as delivered"), "worn": say("as worn")}
PROGRAMME = {
    "programme": say("programme"),
    "furnace": say("furnace"),
    "drying_min": say("drying min"),
    "start_c": say("start °C"),
    "rate_c_per_min": say("rate °C/min"),
    "vacuum": say("vacuum"),
    "final_c": say("final °C"),
    "hold_min": say("hold min"),
    "cooling": say("cooling"),
    "minutes": say("minutes"),
    "source_sheet": say("source sheet"),
}


def guide(
    context: typer.Context,
    guide: GuideFile = None,
    readings: TabReadings = None,
    instrument: InstrumentName = None,
    illuminant: Illuminant = None,
    observer: Observer = None,
    json: Json = False,
) -> None:
    """The lab's own shade guide and its readings into the book; without files, what it holds."""
    asked = asked_of(context, illuminant, observer, instrument=instrument)
    lab = lab_of(context)
    result = lab.readings.guide(asked) if guide is None else lab.readings.load_guide(guide, readings, asked)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_guide(result)


def trial(
    context: typer.Context,
    case: CaseCode,
    approve: Approve = None,
    by: By = "",
    adapt: Adapt = False,
    json: Json = False,
) -> None:
    """A trial piece as it was delivered and as it was worn; --approve makes one of them the target.

    Targets are tabs CASE-TOOTH of the guide trial.
    """
    asked = asked_of(context, None, None, adapt)
    piece = lab_of(context).case(case)
    result = piece.trial(asked) if approve is None else piece.approve_trial(approve, by=by, asked=asked)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_trial(result)


def programme(context: typer.Context, programmes: ProgrammeFile = None, json: Json = False) -> None:
    """Firing programmes from the makers' sheets into the book; without a file, what it holds."""
    settings = lab_of(context).settings
    result = settings.programmes() if programmes is None else settings.load_programmes(programmes)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_programmes(result)


def mixes(context: typer.Context, mixes: MixesFile = None, json: Json = False) -> None:
    """The mixes that the lab keeps ready into the book, in place of those it held; without a file, what it holds."""
    settings = lab_of(context).settings
    result = settings.mixes() if mixes is None else settings.load_mixes(mixes)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_mixes(result)


def bench(
    context: typer.Context,
    case: CaseFile,
    html: Html = None,
    guide: Guide = None,
    readings: MoreReadings = None,
    thresholds: Thresholds = None,
    instrument: InstrumentName = None,
    illuminant: Illuminant = None,
    observer: Observer = None,
    adapt: Adapt = False,
    json: Json = False,
) -> None:
    """The bench sheet of a case: the gap in value, chroma and hue, the next step once stains are calibrated."""
    asked = asked_of(context, illuminant, observer, adapt, instrument)
    piece = lab_of(context).case(case)
    result = piece.bench(asked, guide=guide, readings=readings or (), thresholds=thresholds or (), html=html)
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
        _show_bench(result)


def _show_bench(result: BenchResult) -> None:
    from stainbook.faces.case_types import cells

    columns = (
        say("tooth"), say("zone"), say("known by"), "ΔE00", say("value"), say("chroma"), say("hue"), say("next step"),
    )  # fmt: skip
    print_table(columns, [cells(zone) for zone in result.zones], numbers=(columns[0], "ΔE00"))
    if any(zone.scale for zone in result.zones):
        print_line(say("ΔE00 on this instrument's own scale"))
    for zone in result.zones:
        if zone.mottle:
            scatter = " ".join(map(tenths, (zone.mottle.L, zone.mottle.a, zone.mottle.b)))
            said = say(
                "{zone}: mottle ΔE00 {apart}, ± {scatter} in L* a* b*",
                zone=place(zone.tooth, zone.zone),
                apart=tenths(zone.mottle.dE00),
                scatter=scatter,
            )
            print_line(said)
    if result.minutes is not None:
        print_line(say("in the furnace: about {minutes:.0f} minutes", minutes=result.minutes))
    for effect in result.effects:
        print_line(say("by eye: {effect}", effect=effect))
    if result.resin_stains:
        print_line(say("resin stains: {stains}", stains=some_of(result.resin_stains)))


def _show_guide(result: GuideResult) -> None:
    rows = [
        (
            one.guide,
            one.tab,
            zone_name(one.zone),
            *("" if value is None else tenths(value) for value in (one.L, one.a, one.b, one.u)),
            viewing(one.illuminant, one.observer) if one.L is not None else say("not read"),
        )
        for one in result.zones
    ]
    numbers = ("L*", "a*", "b*", "± ΔE00")
    print_table((say("guide"), say("tab"), say("zone"), *numbers, say("light")), rows, numbers=numbers)


def _show_trial(result: TrialResult) -> None:
    rows = [
        (
            str(one.tooth),
            zone_name(one.zone),
            str(one.readings),
            *("" if value is None else tenths(value) for value in (one.dE00, one.u, one.dL, one.dC, one.dH)),
            TOLERANCE.get(one.grade or "", ""),
        )
        for one in result.zones
    ]
    numbers = (say("tooth"), say("readings"), "ΔE00", "± ΔE00", "ΔL′", "ΔC′", "ΔH′")
    print_line(say("{case}: worn minus as delivered", case=result.case))
    print_table((numbers[0], say("zone"), *numbers[1:], say("tolerance")), rows, numbers=numbers)
    if result.targets:
        which = _APPROVED.get(result.approved or "", result.approved)
        print_line(say("approved, {which}: targets {targets}", which=which, targets=some_of(result.targets)))


def _show_mixes(result: MixesResult) -> None:
    rows = [(one.mix, mix(one.pot), moment(one.made_on or ""), one.left or "") for one in result.mixes]
    print_table((say("mix"), say("parts"), say("made on"), say("remains")), rows, numbers=())


def _show_programmes(result: ProgrammeResult) -> None:
    fields = [name for name in PROGRAMME if any(getattr(one, name) is not None for one in result.programmes)]
    rows = [[_cell(getattr(one, field)) for field in fields] for one in result.programmes]
    numbers = [PROGRAMME[field] for field in fields if field.endswith(("_c", "_min", "minutes"))]
    print_table([PROGRAMME[field] for field in fields], rows, numbers=numbers)


def _cell(value: str | float | None) -> str:
    return "" if value is None else figure(value) if isinstance(value, float) else value
