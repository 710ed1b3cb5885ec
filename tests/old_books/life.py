"""What the invented lab did from January to November 2026: every kind of row of the journal, and many histories.

Told through the commands where there is one, else through what the pages called at that commit. Steps that an
older program did not know are left out (``bench.newest``).
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from tests.old_books.bench import Bench, write_lab
from tests.old_books.histories import HISTORIES
from tests.old_books.received import RECEIVED
from tests.old_books.steps import BODY, LIMITS, NECK, C, M, bring, sample, zone

FIRST_STAINS = ("walnut", "clear")


def live(bench: Bench) -> None:
    """The whole life."""
    for step in (*OPENING, *HISTORIES, *RECEIVED, *CLOSING):
        step(bench)


def first_life(bench: Bench) -> None:
    """A lab of the first version: a stain learnt from its chips, a guide, a jar of a new lot; cases are files alone."""
    from stainbook.book import open_book
    from stainbook.book.entries import Import
    from stainbook.files import read_guide, read_readings

    bench.at("2026-01-05T08:10:00")
    write_lab(bench.folder / "lab", FIRST_STAINS)
    chips = ("lab/chips.csv", "lab/readings.csv", "--stains", "lab/stains.yaml", "--bodies", "lab/bodies.csv")
    bench.cli("calibrate", *chips)
    with open_book(bench.url) as book:
        book.add_guide(read_guide(Path("lab/guide.csv")).records)
        book.add_imports([Import("lab/readings.csv", "0" * 64)])
    bench.at("2026-02-02T08:00:00", "bench-2")
    with open_book(bench.url) as book:
        book.add_stains([replace(book.stains()["walnut"], lot="24-233", notes="opened in February")])
    bench.mill("V-001", "bone", C, M)
    bench.measure("V-001", "blasted", "2026-02-02T09:00:00", C, M)
    with open_book(bench.url) as book:
        book.add_readings(read_readings(Path("V-001.csv")).all)
    zones = "".join(zone(one, "hay-1", sample("V-001", one)) for one in (C, M))
    bench.case("V-001", f"stage: blasted\nfinish: glaze\nzones:\n{zones}operator: bench-1\n{LIMITS}")
    bench.write(
        "recipes.csv", "recipe,body,layer,stain,strength,coats\nwarm neck,bone,1,walnut,1/8,1\nglaze,bone,1,clear,1,1\n"
    )


def _set_up(bench: Bench) -> None:
    bench.at("2026-01-05T08:10:00")
    write_lab(bench.folder / "lab")
    bench.cli("guide", "lab/guide.csv", "lab/readings.csv")
    bench.cli("instrument", "pen", "--illuminant", "D65", "--observer", 10, "--geometry", "45/0", "--aperture", 3)
    bench.write(
        "lab/programmes.yaml",
        "- {programme: stain, furnace: small, final_c: 770, hold_min: 1, minutes: 18, source_sheet: lab's own}\n"
        "- {programme: glaze, furnace: small, final_c: 790, hold_min: 1, minutes: 20, source_sheet: lab's own}\n",
    )
    bench.cli("programme", "lab/programmes.yaml")
    bench.cli(
        "calibrate", "lab/chips.csv", "lab/readings.csv", "--stains", "lab/stains.yaml", "--bodies", "lab/bodies.csv"
    )


def _people(bench: Bench) -> None:
    from stainbook.book import open_book
    from stainbook.book.entries import Import
    from stainbook.kept import Operator

    with open_book(bench.url) as book:
        book.add_operators([Operator("bench-1", notes="fired the chips"), Operator("bench-2"), Operator("bench-3")])
        book.add_imports([Import("lab/readings.csv", "0" * 64)])


def _settings(bench: Bench) -> None:
    if not bench.newest:
        return
    from stainbook.work.settings import OwnLimits, keep_lab, keep_limits, keep_mixing
    from stainbook.work.undo import undo_settings

    bench.at("2026-01-06T09:00:00", "lead")
    keep_lab(bench.url, "The invented lab")
    keep_mixing(bench.url, "1/16, 1/8, 1/4, 1/2", 0.01)
    keep_limits(bench.url, "gingiva", OwnLimits("gum-2020-strict"))
    undo_settings(bench.url)
    keep_limits(bench.url, "tooth", OwnLimits(perceptible=0.8, acceptable=2.0))


def _recipes(bench: Bench) -> None:
    from stainbook.book import open_book
    from stainbook.kept import Conditions, LabRecipe

    bench.at("2026-06-15T09:00:00")
    neck = LabRecipe("warm neck", NECK, "draft", Conditions(material="zirconia", tissue="tooth", zone="cervical"))
    with open_book(bench.url) as book:
        book.revise_recipe(neck)
        book.revise_recipe(replace(neck, state="tried", based_on=1, why="held on two pieces"))
        book.revise_recipe(LabRecipe("soft body", BODY, "tried"))
    bench.at("2026-06-16T09:00:00", "lead")
    bench.cli("book", "approve", "warm neck", "--because", "held on three pieces")
    bench.cli("book", "retire", "soft body")
    if bench.newest:
        from stainbook.work.undo import undo_recipe

        bench.cli("book", "keep", "V-108 11 middle 2026-03-09T11:00:00Z", "body of V-108")
        undo_recipe(bench.url, "soft body")
    bench.cli("book", "share", "recipe/warm neck")
    bench.cli("book", "share", "stain/walnut")
    bench.cli("book", "share", "stain/walnut", "--stop")


def _changed(bench: Bench) -> None:
    """V-106 its target moved on the page, then moved back; V-105 another operator."""
    if not bench.newest:
        return
    from stainbook.work.case_change import change_case, undo

    bench.at("2026-06-22T09:00:00", "lead")

    def lighter(case, book):
        first = case.zones[0]
        aim = replace(first.target, shift=(("L", 1.0),))
        return replace(case, zones=(replace(first, target=aim), *case.zones[1:]))

    change_case(bench.url, Path("V-106.yaml"), lighter)
    undo(bench.url, Path("V-106.yaml"))
    change_case(bench.url, Path("V-105.yaml"), lambda case, book: replace(case, operator="bench-3"))


def _new_jar(bench: Bench) -> None:
    """A new jar of a stain, and a piece read by the pen as L*, a*, b* (V-123)."""
    from stainbook.book import open_book

    bench.at("2026-11-02T09:00:00")
    with open_book(bench.url) as book:
        book.add_stains([replace(book.stains()["walnut"], lot="26-401")])
    bench.write(
        "V-123.csv",
        "sample,stage,instrument,L,a,b,taken_at\nV-123-11-cervical,blasted,pen,76.2,0.9,13.4,2026-11-02T08:00:00Z\n",
    )
    bench.cli("read", "V-123.csv")
    target = "{L: 72.8, a: 2.4, b: 18.0, illuminant: D65, observer: 10}"
    bring(
        bench,
        bench.case("V-123", f"stage: blasted\nzones:\n  - {{tooth: 11, zone: cervical, target: {target}}}\n{LIMITS}"),
    )


OPENING = (_set_up, _people, _settings)
CLOSING = (_recipes, _changed, _new_jar)
