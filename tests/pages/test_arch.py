"""The drawn arch: every zone is there once, in its place, named, and reached by arrows."""

import re
from itertools import pairwise

import numpy as np
import pytest

from stainbook.pages.widgets.arch_svg import Face, arch_markup
from stainbook.report.arch_shapes import draw_jaw, is_upper, viewed
from stainbook.words.states import OUT_OF_TOLERANCE

UPPER = (16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26)
LOWER = tuple(tooth + 30 if tooth < 20 else tooth + 10 for tooth in UPPER)


def zones_of(teeth, *, gum=True):
    bands = [("cervical", "tooth"), ("middle", "tooth"), ("incisal", "tooth")]
    gums = [("margin", "gingiva"), ("papilla", "gingiva"), ("attached", "gingiva"), ("mucosa", "gingiva")]
    return [(tooth, zone, tissue) for tooth in teeth for zone, tissue in (bands + gums if gum else bands)]


def drawn(zones):
    drawing = draw_jaw(zones)
    faces = {
        (tooth, zone): Face("#cccccc", OUT_OF_TOLERANCE, None, False, f"{tooth} {zone}: off")
        for tooth, zone, _ in zones
    }
    return drawing, arch_markup(drawing, faces, ("right", "left"))


@pytest.mark.parametrize("teeth", [UPPER, LOWER, (11,), (36, 37), (55, 54, 53, 52, 51, 61, 62, 63, 64, 65)])
def test_each_zone_is_drawn_once(teeth):
    zones = [one for one in zones_of(teeth) if not (one[1] == "papilla" and one[0] % 100 in (21, 31, 61, 71))]
    drawing, _ = drawn(zones)
    found = [(shape.tooth, shape.zone) for shape in drawing.shapes]
    assert len(found) == len(set(found))
    assert {(tooth, zone) for tooth, zone, _ in zones} <= set(found)


@pytest.mark.parametrize("teeth", [UPPER, LOWER])
def test_the_arch_is_symmetrical(teeth):
    drawing, _ = drawn(zones_of(teeth, gum=False))
    places = {(shape.tooth, shape.zone): np.array(shape.centre) for shape in drawing.shapes}
    for (tooth, zone), (x, y) in places.items():
        mirrored = places[tooth + 10 if tooth // 10 in (1, 3) else tooth - 10, zone]
        np.testing.assert_allclose(mirrored, (-x, y), atol=0.05)  # mm


@pytest.mark.parametrize("teeth", [UPPER, LOWER])
def test_neck_lies_outside_the_edge_and_gum_outside_the_neck(teeth):
    drawing, _ = drawn(zones_of(teeth))
    places = {(shape.tooth, shape.zone): shape.centre[1] for shape in drawing.shapes}
    front = [places[teeth[5], zone] for zone in ("incisal", "middle", "cervical", "margin", "attached", "mucosa")]
    outwards = front[::-1] if is_upper(teeth[0]) else front  # y runs downwards
    assert outwards == sorted(outwards)


def test_the_patients_right_is_at_the_viewers_left():
    assert viewed([21, 11, 12, 22]) == [12, 11, 21, 22]
    drawing, _ = drawn(zones_of(UPPER))
    at = {number.tooth: number.at[0] for number in drawing.numbers}
    assert [tooth for tooth, _ in sorted(at.items(), key=lambda pair: pair[1])][5:7] == [11, 21]


def test_teeth_of_an_arch_do_not_overlap_at_their_edges():
    drawing, _ = drawn(zones_of(UPPER, gum=False))
    reach = {number.tooth: np.array(number.at) for number in drawing.numbers}
    order = viewed(reach)
    gaps = [np.linalg.norm(reach[one] - reach[other]) for one, other in pairwise(order)]
    assert min(gaps) > 4.0  # mm: half of two lateral incisors, drawn inside the arch


def test_a_zone_of_the_labs_own_name_is_drawn_too():
    drawing, _ = drawn([(11, "collar", "tooth"), (11, "frenum", "gingiva")])
    assert {"collar", "frenum"} <= {shape.zone for shape in drawing.shapes}


def test_a_single_tooth_is_drawn_large_and_in_a_row():
    single, arch = draw_jaw(zones_of((11,), gum=False)), draw_jaw(zones_of(UPPER, gum=False))
    assert single.in_row
    assert not arch.in_row
    assert single.box[3] < 0.4 * arch.box[3]


def test_arrows_walk_along_the_arch_and_up_a_tooth():
    _, markup = drawn(zones_of(UPPER))
    (path,) = re.findall(r'<path class="zone"[^>]*data-key="11 middle"[^>]*>', markup)
    assert 'data-left="12 middle"' in path
    assert 'data-right="21 middle"' in path
    assert 'data-up="11 cervical"' in path
    assert 'data-down="11 incisal"' in path


def test_every_zone_has_a_name_for_screen_readers():
    zones = zones_of(UPPER)
    _, markup = drawn(zones)
    drawable = len(zones) - 1  # the papilla at the midline is that of 11
    assert len(re.findall(r'data-key="[^"]+"[^>]*aria-label="[^"]+"', markup)) == drawable


def test_names_from_files_cannot_become_markup():
    _, markup = drawn([(11, '<script>"x"', "tooth"), (11, "middle", "tooth")])
    assert "<script>" not in markup
    assert "&lt;script&gt;" in markup
