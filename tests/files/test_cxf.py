import pytest

from stainbook.files import read_readings
from stainbook.files.cxf_writer import format_cxf
from stainbook.records import Reading, Viewing
from tests.files.helpers import refused, saved

WAVES = tuple(range(400, 701, 10))
SPECTRUM = " ".join(["0.5"] * len(WAVES))
# The core schema's own order; a file of this form was checked against the schema (3.0) and read by colour-cxf.
TEXT = f"""<?xml version="1.0"?>
<cc:CxF xmlns:cc="http://colorexchangeformat.com/CxF3-core">
 <cc:FileInformation><cc:Creator>example</cc:Creator></cc:FileInformation>
 <cc:Resources><cc:ObjectCollection>
  <cc:Object ObjectType="Standard" Name="11 cervical" Id="o1"><cc:CreationDate>2026-01-15T09:00:00Z</cc:CreationDate>
   <cc:ColorValues>
    <cc:ReflectanceSpectrum ColorSpecification="cs1" StartWL="400">{SPECTRUM}</cc:ReflectanceSpectrum>
    <cc:ColorCIELab ColorSpecification="cs1"><cc:L>75.10</cc:L><cc:A>1.50</cc:A><cc:B>18.20</cc:B></cc:ColorCIELab>
   </cc:ColorValues></cc:Object>
  <cc:Object ObjectType="Target" Name="11 middle" Id="o2"><cc:CreationDate>2026-01-15T09:00:00Z</cc:CreationDate>
   <cc:ColorValues>
    <cc:ColorCIELab ColorSpecification="cs1"><cc:L>75.10</cc:L><cc:A>1.50</cc:A><cc:B>18.20</cc:B></cc:ColorCIELab>
   </cc:ColorValues></cc:Object></cc:ObjectCollection>
  <cc:ColorSpecificationCollection><cc:ColorSpecification Id="cs1">
   <cc:TristimulusSpec><cc:Illuminant>D65</cc:Illuminant><cc:Observer>2_Degree</cc:Observer>
    <cc:Method>E308_Table5</cc:Method></cc:TristimulusSpec>
   <cc:MeasurementSpec><cc:MeasurementType>Spectrum_Reflectance</cc:MeasurementType>
    <cc:GeometryChoice><cc:SphereGeometry>Specular_Excluded</cc:SphereGeometry></cc:GeometryChoice>
    <cc:WavelengthRange StartWL="400" Increment="10"/><cc:Aperture>4 mm</cc:Aperture><cc:Backing>black</cc:Backing>
    <cc:Device><cc:Model>bench</cc:Model></cc:Device>
   </cc:MeasurementSpec></cc:ColorSpecification></cc:ColorSpecificationCollection></cc:Resources></cc:CxF>
"""


def changed(old, new):
    assert old in TEXT
    return TEXT.replace(old, new)


def test_a_spectrum_wins_and_lab_alone_is_read_too(tmp_path):
    readings = read_readings(saved(tmp_path, TEXT))
    spectrum, lab = readings.get("11 cervical"), readings.get("11 middle")
    assert (spectrum.wavelengths, set(spectrum.reflectance)) == (WAVES, {0.5})
    assert (lab.lab, lab.viewing) == ((75.1, 1.5, 18.2), Viewing("D65", 2))
    for reading in (spectrum, lab):
        found = reading.geometry, reading.specular, reading.aperture_mm, reading.backing, reading.instrument
        assert found == ("sphere", "excluded", 4.0, "black", "bench")
    assert spectrum.source.endswith("row 5")
    assert readings.warnings == ()


def test_angles_of_a_directional_geometry(tmp_path):
    angles = (
        "<cc:SingleAngle><cc:SingleAngleConfiguration>Annular</cc:SingleAngleConfiguration><cc:IlluminationAngle>45"
        "</cc:IlluminationAngle><cc:MeasurementAngle>0</cc:MeasurementAngle></cc:SingleAngle>"
    )
    text = changed("<cc:SphereGeometry>Specular_Excluded</cc:SphereGeometry>", angles)
    reading = read_readings(saved(tmp_path, text)).all[0]
    assert (reading.geometry, reading.specular) == ("45/0", None)


