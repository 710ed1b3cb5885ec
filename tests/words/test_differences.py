"""Value, chroma and hue in words; chances; times; states."""

from __future__ import annotations

import time

import pytest

from stainbook.words import differences, states
from stainbook.words.chances import chance, expected_in_tolerance
from stainbook.words.figures import tenths
from stainbook.words.hues import hue_towards
from stainbook.words.light_names import light, short, viewing
from stainbook.words.places import place
from stainbook.words.times import moment


@pytest.mark.parametrize(
    ("value", "said"),
    [(0.0, "less than 1 in 20"), (0.06, "about 1 in 10"), (0.71, "about 7 in 10"), (0.79, "about 8 in 10"),
     (0.95, "about 9 in 10"), (1.0, "more than 19 in 20")],
)  # fmt: skip
def test_a_chance(value, said):
    assert chance(value) == said


def test_an_arch():
    assert expected_in_tolerance(44.3, 59) == "44 of 59 zones expected in tolerance"


@pytest.mark.parametrize(("value", "said"), [(7.31, "7.3"), (-0.04, "0.0"), (-1.25, "−1.2"), (0.05, "0.1")])
def test_one_decimal(value, said):
    assert tenths(value) == said


@pytest.mark.parametrize(
    ("hue", "towards_higher", "towards_lower"),
    [
        (45.0, "yellow", "red"),
        (85.0, "green", "red"),
        (120.0, "green", "yellow"),
        (355.0, "yellow", "blue"),
        (5.0, "yellow", "blue"),
    ],
)
def test_hues_turn_towards_the_next_one(hue, towards_higher, towards_lower):
    assert hue_towards(hue, 1.0) == towards_higher
    assert hue_towards(hue, -1.0) == towards_lower


def test_differences_are_words_alone():
    assert differences.value(3.2) == "3.2 too light"
    assert differences.value(-3.2) == "3.2 too dark"
    assert differences.chroma(-1.0) == "1.0 too weak"
    assert differences.chroma(0.3) == "on target"
    assert differences.hue(1.0, 84.0) == "1.0 too green"
    assert differences.hue(1.0, 29.0) == "1.0 too yellow"


@pytest.mark.parametrize("size", [0.49, 0.51])
def test_one_limit_of_what_is_on_target(size):
    said = {differences.value(size), differences.chroma(-size), differences.hue(size, 80.0)}
    assert ("on target" in said) is (size < 0.5)
    assert len(said) == (1 if size < 0.5 else 3)


@pytest.mark.parametrize(
    ("grade", "visibility", "verdict", "word"),
    [
        ("within", "imperceptible", "leave", "no visible difference"),
        ("within", "cannot tell", "leave", "in tolerance"),
        ("within", "perceptible", None, "in tolerance"),
        ("cannot tell", "perceptible", "stain", "cannot tell"),
        ("beyond", "perceptible", "stain", "out of tolerance"),
        ("beyond", "perceptible", "out of reach", "stain cannot reach it"),
        (None, None, "no firing", "not read"),
    ],
)
def test_a_state_has_a_word_and_a_shape_of_its_own(grade, visibility, verdict, word):
    found = states.state(grade, visibility, verdict=verdict)
    assert found.word == found.said == word
    assert sum(one.shape == found.shape for one in states.STATES) == 1
    assert word in states.MEANS


@pytest.mark.parametrize(
    ("standing", "expected"), [("read", False), ("like", False), ("expected", True), ("blank", True)]
)
def test_what_nobody_read_is_expected(standing, expected):
    found = states.state("within", standing=standing)
    assert found.expected is expected
    assert found.said.endswith("expected") is expected


def test_times_are_local(monkeypatch):
    monkeypatch.setenv("TZ", "Etc/GMT-5")
    time.tzset()
    try:
        assert moment("2026-03-02T22:40:00Z") == moment("2026-03-02T22:40:00") == "2026-03-03 03:40"
        assert moment("2026-03-02") == "2026-03-02"
        assert moment("spring") == "spring"
    finally:
        monkeypatch.undo()
        time.tzset()


def test_lights_and_zones_are_told_in_full():
    assert light("A") == "lamp light (CIE A)"
    assert viewing("D65", 10) == "daylight (CIE D65), 10°"
    assert viewing("D65", None) == "the instrument's own scale"
    assert [short(one) for one in ("A", "LED-B3", "E")] == ["lamp", "LED", "CIE E"]
    assert place(11, "margin") == "11 gum edge"
