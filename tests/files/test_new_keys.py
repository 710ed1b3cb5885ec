"""Keys that came later: films, ceramics behind which something lies, liquids and their brushes, systems of stains."""

import pytest

from stainbook.errors import FileError, InputError
from stainbook.files import read_bodies, read_case, read_chips, read_outcome, read_readings, read_stains, write_bodies
from stainbook.files.case_writer import write_case
from stainbook.files.layers import write_chips
from stainbook.files.readings_writer import write_readings
from stainbook.files.stains import write_stains

BANDS = ",".join(str(w) for w in range(400, 701, 10))
VALUES = ",".join(["0.5"] * 31)


def made(tmp_path, name, *lines):
    path = tmp_path / name
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize("film", ["none", "water", "glycerine", "stain liquid"])
def test_a_film_is_read_and_written(tmp_path, film):
    path = made(tmp_path, "readings.csv", f"sample,surface,film,{BANDS}", f"x,matt,{film},{VALUES}")
    (one,) = read_readings(path).all
    assert (one.surface, one.film) == ("matt", film)
    write_readings(tmp_path / "again.csv", [one])
    assert read_readings(tmp_path / "again.csv").all[0].film == film


def test_another_film_is_refused(tmp_path):
    path = made(tmp_path, "readings.csv", f"sample,film,{BANDS}", f"x,oil,{VALUES}")
    with pytest.raises(FileError, match=r"row 2, column film: found 'oil'"):
        read_readings(path)


def test_bodies_of_one_ceramic(tmp_path):
    rows = "reed-black,reed,zirconia,0.8,black", "reed-white,reed,zirconia,0.8,white"
    path = made(tmp_path, "bodies.csv", "body,ceramic,material,thickness_mm,backing", *rows)
    found = read_bodies(path).records
    assert [(one.ceramic, one.thickness_mm, one.backing) for one in found] == [
        ("reed", 0.8, "black"),
        ("reed", 0.8, "white"),
    ]
    write_bodies(tmp_path / "again.csv", found)
    assert read_bodies(tmp_path / "again.csv").records == found


def test_a_thickness_of_16_mm_is_refused(tmp_path):
    path = made(tmp_path, "bodies.csv", "body,thickness_mm", "reed,16")
    with pytest.raises(FileError, match="found 16, expected millimetres of ceramic, 15 at most"):
        read_bodies(path)


def test_systems_forms_uses_and_effects(tmp_path):
    path = made(
        tmp_path, "stains.yaml",
        "- {name: husk, system: north, form: paste, use: stain}", "- {name: gilt, kind: effect, use: correction}",
    )  # fmt: skip
    husk, gilt = read_stains(path).records
    assert (husk.system, husk.form, husk.use) == ("north", "paste", "stain")
    assert (gilt.kind, gilt.use) == ("effect", "correction")
    write_stains(tmp_path / "again.yaml", [husk, gilt])
    assert read_stains(tmp_path / "again.yaml").records == (husk, gilt)


@pytest.mark.parametrize("wrong", ["{name: husk, form: gas}", "{name: husk, use: glue}"])
def test_other_forms_and_uses_are_refused(tmp_path, wrong):
    with pytest.raises(FileError, match="expected"):
        read_stains(made(tmp_path, "stains.yaml", f"- {wrong}"))


def test_liquids_by_brush_wait_and_side(tmp_path):
    path = made(
        tmp_path, "chips.csv", "chip,body,layer,stain,strength,coats,firings,brush,wait_min,from",
        "tide-1,reed,1,tide,1,2,1,size 4,3,both",
    )  # fmt: skip
    (chip,) = read_chips(path).records
    (layer,) = chip.layers
    assert (layer.brush, layer.wait_min, layer.soaked_from) == ("size 4", 3.0, "both")
    write_chips(tmp_path / "again.csv", [chip])
    assert read_chips(tmp_path / "again.csv").records[0].layers == chip.layers


