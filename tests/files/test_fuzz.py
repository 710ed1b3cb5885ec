"""Any bytes give records or one clear line, never another error."""

import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from stainbook.errors import InputError
from stainbook.files import (
    ReadingSet,
    read_bodies,
    read_case,
    read_chips,
    read_guide,
    read_jars,
    read_mixes,
    read_order,
    read_outcome,
    read_programmes,
    read_readings,
    read_recipes,
    read_stains,
)
from stainbook.files.scene import read_scene
from stainbook.records import GuideTab
from tests.files.helpers import BANDS, flat, spectral
from tests.files.test_cgats import lab
from tests.files.test_cxf import TEXT

TABS = (GuideTab("house", "oat-mid", "cervical", "tooth"),)


def read_case_with_guide(path):
    return read_case(path, guide=TABS)


SEEDS = {
    read_readings: [
        spectral(flat("a", "0.5", "x", "2026-03-02"), flat("b", "0.1", "", ""), extra=("stage", "taken_at")),
        "sample;L*;a*;b*;illuminant;observer;taken_at\nx;70,5;1;2;D65;10;2026-03-02T10:40Z\nx;70;1;2;;;0001-01-01T00:00+23:59\n",
        spectral(flat("a", "50", "percent", "3"), band="R{} %", extra=("scale", "repeats")),
        lab('WEIGHTING_FUNCTION "ILLUMINANT, D65"', "OBSERVER 10"),
        TEXT,
    ],
    read_chips: ["chip,body,layer,stain,strength,coats,firings,lot,fired_at\nc,p,1,husk,1/4,1,1,0117,2026-03-02\n"],
    read_recipes: ["recipe,body,layer,stain,strength,coats\nr,p,1,clear,1,1\nr,p,2,husk,0.5,2\n"],
    read_bodies: ["body,material,lot,thickness_mm,surface\nb,zirconia,1,1.5,matt\n"],
    read_guide: ["guide,tab,zone,tissue\nhouse,oat-mid,cervical,tooth\nhouse,oat-mid,root,tooth\n"],
    read_jars: ["stain,lot,makers_lot,opened_on,run_out_on,note\nhusk,0117,M,2026-03-02,,half\nhusk,2,,,2026-03-03,\n"],
    read_stains: [
        "- {name: husk, kind: surface, materials: [zirconia], stages: [green], max_firings: 4, notes: }\n- name: no\n"
    ],
    read_order: [
        "row,sample,tooth,zone,note,L,a,b\n1,W-1-11-cervical,11,cervical,,,,\n2,W-1-11-middle,11,middle,,,,\n"
    ],
    read_programmes: [
        "- {programme: glaze, start_c: 450, final_c: 770, hold_min: 1, vacuum: none}\n- programme: 12:30\n"
    ],
    read_mixes: ["- {mix: neck-2, pot: {husk: 1/8, teasel: 0.5}, made_on: 2026-03-02, lots: {husk: 0117}}\n"],
    read_outcome: [
        "case: W-1\nfired_at: 2026-03-02T11:40:00+01:00\nfurnace: no\nminutes: 48.5\nlots: {husk: 0118}\n"
        "zones: [{tooth: 11, zone: neck, tissue: tooth, recipe: warm, before: {L: 70, a: 1, b: 15}, "
        "after: {L: 71, a: 1, b: 16, illuminant: D65, observer: 2},"
        "layers: [{pot: {}}, {pot: {husk: 1/2}, coats: 2, consistency: stiff, method: spray}]}]\n"
    ],
    read_scene: [
        "reference: chart.txt\nrows: 4\ncolumns: 6\nencoding: auto\nsubject: patient\npatch_fill: 0.82\n"
        "corners: [[1, 2], [30, 2], [30, 40], [1, 40]]\nflat: grey.tif\n"
        "tabs:\n  - {L: 70, a: 2, b: 15, illuminant: D65, observer: 10, polygon: [[1, 1], [9, 1], "
        "[9, 9]]}\nzones:\n  - {tooth: 11, zone: cervical, polygon: [[1, 1], [9, 1], [9, 9]]}\n"
    ],
    read_case_with_guide: [
        "case: W-1\nstage: green\nzones:\n  - {tooth: 11, zone: cervical, now: {body: b}, target: {L: 1, a: 2, b: 3}}\n"
        "  - {tooth: 21, zone: cervical, like: {tooth: 11, zone: cervical}}\n"
        "apply: {teeth: [12], guide: house, tab: oat-mid}\neffects:\n  - {tooth: 11, effect: halo, pot: {flour: 1/4}}\n"
        "lots: {husk: 1}\nlimits: {layers: 2, strengths: [1/2, 1]}\n"
    ],
}
PIECES = [
    b"\xff\xfe", b"\xef\xbb\xbf", b"\x00", b"\r", b"\n", b'"', b";", b"\t", b",", b"#", b"nan", b"1e999", b"-1", b"1/0",
    b"[", b"{", b"}", b"&a ", b"*a", b"!!x ", b"? ", b": ", b"- ", b"'", b"|", b"\xe2\x80\xa8", b"\xc2\x85", b"%",
    b"\xd9\xa3", b"9" * 400, b"0001-01-01T00:00-23:59", b"9999-12-31T23:59-23:59", b"0001-01-01",
    b"like: {tooth: 21, zone: cervical}",
]  # fmt: skip


@st.composite
def damaged(draw, seed):
    data = draw(st.sampled_from(seed)).encode(draw(st.sampled_from(("utf-8", "utf-8", "utf-16"))))
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(data)))
        end = start + draw(st.integers(0, 8))
        data = data[:start] + draw(st.sampled_from(PIECES) | st.binary(max_size=4)) + data[end:]
    return data


def message_of(read, path, data):
    """Empty when the file was read and each of its readings can be looked up."""
    path.write_bytes(data)
    try:
        found = read(path)
    except InputError as error:
        return str(error)
    if isinstance(found, ReadingSet):
        assert all(found.get(sample).sample == sample for sample in found.samples)
    return ""


def holds(read, path, data):
    message = message_of(read, path, data)
    assert not re.search(r"[\n\r\x1b]", message)
    assert len(message) < 1000


@pytest.mark.parametrize("read", SEEDS, ids=lambda read: read.__name__)
@given(data=st.data())
def test_damaged_files(read, data, tmp_path_factory):
    holds(read, tmp_path_factory.getbasetemp() / "damaged", data.draw(damaged(SEEDS[read])))


@pytest.mark.parametrize("read", SEEDS, ids=lambda read: read.__name__)
@given(data=st.binary(max_size=200))
@example(data=b"\xff\xfe\x00\xd8")
@example(data=b"\xff\xfe\xff\xfe\x00\x00")
@example(data=b"%YAML 3.0\n---\na")
@example(data=b"---\n...\n---\n")
@example(data=b"'\n\n'")
def test_any_bytes(read, data, tmp_path_factory):
    holds(read, tmp_path_factory.getbasetemp() / "bytes", data)


@pytest.mark.parametrize("read", SEEDS, ids=lambda read: read.__name__)
def test_the_seeds_are_whole(read, tmp_path):
    for seed in SEEDS[read]:
        (tmp_path / "whole").write_text(seed, encoding="utf-8")
        assert getattr(read(tmp_path / "whole"), "warnings", ()) == ()
    assert len(BANDS) == 16
