import pytest

from stainbook.files import read_chips, read_recipes
from stainbook.records import Layer, Pot
from tests.files.helpers import refused, saved

HEADER = "chip,body,layer,stain,strength,coats,firings"


def chips(tmp_path, *rows, header=HEADER):
    return read_chips(saved(tmp_path, "\n".join([header, *rows]), "chips.csv"))


def test_rows_that_share_chip_and_layer_are_one_pot_in_any_order(tmp_path):
    loaded = chips(
        tmp_path,
        "c,plate,2,teasel,1/2,2,1",
        "d,plate,1,clear,1,1,1",
        "c,plate,1,husk,0.25,1,3",
        "c,plate,2,husk,1/4,2,1",
    )
    first, second = loaded.records
    assert (first.chip, first.body, second.chip) == ("c", "plate", "d")
    assert first.layers == (
        Layer(Pot.of({"husk": 0.25}), coats=1, firings=3),
        Layer(Pot.of({"husk": 0.25, "teasel": 0.5}), coats=2, firings=1),
    )
    assert second.layers == (Layer(Pot(), coats=1, firings=1),)
    assert first.source.endswith("chips.csv: row 2")
    assert not loaded.warnings


def test_optional_columns(tmp_path):
    header = f"{HEADER},lot,operator,programme,material,method,consistency,fired_at,box"
    loaded = chips(
        tmp_path,
        "c,p,1,husk,0.25,1,1,24_117,bench-1,770,zirconia,brush,Thin,2026-03-02,1",
        "c,p,1,teasel,0.25,1,1,0117,,,,,,,1",
        header=header,
    )
    chip = loaded.records[0]
    assert (chip.operator, chip.programme, chip.material, chip.fired_at) == ("bench-1", "770", "zirconia", "2026-03-02")
    layer = chip.layers[0]
    assert (layer.lots, layer.method, layer.consistency) == ((("husk", "24_117"), ("teasel", "0117")), "brush", "thin")
    assert len(loaded.warnings) == 1
    assert "'box'" in loaded.warnings[0]


def test_a_share_of_clear_is_the_rest(tmp_path):
    loaded = chips(tmp_path, "c,p,1,husk,0.25,1,1", "c,p,1,clear,0.75,1,1")
    assert loaded.records[0].layers[0].pot == Pot.of({"husk": 0.25})


def test_three_thirds_are_one_pot(tmp_path):
    loaded = chips(tmp_path, *(f"c,p,1,{stain},1/3,1,1" for stain in "abc"))
    assert loaded.records[0].layers[0].pot.clear == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("text", ["chip;body;layer;stain;strength;coats;firings\nc;p;1;husk;0,25;1,0;1"])
def test_decimal_commas(tmp_path, text):
    layer = read_chips(saved(tmp_path, text)).records[0].layers[0]
    assert (layer.pot.as_dict(), layer.coats) == ({"husk": 0.25}, 1)


@pytest.mark.parametrize(
    ("rows", "parts"),
    [
        ([], ["no chip"]),
        ([",p,1,husk,1,1,1"], ["row 2", "column chip", "empty"]),
        (["c,,1,husk,1,1,1"], ["row 2", "column body", "empty"]),
        (["c,p,1,,1,1,1"], ["row 2", "column stain", "empty"]),
        (["c,p,1,husk,1,1,"], ["row 2", "column firings", "empty"]),
        (["c,p,1,husk,0,1,1"], ["row 2", "column strength", "'0'", "above 0"]),
        (["c,p,1,husk,25,1,1"], ["row 2", "column strength", "'25'", "at most 1"]),
        (["c,p,1,husk,-1,1,1"], ["row 2", "column strength"]),
        (["c,p,1,husk,much,1,1"], ["row 2", "column strength", "'much'"]),
        (["c,p,1,husk,1,0,1"], ["row 2", "column coats", "'0'", "whole number"]),
        (["c,p,1,husk,1,1.5,1"], ["row 2", "column coats", "'1.5'"]),
        (["c,p,1,husk,1,1,-1"], ["row 2", "column firings"]),
        (["c,p,0,husk,1,1,1"], ["row 2", "column layer"]),
        (["c,p,2,husk,1,1,1"], ["row 2", "column layer", "layer 1"]),
        (["c,p,1,husk,1,1,1", "c,p,3,husk,1,1,1"], ["row 3", "column layer", "layer 2"]),
        (["c,p,1,husk,0.5,1,1", "c,p,1,husk,0.5,1,1"], ["row 3", "'husk' a second time"]),
        (["c,p,1,husk,0.6,1,1", "c,p,1,teasel,0.5,1,1"], ["row 3", "1.1"]),
        (["c,p,1,husk,0.5,1,1", "c,p,1,clear,0.6,1,1"], ["row 3", "1.1"]),
        (["c,p,1,husk,0.5,1,1", "c,p,1,teasel,0.5,2,1"], ["row 3", "column coats", "'2'", "row 2"]),
        (["c,p,1,husk,0.5,1,1", "c,p,1,teasel,0.5,1,2"], ["row 3", "column firings", "'2'", "row 2"]),
        (["c,p,1,husk,0.5,1,1", "c,q,2,teasel,0.5,1,1"], ["row 3", "column body", "'q'", "'p'"]),
    ],
)
def test_malformed_chips_are_refused(tmp_path, rows, parts):
    refused(read_chips, saved(tmp_path, "\n".join([HEADER, *rows]), "chips.csv"), *parts)


@pytest.mark.parametrize(("column", "cells"), [("operator", "ab"), ("programme", "ab"), ("material", "ab")])
def test_rows_of_a_chip_that_contradict_each_other_are_refused(tmp_path, column, cells):
    rows = [f"c,p,{i},husk,1,1,1,{cell}" for i, cell in enumerate(cells, 1)]
    refused(
        read_chips, saved(tmp_path, "\n".join([f"{HEADER},{column}", *rows])), "row 3", column, "'b'", "'a' as in row 2"
    )


def test_a_chip_fired_at_no_time_is_refused(tmp_path):
    text = f"{HEADER},fired_at\nc,p,1,husk,1,1,1,yesterday"
    refused(read_chips, saved(tmp_path, text), "column fired_at", "'yesterday'")


@pytest.mark.parametrize("column", HEADER.split(","))
def test_every_column_is_needed(tmp_path, column):
    header = HEADER.replace(column, "other")
    refused(read_chips, saved(tmp_path, f"{header}\nc,p,1,husk,1,1,1"), "header", repr(column))


def test_recipes_are_as_chips_without_firings(tmp_path):
    text = "recipe,body,layer,stain,strength,coats,firings,lot\nr,plate,1,husk,1/8,2,9,24-117\nr,plate,2,clear,1,1,9,\n"
    loaded = read_recipes(saved(tmp_path, text, "recipes.csv"))
    recipe = loaded.records[0]
    assert (recipe.recipe, recipe.body) == ("r", "plate")
    assert recipe.layers == (Layer(Pot.of({"husk": 0.125}), coats=2, lots=(("husk", "24-117"),)), Layer(Pot()))
    assert "'firings'" in loaded.warnings[0]
    refused(read_recipes, saved(tmp_path, f"{HEADER}\nc,p,1,husk,1,1,1"), "'recipe'")
