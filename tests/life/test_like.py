"""The short set: a zone that was not read follows one that may stand for it, and never spoils what is told of it."""

from __future__ import annotations

import pytest

from tests.life.bench import Bench, Doc, by_key, zone

FRONT = (13, 12, 11, 21, 22, 23)
READ = {  # eight readings of the arch, as the short set takes them, and more on the molar where a test says so
    (11, "cervical"): (70.6, 2.4, 18.0),
    (11, "middle"): (73.6, 1.2, 15.2),
    (11, "incisal"): (72.0, 0.4, 10.2),
    (13, "cervical"): (67.2, 4.4, 22.0),
    (13, "middle"): (70.4, 3.0, 19.0),
    (16, "cervical"): (64.0, 5.6, 24.0),
    (15, "cervical"): (66.0, 5.0, 23.0),
    (14, "cervical"): (66.4, 4.8, 22.6),
}
PALE = (73.6, 1.2, 15.2)


def arch(read: dict, **more: tuple) -> list[Doc]:
    """Front and back teeth of an upper arch; ``read`` of them have a colour."""
    back = [(tooth, name) for tooth in (16, 15, 14) for name in ("cervical", "middle", "occlusal")]
    front = [(tooth, name) for tooth in FRONT for name in ("cervical", "middle", "incisal")]
    targets = {"occlusal": PALE, "middle": PALE, "cervical": (69.0, 3.0, 19.5), "incisal": (72.0, 0.4, 10.2)}
    return [zone(*key, target=targets[key[1]], now=read.get(key)) for key in (*front, *back)]


def follows(bench: Bench, read: dict) -> dict[str, str | None]:
    """Which zone each occlusal zone follows."""
    name = bench.case("W-9", arch(read), stage="stained", readings="short")
    found = by_key(bench.bench(name)["zones"])
    return {f"{tooth} {where}": one["like"] for (tooth, where), one in found.items() if where == "occlusal"}


MOLAR_MIDDLE, PREMOLAR_OCCLUSAL = {(16, "middle"): (71.0, 2.0, 17.0)}, {(15, "occlusal"): (72.0, 1.6, 16.0)}


@pytest.mark.parametrize(
    ("more", "kind"),
    [
        pytest.param({}, "middle", id="a middle third, however far"),
        pytest.param(MOLAR_MIDDLE, "middle", id="the nearest middle third"),
        pytest.param(PREMOLAR_OCCLUSAL, "occlusal", id="another occlusal"),
        pytest.param(MOLAR_MIDDLE | PREMOLAR_OCCLUSAL, "occlusal", id="an occlusal before a middle third"),
    ],
)
def test_a07_an_occlusal_zone_follows_an_occlusal_then_a_middle_third(bench: Bench, more: dict, kind: str) -> None:
    found = follows(bench, READ | more)
    for name, like in found.items():
        if (16, "occlusal") in more or (name == "15 occlusal" and more.get((15, "occlusal"))):
            continue
        assert like is not None
        assert like.split()[1] == kind, (name, like)


def test_a07_an_incisal_third_is_the_last_and_a_cervical_one_never(bench: Bench) -> None:
    necks = {key: lab for key, lab in READ.items() if key[1] == "cervical"}
    with_edge = follows(bench, necks | {(11, "incisal"): READ[11, "incisal"], (12, "cervical"): (70, 2.6, 18.4)})
    assert all(like is None or like.split()[1] != "cervical" for like in with_edge.values())
    filled = {(tooth, "cervical"): (70, 2.6, 18.4) for tooth in (12, 21, 22, 23)}
    alone = follows(bench, necks | filled)
    assert set(alone.values()) == {None}  # nothing that may stand for it: it is read itself


def test_a07_a_zone_that_follows_no_neck_is_not_told_out_of_reach(bench: Bench) -> None:
    """The neck of a molar is far darker than its biting face: from there no stain would lift it."""
    name = bench.case("W-9", arch(READ), stage="stained", readings="short")
    for (_, where), told in bench.advice(name).items():
        if where == "occlusal":
            assert told["verdict"] != "out of reach"
            assert told["gap"]["grade"] != "beyond"


def test_a07_it_does_not_block_delivery(bench: Bench) -> None:
    read = READ | {key: (69.0, 3.0, 19.5) for key in READ if key[1] == "cervical"}
    read |= {(13, "middle"): PALE, (11, "middle"): PALE}
    neck = {(16, "cervical"): (69.0, 3.0, 19.5)}
    bench.open("W-9", arch(read | neck), stage="glazed", readings="short")
    assert bench.json("book", "deliver", "W-9")["stage"] == "delivered"


def test_a07_standing_says_which_zone_it_is_like(bench: Bench) -> None:
    bench.open("W-9", arch(READ | PREMOLAR_OCCLUSAL), stage="stained", readings="short")
    standing = bench.advice("W-9")[16, "occlusal"]["standing"]
    assert (standing["from"], standing["of"]) == ("like", "15 occlusal")
