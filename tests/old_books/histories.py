# ruff: noqa: I001  (imports of the programs that lived it: their modules lay elsewhere)
"""Cases at the bench: green, read, chosen, painted, fired once and twice, corrected and taken back."""

from __future__ import annotations

from tests.old_books.bench import Bench, layers
from tests.old_books.steps import BODY, LIMITS, NECK, THIN, A, C, M, bring, choose, opened, outcome, page_firing, zone


def _trial(bench: Bench) -> None:
    """V-101 a provisional: read when it left and after it was worn, approved as it left."""
    bench.at("2026-01-12T09:00:00")
    bench.mill("V-101", "sand", C)
    bench.measure("V-101", "trial", "2026-01-12T09:00:00", C)
    bench.measure("V-101", "trial", "2026-02-12T09:00:00", C)
    path = bench.case("V-101", f"stage: trial\nzones:\n{zone(C, 'oat-1')}")
    bench.cli("read", "V-101.csv")
    bring(bench, path)
    bench.at("2026-02-12T10:00:00", "lead")
    bench.cli("trial", "V-101", "--approve", "left", "--by", "clinic")


def _green(bench: Bench) -> None:
    """V-102 green and untouched. V-103 coloured with a liquid and recorded by the command, V-104 by the page."""
    body = "{body: linen}"
    for code in ("V-102", "V-103", "V-104"):
        bench.at("2026-02-02T09:00:00")
        zones = zone(C, "oat-1", body) + zone(M, "oat-1", body)
        path = bench.case(code, f"stage: green\nzones:\n{zones}{LIMITS}")
        bring(bench, path)
    amber = layers(({"amber": 1.0}, 2))
    bench.soak("V-103", "linen", 2, C, M)
    bench.measure("V-103", "sintered", "2026-02-03T08:00:00", C, M, tag="-f1")
    bench.at("2026-02-03T09:00:00", "bench-2")
    told = outcome(bench, "V-103", "V-103-1", "2026-02-03T07:30:00", {C: amber, M: amber}, tag="-f1")
    bench.cli("record", told)
    bench.soak("V-104", "linen", 1, C, M)
    bench.at("2026-02-04T09:00:00", "bench-2")
    page_firing(bench, "V-104", {C: "1 × amber", M: "1 × amber"}, read=[C], operator="bench-2")


def _chosen(bench: Bench) -> None:
    """V-105 sintered, read, chosen: one zone to add, one to leave; a choice was undone. V-118 another blank chosen."""
    path = opened(bench, "V-105", "bone", "2026-02-09T09:00:00", "sintered", C, M)
    other = opened(
        bench, "V-118", "clay", "2026-02-09T10:00:00", "blasted", C, M,
        more="effects:\n  - {tooth: 11, effect: halo, place: incisal edge, pot: {walnut: 1/4}, note: thin}\n"
        "lots: {walnut: 24-136}\nlimits: {firings_left: 1, layers: 1, coats: 1, pots: 2, strengths: [1/8], "
        "stains: [walnut, apricot]}\n",
    )  # fmt: skip
    bench.at("2026-02-09T11:00:00")
    choose(bench, path, {C: ("add", NECK, None)})
    choose(bench, path, {M: ("add", BODY, None)})
    if bench.newest:
        from stainbook.work.undo import undo_choices

        undo_choices(bench.url, path)
    choose(bench, path, {M: ("leave", (), None)})
    bench.at("2026-02-09T11:10:00", "bench-3")
    choose(bench, other, {C: ("remake", NECK, "bone"), M: ("add", BODY, None)})


def _painted(bench: Bench) -> None:
    """V-106 blasted, painted on tooth and gum and not fired. V-107 three zones painted, two of them read and told."""
    from stainbook.work.results import ZoneResult, note_painted

    path = opened(bench, "V-106", "sand", "2026-03-02T09:00:00", "blasted", C, A)
    bench.at("2026-03-02T10:00:00", "bench-2")
    note_painted(bench.url, path, [ZoneResult(*C, "1 × 1 part walnut + 7 parts clear")], "bench-2")
    note_painted(bench.url, path, [], "bench-2")  # wiped off
    both = [
        ZoneResult(*C, "1 × 1 part walnut + 3 parts clear"),
        ZoneResult(*A, "1 × coral; 1 × 1 part coral + 3 parts clear"),
    ]
    note_painted(bench.url, path, both, "bench-2")
    partly = opened(bench, "V-107", "bone", "2026-03-04T09:00:00", "blasted", C, M, (11, "incisal"))
    bench.at("2026-03-04T10:00:00")
    done = {C: "1 × 1 part walnut + 7 parts clear", M: "1 × 1 part apricot + 7 parts clear"}
    done[11, "incisal"] = "1 × 1 part walnut + 15 parts clear"
    note_painted(bench.url, partly, [ZoneResult(*key, text) for key, text in done.items()], "bench-1")
    stacks = {C: layers(({"walnut": 1 / 8}, 1)), M: BODY, (11, "incisal"): THIN}
    bench.fire("V-107", stacks)
    bench.at("2026-03-04T14:00:00")
    page_firing(bench, "V-107", done, read=[C, M], operator="bench-1", minutes="55")


