"""The commands on the book: list, show, search, history, approve, retire, verify, backup, erase, numbers."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stainbook.cli import changes, confirm, cost_commands, exchange_commands, handover
from stainbook.cli.help_groups import example
from stainbook.cli.options import Illuminant, Json, Observer, lab_of
from stainbook.cli.show import percent, print_document, print_line, print_table, print_warnings, tenths
from stainbook.language import joined, say, say_as, say_n
from stainbook.stage_words import RETURNED, consistency_name, recipe_state
from stainbook.words.figures import figure
from stainbook.words.times import moment

if TYPE_CHECKING:
    from stainbook.work.documents.book_schemas import (
        FoundThing,
        HistoryResult,
        RevisionShown,
        ShowResult,
        StateResult,
        UseShown,
        VerifyResult,
    )
    from stainbook.work.documents.document_parts import Document
    from stainbook.work.documents.number_schemas import NumbersRow

Kind = Annotated[
    str | None,
    typer.Option(help="recipe, case, outcome, stain, reading, ...; where a name is several.", show_default=False),
]
KindName = Annotated[
    str | None, typer.Argument(help="recipe, case, outcome, stain, ...; by default all, counted.", show_default=False)
]
Name = Annotated[str, typer.Argument(help="Name of a thing in the book.", show_default=False)]
RecipeName = Annotated[str, typer.Argument(help="Name of a recipe.", show_default=False)]
Why = Annotated[str | None, typer.Option("--because", help="Why; stored with the change.", show_default=False)]
Words = Annotated[list[str] | None, typer.Argument(help="Words that must stand in it.", show_default=False)]
ColourText = Annotated[
    str | None, typer.Option("--colour", metavar="L,a,b", help="Colour to be near to.", show_default=False)
]
Radius = Annotated[float, typer.Option(help="How near, in ΔE00.")]
Limit = Annotated[int, typer.Option(help="How many to show at most.")]
Between = Annotated[str | None, typer.Option(metavar="M,N", help="Set two revisions side by side.", show_default=False)]
To = Annotated[
    Path | None, typer.Option("--to", help="File or folder; by default beside the book.", show_default=False)
]
By = Annotated[
    list[str] | None,
    typer.Option(help="all, clinic, technician, stain or month; may be repeated. By default all of them."),
]
Csv = Annotated[Path | None, typer.Option("--csv", help="Also save the table as CSV.", show_default=False)]
Since = Annotated[str | None, typer.Option(metavar="DAY", help="First day, such as 2026-03-01.", show_default=False)]
Until = Annotated[str | None, typer.Option(metavar="DAY", help="Last day, such as 2026-03-31.", show_default=False)]
Rebuild = Annotated[bool, typer.Option("--rebuild", help="First make what searches run on again from the records.")]
Files = Annotated[
    Path | None, typer.Option("--folder", help="Where its files lie; by default this folder.", show_default=False)
]
Sure = Annotated[bool, typer.Option("--yes", help="Do it; without, only say what would go.")]


def _text(help_: str) -> Any:
    return typer.Option(help=help_, show_default=False)


def list_(context: typer.Context, kind: KindName = None, json: Json = False) -> None:
    """How many things of each kind the book holds, or the things of one kind."""
    result = lab_of(context).shelf.list(kind)
    if _printed(result, json):
        return
    if kind is None:
        number = say("number")
        print_table((say("kind"), number), [(name, str(n)) for name, n in result.counts.items()], numbers=(number,))
    else:
        columns = (say("name"), say("revision"), say("state"), say("author"), say("when"))
        rows = [
            (t.name, str(t.revision), recipe_state(t.state or ""), t.author, moment(t.created_at))
            for t in result.things
        ]
        print_table(columns, rows, numbers=columns[1:2])


def show(context: typer.Context, name: Name, kind: Kind = None, json: Json = False) -> None:
    """A thing as it holds now; of a recipe also how it did."""
    result = lab_of(context).shelf.show(name, kind)
    if not _printed(result, json):
        _show(result)


def search(
    context: typer.Context,
    words: Words = None,
    colour: ColourText = None,
    radius: Radius = 2.0,
    stain: Annotated[list[str] | None, _text("Stain in it; may be repeated.")] = None,
    lot: Annotated[str | None, _text("Lot of a jar.")] = None,
    material: Annotated[str | None, _text("Material.")] = None,
    state: Annotated[str | None, _text("draft, tried, approved or retired.")] = None,
    stage: Annotated[str | None, _text("Stage before the firing.")] = None,
    zone: Annotated[str | None, _text("Zone.")] = None,
    tissue: Annotated[str | None, _text("tooth or gingiva.")] = None,
    operator: Annotated[str | None, _text("Whose hand.")] = None,
    programme: Annotated[str | None, _text("Firing programme.")] = None,
    consistency: Annotated[str | None, _text("thin, creamy or stiff.")] = None,
    case: Annotated[str | None, _text("Code of a case.")] = None,
    kind: Kind = None,
    illuminant: Illuminant = None,
    observer: Observer = None,
    limit: Limit = 20,
    json: Json = False,
) -> None:
    """What did we do last time: by colour (nearest first), words and conditions (newest first)."""

    asked = {
        "lot": lot, "material": material, "state": state, "stage": stage, "zone": zone, "tissue": tissue,
        "operator": operator, "programme": programme, "consistency": consistency, "case": case, "kind": kind,
    }  # fmt: skip
    conditions = [("stain", one) for one in stain or ()] + [(name, value) for name, value in asked.items() if value]
    result = lab_of(context).shelf.search(
        colour, words or (), conditions, radius=radius, illuminant=illuminant, observer=observer, limit=limit
    )
    if not _printed(result, json):
        revision = say("revision")
        columns = ("ΔE00", say("kind"), say("name"), revision, say("state"), say("author"), say("when"))
        print_table(columns, map(_found_row, result.found), numbers=("ΔE00", revision))


def history(context: typer.Context, name: Name, kind: Kind = None, between: Between = None, json: Json = False) -> None:
    """All revisions of a thing, and what changed in each."""
    result = lab_of(context).shelf.history(name, kind, between=between)
    if not _printed(result, json):
        _show_history(result)


def approve(context: typer.Context, recipe: RecipeName, because: Why = None, json: Json = False) -> None:
    """Approve a recipe, in your name."""
    _set_state(context, recipe, "approved", because, json)


def retire(context: typer.Context, recipe: RecipeName, because: Why = None, json: Json = False) -> None:
    """Retire a recipe: it is kept, and no longer offered."""
    _set_state(context, recipe, "retired", because, json)


def verify(context: typer.Context, rebuild: Rebuild = False, json: Json = False) -> None:
    """Check every record, their chain, and that the fit follows from them."""
    result = lab_of(context).shelf.verify(rebuild=rebuild)
    if not _printed(result, json):
        print_line(_verified(result))
        for fault in result.faults:
            print_line(fault)
        print_line(say("the book is as it was stored") if result.ok else say("the book was changed"))
    if not result.ok:
        raise typer.Exit(3)


def backup(context: typer.Context, to: To = None, json: Json = False) -> None:
    """Copy the book, while others may use it, and read the copy back."""
    result = lab_of(context).shelf.back_up(to)
    if not _printed(result, json):
        print_line(
            say_n("{path}: {n} record, verified", "{path}: {n} records, verified", result.records, path=result.path)
        )


def erase(
    context: typer.Context,
    case: Name,
    because: Why = None,
    folder: Files = None,
    yes: Sure = False,
    json: Json = False,
) -> None:
    """Erase a case: its code and free text go, nameless colours and a tombstone stay; its own files go too."""
    result = lab_of(context).exchange.erase(case, why=because, sure=yes, folder=folder or Path.cwd())
    if not _printed(result, json):
        said = say_n(
            "{n} record of {case} is erased; {tombstone} stays",
            "{n} records of {case} are erased; {tombstone} stays",
            result.records,
            case=case,
            tombstone=result.tombstone,
        )
        print_line(said)


def numbers(
    context: typer.Context,
    by: By = None,
    since: Since = None,
    until: Until = None,
    csv: Csv = None,
    json: Json = False,
) -> None:
    """The lab's numbers: first firings that did, firings a unit, returns by reason, minutes."""
    result = lab_of(context).numbers.by(by or (), since=since, until=until, csv=csv)
    if not _printed(result, json):
        columns = (
            say("units"), say("first firing"), say("of judged"), say("firings a unit"), say("minutes a firing"), "ΔE00",
        )  # fmt: skip
        heads = (say("by"), say("name"), *columns, say("returned"))
        print_table(heads, map(_numbers_row, result.rows), numbers=columns)
        for note in result.notes:
            print_line(note)


