"""Chips of one stain that were not made alike are told apart."""

from stainbook.records import Body, Chip, Layer, Pot
from stainbook.work.mixed_chips import mixed


def chip(name, *, lot=None, **words):
    lots = (("husk", lot),) if lot else ()
    return Chip(name, words.pop("body", "plate"), (Layer(Pot.of({"husk": 0.25}), lots=lots),), **words)


def test_chips_made_alike_say_nothing():
    assert mixed([chip("a", lot="1", operator="x"), chip("b", lot="1", operator="x")], {}) == {}


def test_lots_hands_programmes_and_materials_are_told():
    chips = [
        chip("a", lot="24-117", operator="bench-1", programme="glaze-770", material="zirconia"),
        chip("b", lot="25-003", operator="bench-2", programme="glaze-790", body="pressed"),
        chip("c", lot="25-003", operator="bench-2", programme="glaze-790", body="pressed"),
    ]
    lines = mixed(chips, {"pressed": Body("pressed", "lithium disilicate")})["husk"]
    assert [line.split(";")[0] for line in lines] == [
        "chips of more than one lot: 24-117 (1), 25-003 (2)",
        "chips of more than one operator: bench-1 (1), bench-2 (2)",
        "chips of more than one programme: glaze-770 (1), glaze-790 (2)",
        "chips of more than one material: zirconia (1), lithium disilicate (2)",
    ]


def test_chips_that_do_not_say_stand_beside_those_that_do():
    (line,) = mixed([chip("a"), chip("b", lot="1")], {})["husk"]
    assert "not stated (1), 1 (1)" in line
