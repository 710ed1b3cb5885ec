"""Canonical JSON: one text and one hash for one content, and the record back from it."""

from __future__ import annotations

import hashlib
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.book.codec import canonical, decode, digest, encode
from stainbook.errors import BookError, InputError
from stainbook.records import Body, Chip, GuideTab, Layer, Pot, Reading, Stain, Viewing

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)  # no lone surrogates: no file can hold them
NUMBER = st.floats(allow_nan=False, allow_infinity=False)
NUMBERS = st.lists(NUMBER, max_size=4).map(tuple)
PAIRS = st.lists(st.tuples(TEXT, TEXT), max_size=2).map(tuple)
POT = st.builds(Pot, st.lists(st.tuples(TEXT, NUMBER), max_size=3).map(tuple))
LAYER = st.builds(Layer, POT, coats=st.integers(), lots=PAIRS, consistency=st.none() | TEXT, firings=st.integers())
RECORD = st.one_of(
    st.builds(Stain, TEXT, family=st.none() | TEXT, materials=st.none() | st.lists(TEXT).map(tuple), lot=TEXT),
    st.builds(Body, TEXT, material=TEXT, thickness_mm=st.none() | NUMBER),
    st.builds(Chip, TEXT, TEXT, st.lists(LAYER, max_size=3).map(tuple), operator=st.none() | TEXT),
    st.builds(GuideTab, TEXT, TEXT, TEXT, TEXT),
    st.builds(Reading, TEXT, wavelengths=NUMBERS, reflectance=NUMBERS, scatter=st.none() | NUMBERS, notes=TEXT),
    st.builds(Reading, TEXT, lab=st.tuples(NUMBER, NUMBER, NUMBER), viewing=st.builds(Viewing, TEXT, st.integers())),
)


@given(RECORD)
def test_every_record_comes_back(record: object) -> None:
    assert decode(type(record), encode(record)) == record


@given(RECORD)
def test_content_is_canonical(record: object) -> None:
    content = encode(record)
    assert content.isascii()
    assert encode(decode(type(record), content)) == content


def test_canonical_text_is_fixed() -> None:
    stain = Stain("husk", kind="surface", materials=(), notes="é")
    assert encode(stain) == '{"kind":"surface","materials":[],"name":"husk","notes":"\\u00e9"}'


def test_number_types_do_not_matter() -> None:
    plain = Reading("x", lab=(50.0, 0.5, 0.0), viewing=Viewing())
    assert encode(replace(plain, lab=(50, np.float64(0.5), 0))) == encode(plain)


def test_the_source_is_no_part_of_the_content() -> None:
    chip = Chip("c", "pale", (Layer(Pot()),), source="chips.csv row 4")
    assert encode(chip) == encode(replace(chip, source=""))
    assert decode(Chip, encode(chip), source="chips.csv row 4") == chip


@pytest.mark.parametrize(
    "record",
    [Reading("x", lab=(float("nan"), 0.0, 0.0)), Body("b", thickness_mm=float("inf")), Stain(name=7)],  # type: ignore[arg-type]
)
def test_what_cannot_be_stored_is_refused_in_one_line(record: object) -> None:
    with pytest.raises(InputError, match="cannot be stored") as caught:
        encode(record)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("content", ["", "[]", "null", '{"kind":"surface"}', '{"name":7,"kind":'])
def test_a_damaged_record_is_refused_in_one_line(content: str) -> None:
    with pytest.raises(BookError, match="damaged stain") as caught:
        decode(Stain, content)
    assert "\n" not in str(caught.value)


def test_the_hash_is_that_of_the_text_and_of_the_data_when_there_are_any() -> None:
    content = canonical({"b": 1, "a": [1.5]})
    assert content == '{"a":[1.5],"b":1}'
    assert digest(content) == hashlib.sha256(b'{"a":[1.5],"b":1}').hexdigest()
    assert len({digest(content), digest(content, b""), digest(content, b"x")}) == 3
