"""Chips of one stain that were not made alike are told apart."""

from dataclasses import replace

import numpy as np
import pytest

from stainbook.book import open_book
from stainbook.colour import delta_e_2000
from stainbook.optics.calibrate import calibrate
from stainbook.optics.film import Piece
from stainbook.optics.forecast import LOT_SD, OPERATOR_SD, Hands, forecast
from stainbook.optics.unlike import Unlike
from stainbook.records import Body, Chip, Layer, Pot, Stain, Viewing
from stainbook.work.reading.optical import lab_on_grid
from stainbook.work.stains.learnt import hands_of
from stainbook.work.stains.mixed_chips import Discs, mixed, unlike
from stainbook.work.stains.other_ceramic import on_ceramic
from stainbook.work.stains.stain_calibration import fired_chip
from tests.worlds.lab import World
from tests.worlds.samples import chips, to_reading


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
        "stripes of more than one lot: 24-117 (1), 25-003 (2)",
        "stripes of more than one technician: bench-1 (1), bench-2 (2)",
        "stripes of more than one programme: glaze-770 (1), glaze-790 (2)",
        "stripes of more than one material: zirconia (1), lithium disilicate (2)",
    ]


def test_chips_that_do_not_say_stand_beside_those_that_do():
    (line,) = mixed([chip("a"), chip("b", lot="1")], {})["husk"]
    assert "not stated (1), 1 (1)" in line


# ---------------------------------------------------------------- and in the fit


def test_another_hand_and_another_jar_are_unlike_and_what_is_not_said_is_not():
    lots = {"husk": "1"}
    assert unlike(chip("a", lot="1", operator="x"), operator="x", lots=lots) == ()
    assert unlike(chip("b"), operator="x", lots=lots) == ()
    assert unlike(chip("c", lot="2", operator="y"), operator="x", lots=lots) == (
        Unlike(0, "operator y", OPERATOR_SD),
        Unlike(0, "lot 2 of husk", LOT_SD),
    )


def test_a_jar_counts_by_its_part_of_the_pot():
    mixed_pot = Layer(Pot.of({"husk": 0.25, "teasel": 0.75}), lots=(("husk", "2"), ("teasel", "1")))
    (found,) = unlike(Chip("m", "plate", (mixed_pot,)), operator="x", lots={"husk": "1", "teasel": "1"})
    assert (found.cause, found.sd) == ("lot 2 of husk", pytest.approx(0.25 * LOT_SD, abs=1e-12))


D65 = Viewing("D65", 10)
WANTED = [(Layer(Pot.of({"saddle": share}), coats),) for share, coats in ((0.25, 1), (0.5, 1), (0.5, 2), (1.0, 1))]


def two_hands(seed):
    """Seven stripes, three of them by a hand that lays on up to a few times 18 % more or less."""
    world = World(seed=seed, matt=False, stains={"saddle": "brown"}, operators=OPERATOR_SD)
    made, rng = chips(world, 7, 2), world.rng("unlike")
    operators = {one.chip: "bench-2" if one.chip[-1] in "357" else "bench-1" for one in made.chips}
    marked = [replace(one, operator=operators[one.chip]) for one in made.chips]
    readings = {one.sample: one for one in made.readings}
    for one in marked:
        fired = world.fire(world.body(one.body), one.layers, operator=one.operator, rng=rng)
        readings[one.chip] = to_reading(one.chip, world.read(fired, rng=rng), "glazed", stage="stained")
    stains = {one.name: one for one in made.stains}
    return world, marked, [fired_chip(one, readings, {}, stains) for one in marked], stains


def met(world, fired, stains):
    """ΔE00 of what is predicted for the hand of most chips, and the radius that holds 90 % by the fit's doubt."""
    optics = calibrate(fired, stains, operator="bench-1").optics
    body = world.body("new")
    piece = Piece(world.read(body), body.surface, 0.0, optics.ceramic(None))
    result = []
    for found in forecast(optics, piece, WANTED, key="k", hands=hands_of(optics, {}, "bench-1", {})):
        true = lab_on_grid(world.read(world.fire(body, found.layers, operator="bench-1", ideal=True)), D65)
        lasting = [rows for what, rows in found.sources.items() if not what.startswith(("hand", "firing"))]
        rows = np.concatenate(lasting)
        drawn = np.random.default_rng(1).standard_normal((512, len(rows))) @ rows
        mid = lab_on_grid(found.reflectance, D65)
        apart = delta_e_2000(lab_on_grid(found.reflectance * np.exp(drawn), D65), mid)
        result.append((delta_e_2000(true, mid), np.quantile(apart, 0.9)))
    return np.array(result)


def test_chips_of_another_hand_are_not_averaged_as_if_alike():
    """In simulated labs the prediction is nearer than with chips taken as alike, and its doubt holds."""
    alike, told = [], []
    for seed in range(5):
        world, marked, fired, stains = two_hands(seed)
        alike.append(met(world, fired, stains))
        known = [
            replace(one, unlike=unlike(mark, operator="bench-1", lots={}))
            for one, mark in zip(fired, marked, strict=True)
        ]
        told.append(met(world, known, stains))
    before, after = np.concatenate(alike), np.concatenate(told)
    assert np.sqrt(np.mean(after[:, 0] ** 2)) < np.sqrt(np.mean(before[:, 0] ** 2))
    assert np.mean(after[:, 0] <= after[:, 1]) >= 0.85  # of 20 predictions, 4 a lab: 90 % within the scatter of 5 labs


# ---------------------------------------------------------------- discs of liquids


def disc(name, body, brush=None):
    return Chip(name, body, (Layer(Pot.of({"gorse": 1.0}), brush=brush),))


def test_a_disc_of_another_ceramic_or_brush_is_named_and_counts_less():
    bodies = {name: Body(name, "zirconia", ceramic=name[:4]) for name in ("soft", "soft-2", "hard")}
    made = [disc("gorse-1", "soft"), disc("gorse-2", "soft-2", "wide"), disc("gorse-3", "hard", "wide"),
            disc("gorse-4", "soft", "fine")]  # fmt: skip
    discs = Discs.of(made, bodies, {"gorse"})
    told = mixed(made, bodies, discs)["gorse"]
    assert [line.split(":")[0] for line in told] == [
        "gorse-3 of ceramic hard, most discs of gorse of soft",
        "gorse-4 of brush fine, most discs of gorse of wide",
    ]
    causes = [[one.cause for one in unlike(chip, operator=None, lots={}, discs=discs)] for chip in made]
    assert causes == [[], [], ["ceramic hard of gorse"], ["brush fine of gorse"]]
    assert list(Discs.of(made, bodies, set()).told(made)) == []


def test_a_liquid_on_another_ceramic_than_its_discs_is_told_and_less_sure(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as book:
        book.add_stains([Stain("gorse", kind="infiltrating"), Stain("husk")])
        book.add_chips([disc("gorse-1", "soft")])
        book.add_bodies([Body("soft", "zirconia", ceramic="soft"), Body("hard", "zirconia", ceramic="hard")])
        hands = Hands(lots={"gorse": ("24-1", 0.1, 0.15)})
        odd, (line,) = on_ceramic(book, hands, ["hard"], ["gorse", "husk"])
        assert line.startswith("the discs of gorse are of ceramic soft, this is hard")
        assert odd.lots["gorse"] == ("24-1", 0.1, pytest.approx(0.25))
        assert on_ceramic(book, hands, ["soft", None], ["gorse"]) == (hands, [])
        assert on_ceramic(book, hands, [None], ["gorse"]) == (hands, [])
        assert on_ceramic(book, hands, ["hard"], ["husk"]) == (hands, [])
