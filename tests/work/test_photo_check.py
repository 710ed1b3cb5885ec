"""A test shot is judged: what is good, what is to be mended, what is not known."""

import pytest

from stainbook.pages.photo import photo_texts
from stainbook.pages.shell.plain import counted
from stainbook.photo.shot_check import ShotCheck
from stainbook.work.photo.shot_quality import judged_shot

GOOD = ShotCheck((1.0,), 0.0, white=0.7, patches=24, blur=0.05, uneven=1.2)


def cases(check):
    return {one.topic: (one.case, one.good) for one in judged_shot(check)}


def test_a_good_shot_has_nothing_to_mend():
    assert {good for _, good in cases(GOOD).values()} == {True}


@pytest.mark.parametrize(
    ("change", "topic", "case"),
    [
        ({"white": 0.3}, "exposure", "dark"),
        ({"white": 0.97}, "exposure", "bright"),
        ({"blur": 0.2}, "focus", "soft"),
        ({"blur": None}, "focus", "soft"),
        ({"clipped": 0.01}, "glare", "shines"),
        ({"glints": 1}, "glare", "shines"),
        ({"uneven": 1.6}, "light", "uneven"),
    ],
)
def test_each_fault_is_told_alone(change, topic, case):
    found = cases(GOOD._replace(**change))
    assert found[topic] == (case, False)
    assert [name for name, (_, good) in found.items() if good is False] == [topic]


def test_what_is_not_known_is_no_fault():
    found = cases(ShotCheck((1.0,), 0.0))
    assert found == {"target": ("unknown", None), "glare": ("good", True), "frame": ("unknown", None)}


def test_the_page_has_a_sentence_for_each():
    checks = [GOOD, ShotCheck((1.0,), 0.0), GOOD._replace(white=0.1, blur=1.0, glints=2, uneven=2.0)]
    for one in (one for check in checks for one in judged_shot(check)):
        assert counted(photo_texts.CHECKS[one.topic][one.case], one.patches, share=one.share)
