"""Work to put into a book: cases, outcomes, recipes."""

from __future__ import annotations

from typing import Any

from stainbook.kept import Conditions, LabRecipe, Outcome
from stainbook.records import Case, CaseZone, LabRef, Layer, Pot, Reading, SampleRef, Viewing

HUSK_ONCE = (Layer(Pot.of({"husk": 0.25}), lots=(("husk", "24-117"),), consistency="creamy"),)
TEASEL_TWICE = (Layer(Pot.of({"teasel": 0.5}), coats=2),)


def outcome(
    case: str = "W-1042", tooth: int = 11, *, lab: tuple[float, float, float] = (72.0, 1.0, 18.0), **more: Any
) -> Outcome:
    settled = {
        "zone": "cervical",
        "tissue": "tooth",
        "fired_at": "2026-03-02T10:40:00Z",
        "layers": HUSK_ONCE,
        "before": Reading(f"{case}-{tooth}-cervical", lab=(76.0, 0.0, 15.0), viewing=Viewing()),
        "after": Reading(f"{case}-{tooth}-cervical-f1", lab=lab, viewing=Viewing()),
        "got": LabRef(lab, Viewing()),
        "material": "zirconia",
        "operator": "bench-2",
        "programme": "glaze-770",
    }
    return Outcome(case, tooth, **(settled | more))


def case(code: str = "W-1042") -> Case:
    zone = CaseZone(11, "cervical", "tooth", now=SampleRef(f"{code}-11-cervical"))
    return Case(code, (zone,), material="zirconia", stage="blasted", source=f"{code}.yaml")


def recipe(name: str = "warm neck", **more: Any) -> LabRecipe:
    settled = {
        "layers": HUSK_ONCE,
        "conditions": Conditions(material="zirconia", zone="cervical", thickness_mm=(0.8, 1.2)),
        "target": LabRef((71.0, 2.0, 20.0), Viewing()),
        "notes": "thin towards the middle",
    }
    return LabRecipe(name, **(settled | more))
