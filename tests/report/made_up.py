"""A report with numbers made up, for tests of how it is printed."""

from __future__ import annotations

from stainbook.records import GUM_ZONES
from stainbook.report.content import CaseReport, FiringReport, ZoneReport

GRADES = ("within", "cannot tell", "beyond")


def zone(tooth: int, name: str, number: int = 0, **changes: object) -> ZoneReport:
    """A graded zone; ``number`` picks its grade and moves its colour."""
    tissue = "gingiva" if name in GUM_ZONES else "tooth"
    L, a, b = (54.0, 18.0, 12.0) if tissue == "gingiva" else (72.0, 2.0, 18.0)
    fields: dict[str, object] = {
        "tissue": tissue, "target": (L, a, b), "result": (L + number % 5, a - 0.5, b), "light": "D65/10°",
        "dE00": 0.5 + number % 5, "u": 0.3,
        "grade": GRADES[number % 3], "visibility": "perceptible", "perceptible": 0.8, "acceptable": 1.8,
        "lights": {"A": 0.7, "LED-B3": None}, "put_on": ("one coat of 1 part husk + 7 parts clear",),
    }  # fmt: skip
    return ZoneReport(tooth, name, **(fields | changes))  # type: ignore[arg-type]


def report(zones: tuple[ZoneReport, ...], **changes: object) -> CaseReport:
    fields: dict[str, object] = {
        "lab": "Harbour Lane Ceramics", "case": "W-1042", "made_on": "2026-03-02",
        "facts": (("material", "zirconia"), ("lots", "husk 24-117")), "lights": ("A", "LED-B3"), "zones": zones,
        "firings": (FiringReport("2026-03-02T10:40:00Z", programme="glaze-770", operator="bench-2"),),
        "effects": ("11: halo",), "notes": ("A note.",), "cautions": ("Hot trays.",),
    }  # fmt: skip
    return CaseReport(**(fields | changes))  # type: ignore[arg-type]


def full_mouth() -> CaseReport:
    """24 teeth and their gum, all zones."""
    teeth = [quadrant * 10 + position for quadrant in (1, 2, 3, 4) for position in range(1, 7)]
    names = [("cervical", "middle", "occlusal" if tooth % 10 > 3 else "incisal", *GUM_ZONES) for tooth in teeth]
    pairs = [(tooth, name) for tooth, own in zip(teeth, names, strict=True) for name in own]
    return report(tuple(zone(tooth, name, number) for number, (tooth, name) in enumerate(pairs)))