def test_without_a_stated_light_lab_is_unknown_or_the_caller_s(tmp_path):
    start, end = TEXT.index("<cc:TristimulusSpec>"), TEXT.index("<cc:MeasurementSpec>")
    path = saved(tmp_path, TEXT[:start] + TEXT[end:])
    assert not read_readings(path).get("11 middle").viewing.known
    assert read_readings(path, viewing=Viewing("D65", 2)).get("11 middle").viewing == Viewing("D65", 2)


def test_objects_without_colour_are_left_out_and_told(tmp_path):
    text = changed("ColorCIELab", "ColorCIELuv")
    readings = read_readings(saved(tmp_path, text))
    assert readings.samples == ("11 cervical",)
    assert "1 object without" in readings.warnings[0]


BOMB = '<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]>'
OUTSIDE = '<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>'


@pytest.mark.parametrize(
    ("old", "new", "parts"),
    [
        ("<cc:CxF ", f"{BOMB}<cc:CxF ", ("row 2", "document type declaration")),
        ("<cc:CxF ", f"{OUTSIDE}<cc:CxF ", ("row 2", "document type declaration")),
        ("<cc:CxF ", '<!DOCTYPE CxF SYSTEM "http://localhost/x.dtd"><cc:CxF ', ("document type declaration",)),
        ("75.10", "&a;", ("undefined entity",)),
        ("</cc:Resources>", "", ("mismatched tag", "row")),
        ("CxF3-core", "CxF2", ("namespace",)),
        (SPECTRUM, f"{SPECTRUM} x", ("'x'", "a number")),
        (SPECTRUM, "0.5 0.5 0.5", ("400 to 420 nm", "cover 400 to 700 nm")),
        (SPECTRUM, "0.5", ("1 value", "spectrum")),
        (SPECTRUM, SPECTRUM.replace("0.5", "50"), ("50", "1.2")),
        ('Increment="10"', 'Increment="3"', ("steps of 3", "5, 10 or 20")),
        ('Increment="10"', "", ("no StartWL and Increment",)),
        ('Increment="10"', 'Increment="1e300"', ("a reflectance spectrum",)),
        ("<cc:L>75.10</cc:L>", "", ("row 10", "an empty cell")),
        ("<cc:L>75.10</cc:L>", "<cc:L>1e9</cc:L>", ("L* from 0 to 100",)),
        ("<cc:Creator>", "<a>" * 40, ("more than 32 levels",)),
    ],
)
def test_malformed_files_are_refused(tmp_path, old, new, parts):
    refused(read_readings, saved(tmp_path, changed(old, new)), *parts)


def test_a_file_without_objects_is_refused(tmp_path):
    start, end = TEXT.index("<cc:Object "), TEXT.index("</cc:ObjectCollection>")
    refused(read_readings, saved(tmp_path, TEXT[:start] + TEXT[end:]), "wavelength columns")


def test_text_that_looks_like_markup_is_written_as_text(tmp_path):
    reading = Reading("<a & 'b'>", lab=(70.0, 1.0, 2.0), viewing=Viewing("D65", 2), notes='"</cc:Tag>', backing="<&>")
    text = format_cxf([reading])
    assert "<a &" not in text
    (found,) = read_readings(saved(tmp_path, text)).all
    assert (found.sample, found.notes, found.backing) == (reading.sample, reading.notes, reading.backing)


def test_an_encoding_that_is_declared_and_true_is_read(tmp_path):
    text = changed('<?xml version="1.0"?>', '<?xml version="1.0" encoding="UTF-16"?>').replace(
        "11 cervical", "11 zervikal ü"
    )
    assert "11 zervikal ü" in read_readings(saved(tmp_path, text.encode("utf-16"))).samples
