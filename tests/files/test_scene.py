"""scene.yaml: the contract's example, and what is told when it is malformed."""

import re

import pytest

from stainbook.errors import FileError
from stainbook.files.scene import read_scene
from stainbook.records import LabRef, Viewing
from tests.contract.formats import block

ZONE = "  - {tooth: 11, zone: cervical, polygon: [[1, 1], [9, 1], [9, 9]]}"
LEAST = ["reference: chart.txt", "rows: 4", "columns: 6", "zones:", ZONE]


def scene(tmp_path, *lines):
    path = tmp_path / "scene.yaml"
    path.write_text("\n".join(lines) + "\n")
    return path


def test_the_example_of_the_contract(tmp_path):
    text = (
        block("scene.yaml")
        .replace("[[…, …], …]", "[[1, 1], [9, 1], [9, 9]]")
        .replace("[[…]]", "[[1, 1], [9, 1], [9, 9]]")
    )
    text = re.sub(r"L: , a: , b: ", "L: 70, a: 2, b: 15", text)
    found = read_scene(scene(tmp_path, text))
    assert (found.encoding, found.subject, found.rows, found.columns, found.patch_fill) == ("auto", "piece", 4, 6, 0.82)
    assert found.reference == tmp_path / "reference.txt"
    assert found.flat == tmp_path / "grey-frame.tif"
    assert found.corners[2] == (897.0, 521.0)
    assert found.tabs[0].colour == LabRef((70.0, 2.0, 15.0), Viewing("D65", 10))
    assert (found.zones[0].tooth, found.zones[0].zone, found.zones[0].tissue) == (11, "cervical", "tooth")


def test_the_least_that_will_do(tmp_path):
    found = read_scene(scene(tmp_path, *LEAST))
    assert (found.corners, found.flat, found.tabs, found.patch_fill) == (None, None, (), 0.8)
    assert (found.encoding, found.subject) == ("auto", "piece")


def test_a_zone_of_another_name_says_its_tissue(tmp_path):
    other = ZONE.replace("cervical", "ridge")
    named = read_scene(scene(tmp_path, *LEAST[:-1], other.replace("zone:", "tissue: gingiva, zone:")))
    assert (named.zones[0].zone, named.zones[0].tissue) == ("ridge", "gingiva")
    with pytest.raises(FileError, match="tissue"):
        read_scene(scene(tmp_path, *LEAST[:-1], other))


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (LEAST[1:], "reference"),
        ([*LEAST, "corner: [[1, 2]]"], "did you mean corners"),
        ([*LEAST, "corners: [[1, 1], [2, 2], [3, 3]]"], "3 corners"),
        ([*LEAST, "encoding: raw"], "auto, linear, srgb"),
        ([*LEAST, "subject: tooth"], "piece, patient"),
        ([*LEAST, "patch_fill: 1.4"], "0.2 to 1"),
        ([*LEAST[:-1], ZONE.replace(", [9, 9]", "")], "2 points"),
        ([*LEAST[:-1], ZONE.replace("[9, 1]", "[9]")], "1 number"),
        ([*LEAST[:-1], ZONE.replace("[9, 1]", "[nan, 1]")], "nan"),
        ([*LEAST, ZONE], "second time"),
        ([LEAST[0], "rows: 0", *LEAST[2:]], "from 1 to 40"),
        ([*LEAST[:3], "zones: []"], "0 zones"),
        ([*LEAST, "tabs:", "  - {polygon: [[1, 1], [9, 1], [9, 9]], L: 70, a: 2, b: 15}"], "illuminant"),
        (
            [
                *LEAST,
                "tabs:",
                "  - {polygon: [[1, 1], [9, 1], [9, 9]], L: 70, a: 2, b: 15, illuminant: unknown, observer: 2}",
            ],
            "known light",
        ),
    ],
)
def test_malformed_scenes_name_file_row_found_and_expected(tmp_path, lines, words):
    with pytest.raises(FileError) as caught:
        read_scene(scene(tmp_path, *lines))
    line = str(caught.value)
    assert words in line
    assert all(word in line for word in ("scene.yaml", "found", "expected"))
    assert "\n" not in line