# ---------------------------------------------------------------- shared


def _printed(result: Document, json: bool) -> bool:
    """Print JSON where it is asked, else only the warnings."""
    if json:
        print_document(result)
    else:
        print_warnings(result.warnings)
    return json


def _verified(result: VerifyResult) -> str:
    head = result.head[:16]
    if not result.erased:
        return say_n(
            "{n} record; the chain ends with {head}",
            "{n} records; the chain ends with {head}",
            result.records,
            head=head,
        )
    return say_n(
        "{n} record, {erased} of them erased; the chain ends with {head}",
        "{n} records, {erased} of them erased; the chain ends with {head}",
        result.records,
        erased=result.erased,
        head=head,
    )


def _set_state(context: typer.Context, recipe: str, state: str, because: str | None, json: bool) -> None:
    result = lab_of(context).recipes.set_state(recipe, state, why=because)
    if not _printed(result, json):
        _show_state(result)


def _show_state(result: StateResult) -> None:
    print_line(changes.state_line(result))
    if result.meanwhile is not None:
        other = result.meanwhile
        print_line(say("meanwhile {author} stored revision {revision}:", author=other.author, revision=other.revision))
        _show_changes(result.meanwhile)


def _show(result: ShowResult) -> None:
    thing = result.thing
    said = say(
        "{kind} {name}: revision {revision}, {author}, {when}",
        kind=thing.kind,
        name=thing.name,
        revision=thing.revision,
        author=thing.author,
        when=moment(thing.created_at),
    )
    print_line(said)
    rows = [(key, str(value)) for key, value in thing.record.items()]
    print_table(("", say_as("what a key holds", "value")), rows, numbers=())
    if result.use is not None:
        print_line(_use(result.use))


