"""README, DEVELOPERS and the guide: every example runs and prints what is shown; what they name exists."""

import json
import re
import subprocess

import jsonschema
import pytest

from stainbook.cli.commands import app
from stainbook.files import bodies, case, case_zones, guide, layers, outcome, programmes, readings_csv, scene, stains
from stainbook.guide import PAGES, page
from stainbook.work.documents.schemas import COMMANDS
from tests.tools.fill_readme import BLOCK, DOCUMENTS, ROOT, all_filled

TEXTS = {one.name: one.read_text(encoding="utf-8") for one in (*DOCUMENTS, ROOT / "DEVELOPERS.md")}
README, DEVELOPERS = TEXTS["README.md"], TEXTS["DEVELOPERS.md"]
ALL = "\n".join(TEXTS.values())
KNOWN_KEYS = {
    *readings_csv.TEXT_COLUMNS, *stains.KEYS, *bodies.COLUMNS, *guide.COLUMNS, *layers.CHIP_COLUMNS,
    *layers.CHIP_OPTIONS, *layers.RECIPE_COLUMNS, *layers.RECIPE_OPTIONS, *case.KEYS, *case._EFFECT_KEYS,
    *case._COUNTS, *case_zones._ZONE_KEYS, *case_zones._LIKE_KEYS, *case_zones._APPLY_KEYS, *outcome.KEYS,
    *outcome._ZONE_KEYS, *outcome._LAYER_KEYS, *programmes.KEYS, *scene.KEYS, *scene._ZONE_KEYS, *scene._TAB_KEYS,
    *scene._SECOND_KEYS,
}  # fmt: skip


@pytest.fixture(scope="module")
def now(tmp_path_factory):
    return all_filled(tmp_path_factory.mktemp("examples"))


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.stem)
def test_examples_print_what_is_shown(now, path):
    """Word by word: columns may be wider, and the last digits of JSON are the machine's."""
    found, shown = examples(now[path]), examples(path.read_text(encoding="utf-8"))
    assert len(found) == len(shown)
    for one, expected in zip(found, shown, strict=True):
        assert [word(part) for part in one] == [word(part) for part in expected]


def test_readme_has_five_lines_of_each_with_what_they_print():
    shell, python = (one for one in BLOCK.finditer(README))
    assert len(re.findall(r"^\$ stainbook", shell["console"], re.MULTILINE)) == 5
    assert len(re.findall(r"^>>> ", python["python"], re.MULTILINE)) == 5
    assert "Traceback" not in README


def examples(text: str) -> list[list[str]]:
    return [(found["console"] or found["python"]).split() for found in BLOCK.finditer(text) if not found["name"]]


def word(text: str) -> str:
    try:
        return f"{float(text.rstrip(',')):.9g}"
    except ValueError:
        return text


def test_json_that_is_shown_fits_its_schema():
    found = re.findall(
        r"^\$ stainbook (\w+) [^\n]*--json\n(?:stainbook: .*\n)*(\{\n.*?^\})", ALL, re.MULTILINE | re.DOTALL
    )
    assert found
    for command, text in found:
        jsonschema.validate(json.loads(text), COMMANDS[command].model_json_schema())


def test_every_command_is_in_the_guide():
    rows = set(re.findall(r"^\| `stainbook (\w+)", page("commands"), re.MULTILINE))
    groups = {group.name for group in app.registered_groups}
    assert rows == {command.name for command in app.registered_commands} | groups


def test_every_key_of_the_files_is_in_the_guide():
    named = set(re.findall(r"\w+", page("formats")))
    assert sorted(KNOWN_KEYS - named) == []


def test_two_set_up_lines():
    lines = re.findall(r"^```sh\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
    assert [len(block.splitlines()) for block in lines] == [1, 1]
    assert [block.rpartition("&& ")[2].strip() for block in lines] == [
        ".venv/bin/stainbook demo",
        ".venv/bin/python -m tests",
    ]
    for block in lines:
        assert subprocess.run(["bash", "-n"], input=block, text=True, check=False).returncode == 0


@pytest.mark.parametrize("name", TEXTS)
def test_places_that_are_named_exist(name):
    folder = ROOT if name in ("README.md", "DEVELOPERS.md") else ROOT / "stainbook" / "guide"
    links = re.findall(r"\]\(([^)#:]+)\)", TEXTS[name])
    places = re.findall(r"`((?:stainbook|tests|recipes|\.ci|\.streamlit)/[\w./-]*)`", TEXTS[name])
    missing = [one for one in links if not (folder / one).exists()]
    assert [*missing, *(one for one in places if not (ROOT / one).exists())] == []


def test_documents_are_as_short_as_they_are_meant_to_be():
    own_words = BLOCK.sub("", README)
    assert len(own_words.split()) < 700
    assert len(DEVELOPERS.split()) <= 1650


def test_results_name_their_commands_and_dates():
    rows = re.findall(r"^\| ([\w ]+) \| `[^|]+\| (20\d\d-\d\d-\d\d)", page("results"), re.MULTILINE)
    headings = re.findall(r"^## (.*)$", page("results"), re.MULTILINE)
    assert [name for name, _ in rows] == headings


def test_each_page_of_the_guide_begins_with_its_title():
    for name, title in PAGES.items():
        assert page(name).startswith(f"# {title}\n"), name
    with pytest.raises(KeyError, match="first_day"):
        page("nowhere")
