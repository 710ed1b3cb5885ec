"""CxF3 (ISO 17972-1): colour objects of an XML file as readings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise
from pathlib import Path

from stainbook.errors import FileError
from stainbook.files.readings_csv import LAB_COLUMNS, TEXT_COLUMNS, Parsed, illuminant_name, readings_of
from stainbook.files.table import Row, Table, header_of
from stainbook.files.text import shown
from stainbook.files.values import Numerals
from stainbook.files.xml_nodes import XmlNode, parse_xml
from stainbook.language import say, say_n

NAMESPACE = "http://colorexchangeformat.com/CxF3-core"
TAGS = "stainbook"  # the collection of tags that holds what CxF3 has no element for
_WHAT = say("a CxF3 file")
_OBSERVERS = {"2_Degree": "2", "10_Degree": "10"}
_SPHERES = {"Specular_Included": "included", "Specular_Excluded": "excluded"}
_TEXTS = (*TEXT_COLUMNS, "illuminant", "observer", "repeats", "u")
_NO_PIECE = ("Emissive", "Transmi")  # light sources, and what was seen through
_Cells = dict[str, str]


def parse_cxf(text: str, path: Path) -> Parsed:
    """Parse the objects of a CxF3 file into readings: the first reflectance spectrum of each, else its CIELAB.

    Objects that hold neither are left out with a warning.

    Raises
    ------
    FileError
        For broken XML, entities, another vocabulary, and values that no reading can have.

    References
    ----------
    ISO 17972-1:2015, core schema 3.0.
    """
    root = parse_xml(text, path, _WHAT)
    if root.name != "CxF" or root.namespace != NAMESPACE:
        hint = say("export the readings as CxF3 or CSV")
        raise FileError(
            path,
            say("another vocabulary of XML"),
            say("CxF of the namespace {namespace}", namespace=NAMESPACE),
            hint=hint,
        )
    specifications = {
        one.attributes.get("Id", ""): one for one in _below(root, "ColorSpecificationCollection", "ColorSpecification")
    }
    objects = list(_below(root, "ObjectCollection", "Object"))
    rows = [(one.line, cells) for one in objects if (cells := _cells(one, specifications))]
    parsed = readings_of(_table(rows, path))
    return parsed._replace(warnings=(*_left_out(objects, len(rows), path), *parsed.warnings))


def _below(root: XmlNode, collection: str, name: str) -> Iterator[XmlNode]:
    found = root.find("Resources", collection)
    return found.all(name) if found else iter(())


def _left_out(objects: list[XmlNode], used: int, path: Path) -> tuple[str, ...]:
    number = len(objects) - used
    return (
        (
            say_n(
                "{path}: {n} object without reflectance or CIELAB was left out",
                "{path}: {n} objects without reflectance or CIELAB were left out",
                number,
                path=path,
            ),
        )
        if number
        else ()
    )


def _table(rows: list[tuple[int, _Cells]], path: Path) -> Table:
    names = dict.fromkeys(name for _, cells in rows for name in cells)
    header = header_of(tuple(names), path, rows[0][0] if rows else 1, ("sample",) if rows else ())
    header.numerals.mark = "."
    return Table(header, tuple(Row(header, line, [cells.get(name, "") for name in names]) for line, cells in rows))


def _cells(one: XmlNode, specifications: Mapping[str, XmlNode]) -> _Cells:
    """The filled cells of an object, none where it has no colour that a reading can be."""
    values = one.find("ColorValues")
    spectrum, lab = (values.find(name) if values else None for name in ("ReflectanceSpectrum", "ColorCIELab"))
    if values is None or (colour := spectrum or lab) is None:
        return {}
    specification = specifications.get(colour.attributes.get("ColorSpecification", ""))
    if specification is not None:
        _check_reflectance(one, specification)
    cells = {"sample": one.attributes.get("Name", "").strip() or one.attributes.get("Id", "")}
    said = _tags(one)  # all that a reading said when this program wrote it, so nothing is added to it
    cells |= said or (_conditions(specification) if specification else {})
    if spectrum is not None:
        cells |= _bands(spectrum, specification)
    else:
        cells |= {name: colour.value(name.upper()) or "" for name in LAB_COLUMNS}
    return {name: cell for name, cell in cells.items() if cell}


def _check_reflectance(one: XmlNode, specification: XmlNode) -> None:
    """Refuse what is no colour of a piece: a sample seen at several angles, a light source, a film seen through."""
    name = shown(one.attributes.get("Name", ""))
    kind = specification.value("MeasurementSpec", "MeasurementType") or ""
    if any(word in kind for word in _NO_PIECE):
        raise one.fail(
            say("{name}, measured as {kind}", name=name, kind=shown(kind)),
            say("reflectance of a piece, read at one angle or in a sphere"),
        )
    geometry = specification.find("MeasurementSpec", "GeometryChoice")
    if geometry is not None and geometry.find("MultiAngle") is not None:
        raise one.fail(
            say("{name}, measured at several angles", name=name),
            say("one angle or a sphere"),
            hint=say("export one geometry; pearl is by eye"),
        )


def _bands(spectrum: XmlNode, specification: XmlNode | None) -> _Cells:
    """Reflectance factors by wavelength; the start may stand at the spectrum, the step stands in the specification."""
    found = specification.find("MeasurementSpec", "WavelengthRange") if specification else None
    span = found.attributes if found else {}
    start = Numerals(".").number(spectrum.attributes.get("StartWL") or span.get("StartWL", ""))
    step = Numerals(".").number(span.get("Increment", ""))
    if start is None or step is None:
        raise spectrum.fail(say("no StartWL and Increment"), say("both, in WavelengthRange of its MeasurementSpec"))
    words = spectrum.text.split()
    waves = [start + step * i for i in range(len(words))]
    if len(words) < 2 or step <= 0 or waves[-1] > 10_000 or not all(low < high for low, high in pairwise(waves)):
        raise spectrum.fail(
            say_n("{n} value by {step:g} nm", "{n} values by {step:g} nm", len(words), step=step),
            say("a reflectance spectrum"),
        )
    return {f"{wave:g}": word for wave, word in zip(waves, words, strict=True)}


def _conditions(specification: XmlNode) -> _Cells:
    geometry = specification.find("MeasurementSpec", "GeometryChoice")
    sphere = geometry.value("SphereGeometry") if geometry else None
    seen = specification.find("TristimulusSpec")
    cells = {
        "illuminant": illuminant_name(light) if seen and (light := seen.value("Illuminant")) else "",
        "observer": _OBSERVERS.get(seen.value("Observer") or "", "") if seen else "",
        "geometry": _geometry(geometry) if geometry else "",
        "specular": _SPHERES.get(sphere or "", ""),
        "backing": specification.value("MeasurementSpec", "Backing") or "",
        "instrument": specification.value("MeasurementSpec", "Device", "Model") or "",
    }
    aperture = (specification.value("MeasurementSpec", "Aperture") or "").lower().removesuffix("mm").strip()
    return cells | ({"aperture_mm": aperture} if Numerals(".").number(aperture) else {})


def _geometry(geometry: XmlNode) -> str:
    """A geometry in the words of the trade: 45/0, sphere."""
    if geometry.find("SphereGeometry"):
        return "sphere"
    angle = geometry.find("SingleAngle")
    angles = [angle.value(name) for name in ("IlluminationAngle", "MeasurementAngle")] if angle else []
    return "/".join(filter(None, angles))


def _tags(one: XmlNode) -> _Cells:
    """What readings say beside their colour, where this program wrote it."""
    return {
        tag.attributes.get("Name", ""): tag.attributes.get("Value", "")
        for tags in one.all("TagCollection")
        if tags.attributes.get("Name") == TAGS
        for tag in tags.all("Tag")
        if tag.attributes.get("Name", "") in _TEXTS or tag.attributes.get("Name", "").startswith("sd ")
    }
