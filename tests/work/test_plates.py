"""Plates laid out, printed, read back in order; a hand measured; the weekly chip."""

import numpy as np
import pytest

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.files import read_chips, read_readings, write_readings
from stainbook.optics.curves import Optics, expected_curve
from stainbook.optics.film import Piece, reading_after
from stainbook.records import CLEAR, Reading, Stain, Viewing
from stainbook.work.reading.control_chart import control
from stainbook.work.stains.plate import plan_plates, read_back, save
from stainbook.work.stains.stripes import HAND, PLAN, PlateOrder, lay_out, share_word

WAVES = tuple(float(wave) for wave in range(400, 701, 10))


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as book:
        yield book


def plates_of(chips):
    return list(dict.fromkeys(chip.body for chip in chips))


@pytest.mark.parametrize(
    ("stains", "stripes", "room", "plates"), [(2, 3, 8, 1), (3, 3, 8, 2), (7, 1, 8, 1), (2, 7, 8, 2)]
)
def test_as_few_plates_as_their_room_allows(stains, stripes, room, plates):
    chips = lay_out(PlateOrder(tuple(f"s{i}" for i in range(stains)), stripes=stripes, room=room))
    assert len(plates_of(chips)) == plates
    clear = [chip.layers[0].coats for chip in chips if not chip.layers[0].pot.shares]
    assert clear.count(1) == plates
    assert clear.count(2) == (len(chips) - clear.count(2) < room * plates)
    assert len(chips) == stains * stripes + len(clear)
    assert max(sum(chip.body == plate for chip in chips) for plate in plates_of(chips)) <= room


def test_four_stains_and_clear_are_fifteen_stripes_on_two_plates():
    chips = lay_out(PlateOrder(("husk", "teasel", "ash", "moss")))
    assert (len(chips), len(plates_of(chips))) == (15, 2)
    assert sorted(chip.layers[0].coats for chip in chips if not chip.layers[0].pot.shares) == [1, 1, 2]


def test_liquids_take_no_thick_glaze():
    chips = lay_out(PlateOrder(("tide",), soaking=frozenset({"tide"})))
    assert [chip.layers[0].coats for chip in chips if not chip.layers[0].pot.shares] == [1]


def test_clear_glaze_comes_first_on_each_plate_and_names_are_each_once():
    chips = lay_out(PlateOrder(("husk", "teasel", "ash")))
    for plate in plates_of(chips):
        first = next(chip for chip in chips if chip.body == plate)
        assert first.layers[0].pot.shares == ()
    assert len({chip.chip for chip in chips}) == len(chips)


def test_with_a_light_and_a_dark_plate_a_stain_is_on_both():
    chips = lay_out(PlateOrder(("husk", "teasel"), plates=("pale", "dark")))
    for stain in ("husk", "teasel"):
        assert {chip.body for chip in chips if stain in chip.layers[0].pot.stains} == {"pale", "dark"}


def test_the_most_telling_stripes_come_first_and_a_hand_stays_on_one_plate():
    chips = lay_out(PlateOrder(("husk",), plates=("pale", "dark"), hand="ash", operator="bench-1"))
    hand = [chip for chip in chips if "-hand-" in chip.chip]
    assert (len(hand), {chip.body for chip in hand}) == (HAND, {"pale"})
    laid = {(chip.layers[0].pot.as_dict()["husk"], chip.layers[0].coats) for chip in chips if "husk" in chip.chip}
    assert laid == set(PLAN[:3])
    assert {chip.operator for chip in chips} == {"bench-1"}


@pytest.mark.parametrize(
    "bad",
    [
        {"stains": ()},
        {"stains": ("husk", "husk")},
        {"stains": (CLEAR,)},
        {"stains": ("husk",), "stripes": 0},
        {"stains": ("husk",), "stripes": 8},
        {"stains": ("husk",), "room": 1},
        {"stains": ("husk",), "room": 4, "hand": "husk"},
        {"stains": ("husk",), "plates": ("a", "a")},
    ],
)
def test_what_cannot_be_laid_out_is_refused(bad):
    with pytest.raises(InputError, match="expected"):
        lay_out(PlateOrder(**bad))


def test_shares_as_names_hold_them():
    assert [share_word(share) for share in (1.0, 0.25, 1 / 16)] == ["1", "1of4", "1of16"]


def test_the_sheet_to_print_and_the_chips_that_calibrate_reads(book, tmp_path):
    book.add_stains([Stain("husk", family="brown", lot="24-117"), Stain("tide", kind="infiltrating", family="blue")])
    result, chips = plan_plates(book, PlateOrder(("husk", "tide", "new")))
    save(result, chips, csv=tmp_path / "p.csv", html=tmp_path / "p.html")
    read = read_chips(tmp_path / "p.csv").records
    assert [(one.chip, one.body, one.layers) for one in read] == [(one.chip, one.body, one.layers) for one in chips]
    assert dict(read[1].layers[0].lots) == {"husk": "24-117"}
    assert any(chip.layers[0].pot.shares == (("tide", 1.0),) for chip in chips)
    assert [line for line in result.warnings if line.startswith("new is not")]
    text = (tmp_path / "p.html").read_text(encoding="utf-8")
    assert "1 coat of (1 part husk + 3 parts clear)" in text
    assert text.count("<h2>Plate ") == len(result.plates)