def test_an_outcome_says_how_a_liquid_was_laid(tmp_path):
    path = made(
        tmp_path, "outcome.yaml", "case: W-1", "firing: sinter", "zones:",
        "  - {tooth: 11, zone: cervical, layers: [{pot: {tide: 1}, coats: 2, brush: fine, wait_min: 2, from: inside}],",
        "     after: {L: 70, a: 1, b: 15, illuminant: D65, observer: 10}}",
    )  # fmt: skip
    loaded = read_outcome(path)
    (layer,) = loaded.records[0].zones[0].layers
    assert (layer.brush, layer.wait_min, layer.soaked_from) == ("fine", 2.0, "inside")
    assert loaded.warnings == ()


CASE = """case: W-1
ceramic: reed
read_over: grey
seated_on: titanium
zones:
- {tooth: 11, zone: cervical, thickness_mm: 0.8}
- {tooth: 21, zone: cervical, thickness_mm: 1.2, seated_on: stump, read_over: black}
"""


def test_what_lies_behind_a_piece(tmp_path):
    path = made(tmp_path, "case.yaml", CASE)
    (case,) = read_case(path).records
    assert (case.ceramic, case.read_over, case.seated_on) == ("reed", "grey", "titanium")
    behind = [(zone.thickness_mm, zone.read_over, zone.seated_on) for zone in case.zones]
    assert behind == [(0.8, None, None), (1.2, "black", "stump")]
    write_case(tmp_path / "again.yaml", case)
    (again,) = read_case(tmp_path / "again.yaml").records
    assert (again.zones, again.ceramic, again.seated_on) == (case.zones, case.ceramic, case.seated_on)


def test_a_zone_of_16_mm_is_refused(tmp_path):
    with pytest.raises(FileError, match="thickness_mm"):
        read_case(made(tmp_path, "case.yaml", CASE.replace("0.8", "16")))


ANGLES = """<cc:CxF xmlns:cc="http://colorexchangeformat.com/CxF3-core"><cc:Resources><cc:ObjectCollection>
<cc:Object ObjectType="Standard" Name="pearl" Id="o1"><cc:CreationDate>2026-01-15T09:00:00Z</cc:CreationDate>
<cc:ColorValues><cc:ReflectanceSpectrum ColorSpecification="cs1" StartWL="400">{values}</cc:ReflectanceSpectrum>
</cc:ColorValues></cc:Object></cc:ObjectCollection><cc:ColorSpecificationCollection>
<cc:ColorSpecification Id="cs1"><cc:MeasurementSpec><cc:MeasurementType>{kind}</cc:MeasurementType>
<cc:GeometryChoice>{geometry}</cc:GeometryChoice><cc:WavelengthRange StartWL="400" Increment="10"/>
</cc:MeasurementSpec></cc:ColorSpecification></cc:ColorSpecificationCollection></cc:Resources></cc:CxF>"""
ONE_ANGLE = (
    "<cc:SingleAngle><cc:IlluminationAngle>45</cc:IlluminationAngle>"
    "<cc:MeasurementAngle>0</cc:MeasurementAngle></cc:SingleAngle>"
)


def cxf(tmp_path, kind, geometry):
    text = ANGLES.format(values=" ".join(["0.5"] * 31), kind=kind, geometry=geometry)
    return made(tmp_path, "one.cxf", text)


def test_rows_of_one_sample_at_several_angles_are_refused(tmp_path):
    rows = [f"tab,{geometry},70,1,15,D65,10" for geometry in ("45:0", "45:25")]
    path = made(tmp_path, "angles.csv", "sample,geometry,L,a,b,illuminant,observer", *rows)
    with pytest.raises(InputError, match=r"found another geometry than in .* for the same sample 'tab'"):
        read_readings(path)


def test_a_sample_of_one_angle_is_read(tmp_path):
    assert read_readings(cxf(tmp_path, "Spectrum_Reflectance", ONE_ANGLE)).all[0].geometry == "45/0"


@pytest.mark.parametrize(
    ("kind", "geometry", "told"),
    [
        ("Spectrum_Reflectance", "<cc:MultiAngle/>", "measured at several angles"),
        ("Spectrum_Emissive", ONE_ANGLE, "measured as 'Spectrum_Emissive'"),
        ("Spectrum_Transmission", ONE_ANGLE, "measured as 'Spectrum_Transmission'"),
    ],
)
def test_what_is_no_colour_of_a_piece_is_refused(tmp_path, kind, geometry, told):
    with pytest.raises(FileError, match=told):
        read_readings(cxf(tmp_path, kind, geometry))
