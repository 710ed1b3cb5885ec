"""Words of pages stand in lists of words, and are looked up when they are shown: in the language of that moment."""

import ast
import importlib
from pathlib import Path

import pytest

import stainbook
from stainbook.pages.shell.plain import WordsModule

PACKAGE = Path(stainbook.__file__).parent
PAGES = sorted((PACKAGE / "pages").rglob("*.py"))
LISTS = [path for path in PAGES if path.stem == "texts" or path.stem.endswith("_texts")]


def named(path):
    return ".".join(("stainbook", *path.relative_to(PACKAGE).with_suffix("").parts))


@pytest.mark.parametrize("path", LISTS, ids=lambda path: path.stem)
def test_a_list_of_words_gives_them_in_the_language_that_is_spoken(path):
    assert isinstance(importlib.import_module(named(path)), WordsModule)


def test_no_module_takes_a_word_out_of_its_list():
    """A word that is imported by its name stays in the language of the moment when it was imported."""
    lists = {named(path) for path in LISTS}
    taken = {
        (path.name, one.name)
        for path in [*PACKAGE.rglob("*.py"), *Path(__file__).parents[1].rglob("*.py")]
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and node.module in lists
        for one in node.names
    }
    assert taken == set()


def test_all_markup_is_escaped_in_the_language_that_is_spoken():
    escaping = PACKAGE / "words" / "escaping.py"
    assert [path for path in PACKAGE.rglob("*.py") if path != escaping and _escapes(path)] == []


def _escapes(path):
    """Whether a module takes the escaping that knows no language."""
    found = (one for one in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(one, ast.ImportFrom))
    return any(one.module == "html" and "escape" in [name.name for name in one.names] for one in found)


def test_no_module_looks_a_word_up_while_it_is_imported():
    """What is made of words when a module is imported is made once, in one language."""
    wrong = []
    for path in PAGES:
        if path in LISTS or path.stem.endswith("_page"):  # a page is run anew for each drawing
            continue
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef | ast.ClassDef):
                continue
            wrong += [
                f"{path.name}:{one.lineno}"
                for one in ast.walk(node)
                if isinstance(one, ast.Attribute)
                and isinstance(one.value, ast.Name)
                and (one.value.id == "texts" or one.value.id.endswith("words"))
                and one.attr.isupper()
            ]
    assert wrong == []


def test_no_text_is_made_inside_an_f_string():
    """Where the catalogue does not look for it."""
    makers = {"say", "say_n", "say_as", "Numbered"}
    wrong = [
        f"{path.name}:{node.lineno}"
        for path in PACKAGE.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.JoinedStr)
        for one in ast.walk(node)
        if isinstance(one, ast.Call) and isinstance(one.func, ast.Name) and one.func.id in makers
    ]
    assert wrong == []
