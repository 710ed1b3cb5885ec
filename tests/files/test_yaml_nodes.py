import pytest
import yaml

from stainbook.files import yaml_nodes
from stainbook.files.yaml_nodes import MAX_DEPTH, read_yaml
from tests.files.helpers import refused, saved


@pytest.fixture(autouse=True, params=["CSafeLoader", "SafeLoader"])
def _loader(request, monkeypatch):
    """With libyaml, and without as on a machine that lacks it."""
    monkeypatch.setattr(yaml_nodes, "_LOADER", getattr(yaml, request.param))


def read(path):
    return read_yaml(path, "a case")


def plain(node):
    """A node as plain data."""
    if isinstance(node.value, dict):
        return {name: plain(entry) for name, entry in node.value.items()}
    return [plain(item) for item in node.value] if isinstance(node.value, tuple) else node.value


@pytest.mark.parametrize(
    "text",
    ["0117", "24_117", "no", "Yes", "12:30", "2026-03-02", "1e3", "0x1F", ".inf", "1_000", "true", "=", "<<", "007"],
)
def test_text_stays_as_written(tmp_path, text):
    assert plain(read(saved(tmp_path, f"lot: {text}"))) == {"lot": text}
    assert plain(read(saved(tmp_path, f"{text}: lot"))) == {text: "lot"}


@pytest.mark.parametrize(("text", "value"), [("", None), ("~", None), ("null", None), ("''", ""), ('"null"', "null")])
def test_nothing(tmp_path, text, value):
    assert plain(read(saved(tmp_path, f"lot: {text}"))) == {"lot": value}


def test_lines_and_keys_are_kept_for_messages(tmp_path):
    root = read(saved(tmp_path, "# one\nzones:\n  - {tooth: 11}\n  - tooth: 12\n"))
    second = root.mapping()["zones"].items()[1].mapping()["tooth"]
    assert (second.line, second.key, second.integer(11, 48)) == (4, "zones.tooth", 12)


BOMB = "a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n"


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        (BOMB, ["row 1", "anchor or alias"]),
        ("a: *b", ["row 1", "anchor or alias"]),
        ("x: 1\na: !!python/object/apply:os.system [ls]", ["row 2", "tag"]),
        ("a: !!str 1", ["row 1", "tag"]),
        ("a: 1\nb: 2\na: 3", ["row 3", "'a' twice"]),
        ("? [a]\n: 1", ["row 1", "as a key"]),
        ("&x a: 1", ["row 1", "anchor"]),
        ("a: 1\n---\nb: 2", ["row 2", "second document"]),
        ("a: 1\n\tb: 2", ["row 2", "YAML"]),
        ("a: [1, 2", ["YAML"]),
        ("a: '", ["YAML"]),
        ('a: "\\e[31m"', ["row 1", "control character"]),
        ("[" * (MAX_DEPTH + 2) + "]" * (MAX_DEPTH + 2), ["levels"]),
        ("[" * 200_000, ["row 1"]),
        ("- " * 100_000, ["levels"]),
        ("{a: " * 50_000, ["levels"]),
        ("a: \ufeffx\ufffe", ["YAML"]),
        ("", ["empty"]),
        ("# nothing", ["nothing but comments"]),
    ],
    ids=lambda value: value[:20] if isinstance(value, str) else None,
)
def test_what_is_not_plain_yaml_is_refused(tmp_path, text, parts):
    refused(read, saved(tmp_path, text, "case.yaml"), *parts)


@pytest.mark.parametrize("text", ["1,5", "nan", "inf", "1_0", "x", "[1]", "0x1"])
def test_numbers_are_asked_for_and_checked(tmp_path, text):
    node = read(saved(tmp_path, f"n: {text}")).mapping()["n"]
    for ask in (node.number, node.share, lambda: node.integer(0, 9)):
        refused(lambda _, ask=ask: ask(), tmp_path / "readings.csv", "row 1", "key n")


def test_numbers_within_limits(tmp_path):
    keys = read(saved(tmp_path, "a: 1/4\nb: -2.5\nc: 3\nd: ٣")).mapping()
    assert (keys["a"].share(), keys["b"].number(), keys["c"].integer(1, 3)) == (0.25, -2.5, 3)
    refused(lambda _: keys["b"].number(0.0, 1.0), tmp_path / "readings.csv", "from 0 to 1")
    refused(lambda _: keys["c"].integer(4, 5), tmp_path / "readings.csv", "from 4 to 5")
    refused(lambda _: keys["d"].integer(1, 5), tmp_path / "readings.csv", "whole number")