def _twice(bench: Bench) -> None:
    """V-108 fired twice, the second outcome corrected with a reason; its recipe kept, revised, approved."""
    opened(bench, "V-108", "bone", "2026-03-09T09:00:00", "blasted", C, M)
    head = "operator: bench-1\nprogramme: stain\nfurnace: small\nminutes: 60\nlots: {walnut: 24-136}\n"
    for number, (when, done) in enumerate(
        (("2026-03-09T11:00:00", {C: NECK, M: BODY}), ("2026-03-10T11:00:00", {C: THIN})), start=1
    ):
        bench.fire("V-108", done)
        bench.measure("V-108", "stained", when.replace("T11", "T12"), *done, tag=f"-f{number}")
        bench.at(when.replace("T11", "T13"))
        bench.cli("record", outcome(bench, "V-108", f"V-108-{number}", when, done, head=head, tag=f"-f{number}"))
    thicker = {C: layers(({"walnut": 1 / 8}, 1))}
    bench.at("2026-03-11T08:00:00", "bench-2")
    again = outcome(bench, "V-108", "V-108-2b", "2026-03-10T11:00:00", thicker, head=head, tag="-f2")
    bench.cli("record", again, "--because", "it was one part in eight")


def _taken_back(bench: Bench) -> None:
    """V-109 a reading taken back, one given way to a better one, an outcome and a whole firing taken back.

    V-124 its only reading was taken back.
    """
    opened(bench, "V-109", "sand", "2026-03-16T09:00:00", "blasted", C, M)
    bench.measure("V-109", "blasted", "2026-03-16T10:00:00", C)
    bench.at("2026-03-16T10:30:00", "bench-3")
    bench.cli("read", "V-109.csv")
    bench.cli("book", "withdraw", "reading/V-109-11-cervical", "--because", "read wet")
    lines = (bench.folder / "V-109.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    bench.write("V-109-middle.csv", "".join(one for one in lines if "-cervical" not in one).replace("T09:00", "T10:20"))
    if bench.newest:
        better = ("--by", "V-109-middle.csv")
        bench.cli("book", "withdraw", "reading/V-109-11-middle", "--because", "read wet", *better)
    opened(bench, "V-124", "sand", "2026-03-16T11:00:00", "blasted", C)
    bench.cli("book", "withdraw", "reading/V-124-11-cervical", "--because", "another piece")
    for number, when in enumerate(("2026-03-17T11:00:00", "2026-03-18T11:00:00"), start=1):
        done = {C: NECK, M: BODY} if number == 1 else {C: THIN}
        bench.fire("V-109", done)
        bench.measure("V-109", "stained", when.replace("T11", "T12"), *done, tag=f"-f{number}")
        bench.at(when.replace("T11", "T13"), "bench-3")
        head = "operator: bench-3\nprogramme: stain\n"
        bench.cli("record", outcome(bench, "V-109", f"V-109-{number}", when, done, head=head, tag=f"-f{number}"))
    bench.at("2026-03-19T09:00:00", "lead")
    bench.cli("book", "withdraw", "outcome/V-109 11 middle 2026-03-17T11:00:00Z", "--because", "another piece")
    if bench.newest:
        bench.cli("book", "withdraw", "firing/V-109 2026-03-18T11:00:00Z", "--because", "never fired")


def _corrected(bench: Bench) -> None:
    """V-120 a zone's layers and colour corrected and another one taken back, as the pages do; a typed reading too."""
    path = opened(bench, "V-120", "sand", "2026-03-23T09:00:00", "blasted", C, M)
    done = {C: "1 × 1 part walnut + 7 parts clear", M: "1 × 1 part apricot + 7 parts clear"}
    bench.fire("V-120", {C: layers(({"walnut": 1 / 8}, 1)), M: BODY})
    bench.at("2026-03-23T14:00:00", "bench-2")
    page_firing(bench, "V-120", done, read=[C, M], operator="bench-2", minutes="50")
    if not bench.newest:
        return
    from stainbook.book import open_book
    from stainbook.work.conditions import Asked
    from stainbook.work.correct import ToldFiring, correct_firing, correct_zone, take_back_zone

    with open_book(bench.url) as book:
        names = {one.zone: one for one in book.outcomes_of("V-120")}
    bench.at("2026-03-24T09:00:00", "lead")
    correct_zone(
        bench.url, path, names["cervical"].outcome, painted="2 × 1 part walnut + 7 parts clear", lab="70,1 3,2 19,8",
        why="two coats, and read again", asked=Asked("D65", 10),
    )  # fmt: skip
    correct_firing(
        bench.url, path, names["cervical"].fired_at, ToldFiring("bench-3", "stain", "small", "48"), why="it was bench-3"
    )
    take_back_zone(bench.url, path, names["middle"].outcome, why="it was not painted")


HISTORIES = (_trial, _green, _chosen, _painted, _twice, _taken_back, _corrected)