def _use(use: UseShown) -> str:
    if not use.uses:
        return say("never used yet")
    told = [say_n("used {n} time", "used {n} times", use.uses)]
    if use.share is not None and use.low is not None and use.high is not None:
        told.append(
            say(
                "accepted {share} ({low} to {high}) of {judged}",
                share=percent(use.share),
                low=percent(use.low),
                high=percent(use.high),
                judged=use.judged,
            )
        )
    if use.dE00_median is not None:
        told.append(joined(["ΔE00", tenths(use.dE00_median)], " "))
    if use.remakes:
        told.append(say("returned: {reasons}", reasons=_reasons(use.remakes)))
    return joined(told)


def _reasons(counts: Mapping[str, int]) -> str:
    """Why pieces came back, with how many."""
    return joined([joined([RETURNED.get(reason, reason), str(number)], " ") for reason, number in counts.items()])


def _found_row(found: FoundThing) -> tuple[str, ...]:
    apart = "" if found.dE00 is None else tenths(found.dE00)
    state = recipe_state(found.state or "")
    return (apart, found.kind, found.name, str(found.revision), state, found.author, moment(found.created_at))


def _show_history(result: HistoryResult) -> None:
    for one in result.revisions:
        said = say(
            "revision {revision}, {author}, {when}",
            revision=one.revision,
            author=one.author,
            when=moment(one.created_at),
        )
        print_line(joined([said, one.why], ": ") if one.why else said)
        _show_changes(one)


