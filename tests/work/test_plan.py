"""The plan of a case file: mixes with letters, layers by letter, weights, and what cannot be asked for."""

from __future__ import annotations

import pytest

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.files import read_guide
from stainbook.match import advise_case
from stainbook.work.case.case_plan import PlanAsked, plan_file
from stainbook.work.case.problems import AdviceAsked, prepare_case
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from tests.cli.console import RECIPES, write

STAINS = ("barley", "kettle", "garnet", "clear")
CASE = RECIPES / "W-1051.yaml"


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    """A book that knows three stains of the demonstration lab and its clear glaze."""
    folder = tmp_path_factory.mktemp("book")
    lines = (RECIPES / "chips.csv").read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if line.startswith(("#", "chip,")) or any(f",{one}," in line for one in STAINS)]
    files = ChipFiles(write(folder / "chips.csv", *kept), RECIPES / "readings.csv", RECIPES / "stains.yaml")
    with open_book(f"sqlite:///{folder / 'lab.db'}") as found:
        found.add_guide(read_guide(RECIPES / "guide.csv").records)
        calibrate_files(found, files)
        yield found


@pytest.fixture
def case(tmp_path):
    """The front tooth, with the stains of the book alone."""
    text = CASE.read_text(encoding="utf-8").replace("file: ", f"file: {RECIPES}/")
    limits = "limits: {layers: 2, coats: 2, pots: 3, strengths: [1/8, 1/4, 1/2], stains: [barley, kettle, garnet]}"
    lines = [line for line in text.splitlines() if not line.startswith("limits:")]
    return write(tmp_path / "case.yaml", *lines, limits)


def test_layers_name_mixes_of_the_palette(book, case):
    found = plan_file(book, case, PlanAsked(trade_off=True))
    ids = [one.id for one in found.pots]
    assert ids == ["Y", "J", "U"][: len(ids)]
    assert {layer.pot for zone in found.zones for layer in zone.layers} == set(ids)
    assert [(zone.tooth, zone.zone) for zone in found.zones] == [(11, "cervical"), (11, "middle"), (11, "incisal")]
    assert found.accept is not None
    assert 0.0 < found.accept <= min(zone.accept for zone in found.zones)
    assert found.trade_off[0].mixes == 1
    assert found.unlimited is not None
    assert found.unlimited.mixes >= len(ids)


def test_weights_and_a_scale_that_is_too_coarse(book, case):
    fine = plan_file(book, case, PlanAsked(most=1, grams=2.0, scale_step=0.01))
    assert fine.pots[0].weighed is not None
    assert sum(fine.pots[0].weighed.grams.values()) == pytest.approx(2.0, abs=0.2)
    coarse = plan_file(book, case, PlanAsked(most=1, grams=0.5, scale_step=0.1))
    assert any("mix Y" in line and "or more" in line for line in coarse.warnings)


@pytest.mark.parametrize("most", [0, 27])
def test_mixes_have_a_letter_each(book, case, most):
    with pytest.raises(InputError, match="expected 1 to 26"):
        plan_file(book, case, PlanAsked(most=most))


def test_a_bonded_piece_is_not_fired(book, case):
    text = case.read_text(encoding="utf-8").replace("stage: blasted", "stage: bonded")
    found = plan_file(book, write(case.with_name("bonded.yaml"), text))
    assert found.pots == []
    assert found.accept is None
    assert {zone.verdict for zone in found.zones} == {"no firing"}


def test_a_zone_like_another_keeps_its_wider_doubt_beside_it(book, case):
    like = "  - {tooth: 21, zone: middle, like: {tooth: 11, zone: middle}}"
    lines = case.read_text(encoding="utf-8").splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("operator:"))
    ready = prepare_case(book, write(case.with_name("like.yaml"), *lines[:at], like, *lines[at:]), AdviceAsked())
    own, copy = ready.problems[1], ready.problems[3]
    assert own.now.name != copy.now.name  # errors that are not the same
    alone, beside = (advise_case(ready.bench, some, stage="blasted").zones[-1] for some in ([copy], [own, copy]))
    assert alone.moves[0].dE00 == pytest.approx(beside.moves[0].dE00, abs=1e-9)
