"""Each language that is shipped has every text with its placeholders, tags and code; its `.mo` is made of its `.po`."""

from __future__ import annotations

import io
from gettext import GNUTranslations

import pytest
from babel.messages.catalog import Catalog

from stainbook.language import ENGLISH, language_name, languages
from tests.tools.catalogue import (
    as_mo,
    as_po,
    broken,
    brought_up,
    catalogue,
    marks,
    plural_rule,
    po_file,
    read_po,
    shipped_languages,
)

LANGUAGES = shipped_languages()
N = frozenset({"{n}", "{n:,}"})


@pytest.fixture(scope="module")
def texts():
    return catalogue()


def read(language):
    return po_file(language).read_text(encoding="utf-8")


def pairs(language):
    """Each text with its translation, singular with singular and plural with the other forms."""
    for one in read_po(io.StringIO(read(language)), locale=language):
        if not one.id:
            continue
        if isinstance(one.id, str):
            yield one.id, one.string, frozenset()
        else:
            for form, said in enumerate(one.string):
                yield one.id[min(form, 1)], said, N


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_text_is_translated_and_none_that_is_gone(texts, language):
    made = brought_up(language, read(language), texts)
    assert [one.id for one in made if one.id and not all([one.string] if isinstance(one.id, str) else one.string)] == []
    assert as_po(made) == read(language)  # else: python -m tests.tools.catalogue


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_the_program_reads_is_made_of_what_is_translated(texts, language):
    assert as_mo(brought_up(language, read(language), texts)) == po_file(language).with_suffix(".mo").read_bytes()


@pytest.mark.parametrize("language", LANGUAGES)
def test_translations_keep_placeholders_tags_code_and_links(language):
    wrong = {said: found for text, said, n in pairs(language) if said and (found := broken(text, said, may_omit=n))}
    assert wrong == {}


@pytest.mark.parametrize("language", LANGUAGES)
def test_plurals_have_a_form_for_each_number(language):
    for one in read_po(io.StringIO(read(language)), locale=language):
        if one.id and not isinstance(one.id, str):
            assert len(one.string) == plural_rule(language)[0], one.id


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_language_says_its_own_name_and_nobody_elses(language):
    assert language_name(language) not in ("English", language)
    assert languages()[0] == ENGLISH
    assert language in languages()
    assert "@" not in read(language).split("\n\n")[0]


def test_what_is_new_is_empty_what_is_gone_is_dropped_and_nothing_is_guessed():
    found = Catalog(charset="utf-8", fuzzy=False)
    found.add("found {rows} rows")
    found.add("found {rows} row", context="a table")
    found.add(("{n} zone", "{n} zones"))
    written = 'msgid "found {rows} rows"\nmsgstr "{rows} Zeilen"\n\nmsgid "gone"\nmsgstr "weg"\n'
    written += '\n#, fuzzy\nmsgid "{n} zone"\nmsgid_plural "{n} zones"\nmsgstr[0] "{n} Zone"\nmsgstr[1] "{n} Zonen"\n'
    made = brought_up("de", written, found)
    again = brought_up("de", as_po(made), found)
    assert as_po(again) == as_po(made)
    assert {one.context or one.id: one.string for one in made if one.id} == {
        "found {rows} rows": "{rows} Zeilen",
        "a table": "",
        ("{n} zone", "{n} zones"): ("", ""),
    }
    read_back = GNUTranslations(io.BytesIO(as_mo(made)))
    assert read_back.gettext("found {rows} rows") == "{rows} Zeilen"
    assert read_back.ngettext("{n} zone", "{n} zones", 2) == "{n} zones"
    assert read_back.info()["language"] == "de"


@pytest.mark.parametrize(
    ("text", "said", "wrong"),
    [
        ("found {rows} rows", "{rows} Zeilen gefunden", []),
        ("found {rows} rows", "{zeilen} Zeilen gefunden", ["placeholders"]),
        ("{gap:.1f} off", "{gap:.2f} daneben", ["placeholders"]),
        ("see `lab.db`", "siehe `labor.db`", ["code"]),
        ("see [more](guide)", "siehe [mehr](guide)", []),
        ("see [more](guide)", "siehe [mehr](leitfaden)", ["links"]),
        ("<b>on</b>", "<b>an</b", ["tags"]),
        ("**L\\*a\\*b\\***", "**L\\*a\\*b\\*", ["signs"]),
        ("when dry: ", "trocken:", ["ends"]),
    ],
)
def test_what_a_translation_keeps(text, said, wrong):
    assert broken(text, said) == wrong


def test_a_plural_need_not_say_its_number():
    assert broken("{n} zone of {case}", "eine Zone von {case}", may_omit=N) == []
    assert marks("{{n}} of {case}")["placeholders"] == ["{case}"]
