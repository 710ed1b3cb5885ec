"""Retired words are gone from what people read; each caution stands at its place."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from stainbook.words import safety

ROOT = Path(__file__).parents[2]
SHIPPED = sorted((ROOT / "stainbook").rglob("*.py"))
RECIPES = [one for one in (ROOT / "recipes").rglob("*") if one.is_file()]
# Names that stand on jars or are built as guides are, and words that the bench does not know; see DEVELOPERS.md.
RETIRED_NAMES = """copper coral drizzle smoke amber apricot walnut lagoon linen petal straw chalk lilac oat-1 oat-2
    oat-3 hay-1 hay-2 dawn-1 dawn-2 dusk-1"""
NAMES = re.compile(rf"(?<![\w-])({'|'.join(RETIRED_NAMES.split())})(?![\w-])")
SAID = re.compile(
    r"\bodds\b|nearly always|hardly ever|[▲▼↺↻]|\d × [A-Z1]|\bregret\b|\bcovariance\b|share\^|kept a firing|met ΔE00"
)


def strings(path: Path) -> list[tuple[int, str]]:
    """The texts of a module with their lines, docstrings left out."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef) and node.body
        if isinstance(node.body[0], ast.Expr)
    }
    found = [node for node in ast.walk(tree) if isinstance(node, ast.Constant) and id(node) not in docs]
    return [(node.lineno, node.value) for node in found if isinstance(node.value, str)]


def test_no_name_of_a_jar_or_a_guide_is_left():
    texts = [*SHIPPED, *RECIPES, ROOT / "README.md", *(ROOT / "stainbook" / "guide").glob("*.md")]
    found = {path.name: NAMES.findall(path.read_text(encoding="utf-8")) for path in texts}
    assert {name: names for name, names in found.items() if names} == {}


def test_no_retired_word_is_said():
    found = [
        f"{path.relative_to(ROOT)}:{line}: {text[:60]!r}"
        for path in SHIPPED
        for line, text in strings(path)
        if " " in text.strip() and SAID.search(text)  # a key is no sentence
    ]
    assert found == []


def test_each_caution_is_written_once_and_needed_somewhere():
    written = {value for name, value in vars(safety).items() if name.isupper() and isinstance(value, str)}
    placed = {line for lines in safety.AT.values() for line in lines}
    assert written == placed
    texts = [text for path in SHIPPED for _, text in strings(path)]
    assert all(texts.count(one) == 1 for one in written)


@pytest.mark.parametrize(
    ("place", "needed"),
    [
        ("sheet", ("extraction", "tongs", "eye protection", "unfired stain", "screw channels", "own programme")),
        ("sheet, unsintered", ("acidic metal salts", "goggles", "soft brush", "no water", "burns out", "dry fully")),
        ("sheet, returned", ("Disinfect", "before any furnace", "slowly and long")),
        ("sheet, provisional", ("never fired",)),
        ("liquids on teeth and gum", ("teeth first", "unpainted", "bleeding")),
        ("strip", ("closed cabinet", "cracks", "No etching acid")),
        ("readings", ("room temperature", "covered between patients", "before anything is painted")),
        ("two coats", ("dries matt before the second",)),
        ("report", ("daylight", "wet", "send it back", "margins")),
        ("delivery", ("unfired stain",)),
    ],
)
def test_cautions_stand_where_they_are_needed(place, needed):
    said = " ".join(safety.AT[place]).lower()
    assert [word for word in needed if word.lower() not in said] == []


def test_the_clinic_is_not_told_of_the_lab_s_dust():
    assert "dust" not in " ".join(safety.AT["report"]).lower()


@pytest.mark.parametrize(
    ("page", "place"),
    [
        ("readings/readings_page.py", 'AT["readings"]'),
        ("result/result_page.py", 'AT["fire"]'),
        ("result/result_page.py", 'AT["two coats"]'),
        ("result/deliver_page.py", 'AT["delivery"]'),
        ("case/case_parts.py", "of_page("),
    ],
)
def test_pages_show_the_cautions_of_their_place(page, place):
    assert f"safety.{place}" in (ROOT / "stainbook" / "pages" / page).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("asked", "needed"),
    [
        ({"stage": "green"}, "acidic metal salts"), ({"stage": "green", "both": True}, "teeth first"),
        ({"stage": "stained", "strip": True}, "closed cabinet"), ({"stage": "returned"}, "Disinfect"),
        ({"stage": "blasted"}, "unfired stain"),
    ],
)  # fmt: skip
def test_a_case_shows_the_cautions_of_its_stage(asked, needed):
    found = safety.of_page(**asked)
    assert any(needed in line for line in found)
    assert len(found) == len(set(found))
    assert needed not in " ".join(safety.of_page("glazed")) or needed == "unfired stain"