_WORDS = {"state": recipe_state, "conditions.consistency": consistency_name}


def _said(where: str, value: str) -> str:
    """A value that changed; what has words of its own in these."""
    return _WORDS[where](value) if where in _WORDS else value


def _show_changes(revision: RevisionShown) -> None:
    if revision.changes:
        columns = ("", *(say("revision {revision}", revision=one) for one in (revision.against, revision.revision)))
        rows = [
            (one.where, *(_said(one.where, _value(side)) for side in (one.before, one.after)))
            for one in revision.changes
        ]
        print_table(columns, rows, numbers=())


def _value(value: object) -> str:
    return "" if value is None else str(value)


def _share(row: NumbersRow) -> str:
    if row.first_firing is None or row.first_firing_low is None or row.first_firing_high is None:
        return ""
    low, high = percent(row.first_firing_low), percent(row.first_firing_high)
    return say("{share} ({low} to {high})", share=percent(row.first_firing), low=low, high=high)


_BY = {
    "all": say_as("which pieces are counted", "all"),
    "clinic": say("clinic"),
    "technician": say("technician"),
    "programme": say("programme"),
    "stain": say("stain"),
    "month": say("month"),
}


def _numbers_row(row: NumbersRow) -> tuple[str, ...]:
    return (
        _BY.get(row.by, row.by),
        _BY["all"] if row.by == "all" else row.name,
        str(row.units),
        _share(row),
        "" if row.first_firing is None else str(row.judged),
        "" if row.firings_a_unit is None else figure(row.firings_a_unit, ".2f"),
        "" if row.minutes is None else f"{row.minutes:.0f}",
        "" if row.dE00_median is None else tenths(row.dE00_median),
        _reasons(row.returned),
    )


app = typer.Typer(help="The lab's book: what it holds, found again, checked and handed on.", no_args_is_help=True)
app.command("list", epilog=example("book list stain"))(list_)
app.command("show", epilog=example("book show 'warm neck' --kind recipe"))(show)
app.command("search", epilog=example("book search --colour 72,1.6,17 --radius 2"))(search)
app.command("history", epilog=example("book history 'warm neck' --kind recipe"))(history)
app.command("approve", epilog=example("book approve 'warm neck'"))(approve)
app.command("retire", epilog=example("book retire 'warm neck'"))(retire)
app.command("keep", epilog=example("book keep 'W-1051 11 cervical 2026-03-02T10:40:00Z' 'warm neck'"))(changes.keep)
app.command("export", epilog=example("book export lab.zip --no-history"))(exchange_commands.export)
app.command("import", epilog=example("book import lab.zip --preview"))(exchange_commands.import_)
app.command("verify", epilog=example("book verify"))(verify)
app.command("backup", epilog=example("book backup --to copy.db"))(backup)
app.command("erase", epilog=example("book erase W-1051 --yes"))(erase)
app.command("withdraw", epilog=example("book withdraw reading/W-1051-11 --because 'wrong tooth'"))(changes.withdraw)
app.command("confirm", epilog=example("book confirm W-1051 '11 cervical' --because 'read twice'"))(confirm.confirm)
app.command("share", epilog=example("book share 'recipe/warm neck'"))(changes.share)
app.command("accept", epilog=example("book accept W-1051 --by clinic"))(handover.accept)
app.command("deliver", epilog=example("book deliver W-1051"))(handover.deliver)
app.command("return", epilog=example("book return W-1051 --for shade"))(handover.return_)
app.command("costs", epilog=example("book costs --since 2026-03-01"))(cost_commands.costs)
app.command("numbers", epilog=example("book numbers --by technician"))(numbers)
