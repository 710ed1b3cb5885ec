"""Cases that left or were told apart: glazed, bonded, delivered, returned, alike, changed, decided, erased."""

from __future__ import annotations

from pathlib import Path

from tests.old_books.bench import Bench, layers
from tests.old_books.steps import (
    BODY,
    LIMITS,
    NECK,
    THIN,
    C,
    M,
    bring,
    choose,
    opened,
    outcome,
    page_firing,
    photo,
    to_stage,
    zone,
)


def _glazed(bench: Bench) -> None:
    """V-110 stained and glazed, accepted by the clinic, a photo kept. V-111 bonded."""
    path = opened(bench, "V-110", "bone", "2026-04-06T09:00:00", "blasted", C, M)
    bench.fire("V-110", {C: NECK, M: BODY})
    bench.at("2026-04-06T14:00:00")
    done = {C: "1 × 1 part walnut + 1 part apricot + 6 parts clear", M: "1 × 1 part apricot + 7 parts clear"}
    page_firing(bench, "V-110", done, read=[C, M], operator="bench-1", minutes="58")
    to_stage(bench, path, "glazed")
    bench.at("2026-04-07T09:00:00")
    photo(bench, path, "2026:04:07 09:00:00", [(C, (70.8, 3.1, 19.2)), (M, (74.0, 1.4, 16.9))])
    bench.cli("book", "accept", "V-110", "--by", "clinic")
    bonded = opened(bench, "V-111", "sand", "2026-04-08T09:00:00", "blasted", C)
    bench.fire("V-111", {C: THIN})
    bench.at("2026-04-08T14:00:00", "bench-2")
    page_firing(bench, "V-111", {C: "1 × 1 part walnut + 15 parts clear"}, read=[C], operator="bench-2")
    to_stage(bench, bonded, "bonded")


def _delivered(bench: Bench) -> None:
    """V-112 delivered and out. V-113 delivered, returned for its shade, to be stripped. V-121 returned and refired."""
    for day, (code, blank) in enumerate((("V-112", "bone"), ("V-113", "sand"), ("V-121", "sand")), start=13):
        path = opened(bench, code, blank, f"2026-04-{day}T09:00:00", "blasted", C, M)
        stacks = {C: NECK, M: BODY}
        bench.fire(code, stacks)
        bench.measure(code, "stained", f"2026-04-{day}T12:00:00", C, M, tag="-f1")
        bench.at(f"2026-04-{day}T13:00:00", "bench-2")
        head = "operator: bench-2\nprogramme: stain\nclinic: Harbour practice\nminutes: 66\n"
        bench.cli("record", outcome(bench, code, f"{code}-1", f"2026-04-{day}T11:00:00", stacks, head=head, tag="-f1"))
        to_stage(bench, path, "glazed")
        bench.cli("book", "accept", code, "--by", "lab")
        bench.cli("book", "deliver", code)
    bench.at("2026-05-04T09:00:00", "lead")
    bench.cli("book", "return", "V-113", "--for", "shade")
    choose(bench, Path("V-113.yaml"), {C: ("strip and restain", THIN, None)})
    bench.cli("book", "return", "V-121", "--for", "fit")
    bench.fire("V-121", {C: THIN})
    bench.at("2026-05-05T14:00:00", "bench-3")
    page_firing(bench, "V-121", {C: "1 × 1 part walnut + 15 parts clear"}, read=[C], operator="bench-3")


