"""Texts in the language that is spoken: templates, plurals, contexts, and what stays English."""

from __future__ import annotations

import copy
import json
import threading

import numpy as np
import pytest

from stainbook.language import (
    ENGLISH,
    Text,
    capitalised,
    either,
    filled,
    joined,
    languages,
    listed,
    number_signs,
    say,
    say_as,
    say_n,
    shown,
    shown_number,
    speak,
    speaking,
    spoken,
    with_names,
)
from stainbook.words import mixes
from stainbook.words.figures import MINUS, figure, tenths
from stainbook.words.times import day, moment
from stainbook.work.stains.painted import painted_layers, painted_text
from tests.tools.catalogue import CLOSE, OPEN, PSEUDO, outside, placeholders, pseudo, shipped_languages


def test_english_is_a_plain_string_and_what_json_writes(in_pseudo):
    text = say("not stated")
    assert text == "not stated"
    assert json.dumps({"why": text}) == '{"why": "not stated"}'
    assert shown(text) == pseudo("not stated")


def test_values_that_are_texts_are_shown_in_the_same_language(in_pseudo):
    text = joined([say("not stated"), "husk"], "; ")
    assert text == "not stated; husk"
    assert shown(text) == f"{pseudo('not stated')}; husk"
    assert shown(capitalised(text)) == shown(text)  # a bracket has no capital
    assert capitalised(text) == "Not stated; husk"


def test_lists_and_plurals():
    assert listed([]) == ""
    assert listed(["peat", "rook", "weir"]) == "peat, rook and weir"
    assert [say_n("{n} step", "{n} steps", n) for n in (0, 1, 2)] == ["0 steps", "1 step", "2 steps"]
    assert joined(["{a}", "b"], " {} ") == "{a} {} b"


def test_copies_stay_texts(in_pseudo):
    assert shown(copy.deepcopy(say("not stated"))) == pseudo("not stated")


def test_a_text_that_no_catalogue_has_is_english(in_pseudo):
    assert shown(say("a sentence that {nobody} translated", nobody="yet")) == "a sentence that yet translated"
    assert shown("husk") == "husk"


def test_a_translation_with_other_placeholders_is_not_used(in_pseudo, monkeypatch):
    monkeypatch.setattr(Text, "_template_in", lambda self, catalogue: "{gone}")
    assert shown(say("found {rows} rows", rows=2)) == "found 2 rows"


def test_a_language_is_spoken_by_thread_and_for_a_while(monkeypatch):
    monkeypatch.setenv("STAINBOOK_LANG", "xx")
    assert spoken() == "xx"
    with speaking("yy"):
        found = []
        thread = threading.Thread(target=lambda: found.append(spoken()))
        thread.start()
        thread.join()
        assert (spoken(), found) == ("yy", ["xx"])
    speak("zz")
    assert spoken() == "zz"
    speak(None)
    monkeypatch.delenv("STAINBOOK_LANG")
    assert spoken() == ENGLISH


def test_languages_are_those_with_a_catalogue(pseudo_folder, monkeypatch):
    assert languages()[0] == ENGLISH
    monkeypatch.setenv("STAINBOOK_CATALOGUES", str(pseudo_folder))
    assert PSEUDO in languages()


def test_the_pseudo_language_has_accents_and_keeps_placeholders():
    said = pseudo("found {rows} rows, see `stripes.csv`")
    assert said.startswith(OPEN)
    assert said.endswith(CLOSE)
    assert placeholders(said) == {"rows"}
    assert outside(said.replace("{rows}", "3").replace("`stripes.csv`", "")) == []
    assert outside("peat is 3 short", known={"peat"}) == ["is", "short"]


def test_contexts_tell_two_meanings_apart():
    assert say_as("of the patient", "left").context == "of the patient"


def test_a_text_of_a_list_gets_its_values_where_it_is_said(in_pseudo):
    text = filled(
        say("book {place} is busy: another program holds it; close that program or try again"), place="lab.db"
    )
    assert text.startswith("book lab.db is busy")
    assert outside(shown(text), known={"lab", "db"}) == []


def test_names_in_a_text_are_changed_without_losing_it(in_pseudo):
    text = joined([say("{path}: {n} of {most}", path="/tmp/x/peat.csv", n=1, most=2), "/tmp/x/rook.csv"], "; ")
    changed = with_names(text, lambda name: name.removeprefix("/tmp/x/"))
    assert changed == "peat.csv: 1 of 2; rook.csv"
    assert with_names("/tmp/x/rook.csv", lambda name: name.removeprefix("/tmp/x/")) == "rook.csv"
    assert with_names(say("not stated"), str.upper) == "not stated"


def test_numbers_have_the_signs_of_the_language(in_pseudo):
    text = say("a {size:.1f} {share:.1%} {n:,} {exact!r} {name} of {rows}", size=0.25, share=0.5, n=1234567, exact=1.5,
               name="1.5.csv", rows=np.float32(2.5))  # fmt: skip
    assert text == "a 0.2 50.0% 1,234,567 1.5 1.5.csv of 2.5"
    assert shown(text) == "a 0,2 50,0% 1.234.567 1,5 1.5.csv of 2,5"
    assert json.dumps({"why": text, "size": tenths(0.25)}) == f'{{"why": "{text}", "size": "0.2"}}'
    assert (number_signs(), f"{shown_number(0.25):.1f}", shown_number("0.25")) == ((",", "."), "0,2", "0.25")
    assert [shown(with_names(tenths(one), str)) for one in (7.34, -0.04, -3.26)] == ["7,3", "0,0", f"{MINUS}3,3"]
    assert shown(joined([figure(0.01), "g"], " ")) == "0,01 g"


def test_numbers_are_english_where_no_language_is_chosen():
    assert number_signs() == (".", ",")
    assert f"{shown_number(1234.5):,.1f}" == "1,234.5"


def test_dates_are_written_as_the_language_has_them(in_pseudo):
    assert (moment("2026-03-02"), shown(moment("2026-03-02"))) == ("2026-03-02", "02.03.2026")
    at = moment("2026-03-02T10:40:00Z")
    assert shown(at).split() == [shown(day("2026-03-02T10:40:00Z")), at.split()[1]]
    assert shown(moment("in spring")) == "in spring"


@pytest.mark.parametrize("language", [ENGLISH, *shipped_languages()])
def test_layers_are_read_back_as_a_language_writes_them(language):
    layers = painted_layers("2 coats of (1 part husk + 7 parts clear); 1 coat of (0.123 of peat + 0.877 of clear)")
    with speaking(language):
        written = [shown(painted_text(layers)), shown(mixes.layers(layers)), shown(mixes.coats(3)) + " rook"]
        assert [painted_layers(one) for one in written[:2]] == [layers, layers], written
        assert painted_layers("25 % husk") == painted_layers("0,25 husk") == painted_layers("1/4 husk")
        assert painted_layers(shown(painted_text(painted_layers("rook"), liquid=True))) == painted_layers("rook")


def test_of_several_one_is_meant():
    assert either(["peat", "rook", "weir"]) == "peat, rook or weir"
    assert either(["peat"]) == "peat"