def fired(chips, hand_sd, seed=2):
    """Readings as the optics make them, in reading order; plates before stripes."""
    rng = np.random.default_rng(seed)
    optics, R = Optics({}), np.linspace(0.6, 0.75, 31)
    piece = Piece(R[None], "glazed", 0.0, optics.ceramic(None))
    curve = expected_curve("husk", "surface", "brown")
    rows = dict.fromkeys(plates_of(chips), R)
    for chip in chips:
        layer = chip.layers[0]
        share = dict(layer.pot.shares).get("husk", 0.0)
        amount = layer.coats * share**curve.exponent * np.exp(hand_sd / np.sqrt(layer.coats) * rng.standard_normal())
        rows[chip.chip] = reading_after(piece, curve.K[None, None] * amount, curve.S[None, None] * amount)[0]
    return rows


def saved(path, rows, *, names=True):
    text = [",".join(["sample", *(f"{wave:g}" for wave in WAVES)])]
    text += [
        ",".join([name if names else str(i), *map(repr, map(float, R))]) for i, (name, R) in enumerate(rows.items(), 1)
    ]
    path.write_text("\n".join(text), encoding="utf-8")
    return path


@pytest.mark.parametrize("bare_first", [True, False])
def test_readings_in_order_get_the_stripes_names(book, tmp_path, bare_first):
    result, chips = plan_plates(book, PlateOrder(("husk",), plates=("pale",)))
    save(result, chips, csv=tmp_path / "p.csv")
    rows = {name: np.full(31, 0.2 + 0.1 * i) for i, name in enumerate(["pale", *(chip.chip for chip in chips)])}
    if not bare_first:
        book.add_readings([Reading("pale", WAVES, tuple(rows.pop("pale").tolist()))])
    read_back(book, tmp_path / "p.csv", saved(tmp_path / "r.csv", rows, names=False), tmp_path / "named.csv")
    found = read_readings(tmp_path / "named.csv")
    assert set(found.samples) == {"pale", *(chip.chip for chip in chips)}
    assert book.find_reading(chips[-1].chip).reflectance[0] == pytest.approx(0.2 + 0.1 * len(chips), abs=1e-12)
    assert [chip.chip for chip in book.chips()] == [chip.chip for chip in chips]


def test_a_row_too_few_and_a_plate_never_read_bare_are_refused(book, tmp_path):
    result, chips = plan_plates(book, PlateOrder(("husk",), plates=("pale",)))
    save(result, chips, csv=tmp_path / "p.csv")
    rows = {chip.chip: np.full(31, 0.5) for chip in chips}
    with pytest.raises(InputError, match="never read bare"):
        read_back(book, tmp_path / "p.csv", saved(tmp_path / "r.csv", rows), None)
    rows.popitem()
    with pytest.raises(InputError, match=r"4 rows.*5, one for each"):
        read_back(book, tmp_path / "p.csv", saved(tmp_path / "r.csv", rows, names=False), None)
    assert book.chips() == ()


def test_a_hand_is_measured_from_one_stripe_painted_five_times(book, tmp_path):
    book.add_stains([Stain("husk", family="brown")])
    result, chips = plan_plates(book, PlateOrder((), plates=("pale",), hand="husk", operator="bench-2"))
    save(result, chips, csv=tmp_path / "p.csv")
    (hand,) = read_back(book, tmp_path / "p.csv", saved(tmp_path / "r.csv", fired(chips, 0.15)), None).hands
    assert (hand.operator, hand.stripes) == ("bench-2", 5)
    assert hand.low < 0.15 < hand.high


# ---------------------------------------------------------------- the weekly chip


def weekly(n, jump=0.0):
    rng = np.random.default_rng(4)
    labs = np.array([72.0, 1.0, 14.0]) + np.array([0.2, 0.1, 0.15]) * rng.standard_normal((n, 3))
    labs[-1, 0] += jump
    return [
        Reading("tile", lab=tuple(lab), viewing=Viewing("D65", 2), taken_at=f"2026-01-{i + 1:02d}", instrument="hand")
        for i, lab in enumerate(labs.tolist())
    ]


@pytest.mark.parametrize(("jump", "steady"), [(0.0, True), (2.0, False)])
def test_the_weekly_chip(book, jump, steady):
    book.add_readings(reversed(weekly(14, jump)))
    found = control(book, "tile")
    assert found.in_control is steady
    assert [point.taken_at for point in found.points] == sorted(point.taken_at for point in found.points)
    assert (found.points[-1].dE00 > 1.0) is not steady


def test_a_chart_needs_dates_and_one_instrument(book, tmp_path):
    with pytest.raises(InputError, match="0 dated readings"):
        control(book, "tile")
    write_readings(tmp_path / "r.csv", weekly(3))
    book.add_readings(
        [
            *weekly(3),
            Reading("tile", lab=(72.0, 1.0, 14.0), viewing=Viewing("D65", 2), taken_at="2026-02-01", instrument="b"),
        ]
    )
    with pytest.raises(InputError, match="one instrument on a chart"):
        control(book, "tile")