def _alike(bench: Bench) -> None:
    """V-114 a left tooth like the right one, one of them fired. V-115 the short set of an arch with gum."""
    like = "".join(f"  - {{tooth: 21, zone: {z}, like: {{tooth: 11, zone: {z}}}}}\n" for z in ("cervical", "middle"))
    opened(bench, "V-114", "bone", "2026-05-11T09:00:00", "blasted", C, M, like=like)
    bench.fire("V-114", {C: NECK})
    bench.at("2026-05-11T14:00:00")
    page_firing(bench, "V-114", {C: "1 × 1 part walnut + 1 part apricot + 6 parts clear"}, read=[C], operator="bench-1")
    places = [(tooth, part) for tooth in (11, 21, 13) for part in ("cervical", "middle")]
    places += [(16, "occlusal"), (26, "occlusal"), (11, "attached"), (21, "attached")]
    read = [(11, "cervical"), (11, "middle"), (13, "cervical"), (11, "attached")]
    bench.mill("V-115", "sand", *read[:3])
    bench.mill("V-115", "petal", read[3])
    bench.measure("V-115", "blasted", "2026-05-12T09:00:00", *read)
    zones = "".join(zone(one, "dawn-2" if one[1] == "attached" else "hay-1") for one in places)
    arch = bench.case("V-115", f"stage: blasted\nzones:\n{zones}readings: short\n{LIMITS}")
    bench.at("2026-05-12T09:30:00")
    bench.cli("read", "V-115.csv")
    bring(bench, arch)


def _apart(bench: Bench) -> None:
    """V-116 its file was changed by hand after the record: stage and a target. V-122 in the book alone."""
    path = opened(bench, "V-116", "bone", "2026-05-18T09:00:00", "blasted", C, M)
    stacks = {C: NECK}
    bench.fire("V-116", stacks)
    bench.measure("V-116", "stained", "2026-05-18T12:00:00", C, tag="-f1")
    bench.at("2026-05-18T13:00:00")
    bench.cli("record", outcome(bench, "V-116", "V-116-1", "2026-05-18T11:00:00", stacks, tag="-f1"))
    text = (bench.folder / path).read_text(encoding="utf-8")
    bench.write(str(path), text.replace("stage: blasted", "stage: glazed").replace("tab: hay-1", "tab: oat-2", 1))
    gone = opened(bench, "V-122", "sand", "2026-05-19T09:00:00", "blasted", C)
    (bench.folder / gone).unlink()


def _decided(bench: Bench) -> None:
    """V-119 two outcomes that came out far off: one was really so, one was another sample, one is open again."""
    E = (11, "incisal")
    opened(bench, "V-119", "bone", "2026-06-01T09:00:00", "blasted", C, M, E)
    told = {C: layers(({"walnut": 1 / 8}, 1)), M: BODY, E: BODY}
    bench.fire(
        "V-119", {C: layers(({"coral": 1.0}, 2)), M: layers(({"walnut": 1.0}, 2)), E: layers(({"walnut": 1.0}, 2))}
    )  # something else
    bench.measure("V-119", "stained", "2026-06-01T12:00:00", C, M, E, tag="-f1")
    bench.at("2026-06-01T13:00:00", "bench-3")
    head = "operator: bench-3\nprogramme: stain\n"
    far_off = outcome(bench, "V-119", "V-119-1", "2026-06-01T11:00:00", told, head=head, tag="-f1")
    with bench.learning():
        bench.cli("record", far_off)
    if bench.newest:
        bench.at("2026-06-02T09:00:00", "lead")
        bench.cli("book", "confirm", "V-119", "11 cervical", "--because", "painted so on purpose")
        bench.cli("book", "confirm", "V-119", "11 cervical", "--open")
        bench.cli("book", "confirm", "V-119", "11 middle", "--wrong", "--because", "another sample")


def _erased(bench: Bench) -> None:
    """V-117 fired, told, photographed, shared, erased: a tombstone is left of it."""
    path = opened(bench, "V-117", "bone", "2026-06-08T09:00:00", "blasted", C)
    bench.fire("V-117", {C: NECK})
    bench.at("2026-06-08T14:00:00", "bench-2")
    page_firing(bench, "V-117", {C: "1 × 1 part walnut + 1 part apricot + 6 parts clear"}, read=[C], operator="bench-2")
    photo(bench, path, "2026:06:08 15:00:00", [(C, (70.0, 3.0, 19.0))])
    choose(bench, path, {C: ("add", THIN, None)})
    bench.at("2026-06-09T09:00:00", "lead")
    bench.cli("book", "erase", "V-117", "--because", "the clinic asked for it", "--yes")
    for left in bench.folder.rglob("V-117*"):
        left.unlink()


RECEIVED = (_glazed, _delivered, _alike, _apart, _decided, _erased)
