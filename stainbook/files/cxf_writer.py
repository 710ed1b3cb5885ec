"""Readings out as CxF3; what CxF3 has no element for stands in tags."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import NamedTuple
from xml.sax.saxutils import escape, quoteattr

from stainbook.errors import InputError
from stainbook.files.cxf import NAMESPACE, TAGS
from stainbook.files.reading_cells import cells_of
from stainbook.files.values import instant
from stainbook.language import say
from stainbook.records import Reading, Viewing

_OBSERVERS = {2: "2_Degree", 10: "10_Degree"}
_LIGHTS = {"A", "C", "D50", "D55", "D65", "D75", "E", "F2", "F3", "F7", "F9", "F10", "F11", "F12"}  # of the schema


class _Key(NamedTuple):
    """What readings of one specification share; ``grid`` is the first wavelength and the step."""

    grid: tuple[float, float] | None
    viewing: Viewing | None
    geometry: str | None
    specular: str | None
    aperture_mm: float | None
    backing: str | None
    instrument: str | None


def format_cxf(readings: Sequence[Reading]) -> str:
    """Readings as a CxF3 document that the core schema accepts.

    Raises
    ------
    InputError
        When a spectrum does not begin at a whole nm.
    """
    specifications: dict[_Key, str] = {}
    objects = [_object(reading, number, specifications) for number, reading in enumerate(readings, 1)]
    listed = [_specification(key, name) for key, name in specifications.items()]
    return "\n".join(
        [
            '<?xml version="1.0" encoding="UTF-8"?>',
            f"<cc:CxF xmlns:cc={quoteattr(NAMESPACE)}>",
            f"<cc:FileInformation><cc:Creator>{TAGS}</cc:Creator></cc:FileInformation>",
            "<cc:Resources><cc:ObjectCollection>",
            *objects,
            "</cc:ObjectCollection><cc:ColorSpecificationCollection>",
            *listed,
            "</cc:ColorSpecificationCollection></cc:Resources>",
            "</cc:CxF>",
            "",
        ]
    )


def _object(reading: Reading, number: int, specifications: dict[_Key, str]) -> str:
    key = _key(reading)
    name = specifications.setdefault(key, f"cs{len(specifications) + 1}")
    taken = instant(reading.taken_at or "") or datetime.now(UTC).replace(microsecond=0)
    return (
        f'<cc:Object ObjectType="Standard" Name={quoteattr(reading.sample)} Id="o{number}">'
        f"<cc:CreationDate>{taken.isoformat()}</cc:CreationDate>"
        f"<cc:ColorValues>{_colour(reading, name)}</cc:ColorValues>{_tags(reading)}</cc:Object>"
    )


def _key(reading: Reading) -> _Key:
    """What readings of one specification share."""
    waves = reading.wavelengths
    grid = (waves[0], waves[1] - waves[0]) if waves else None
    if grid and not all(float(number).is_integer() for number in grid):
        raise InputError(
            say(
                "{sample!r} begins at {start:g} nm, and CxF3 holds whole nm only; write CSV",
                sample=reading.sample,
                start=waves[0],
            )
        )
    own = (reading.geometry, reading.specular, reading.aperture_mm, reading.backing, reading.instrument)
    return _Key(grid, reading.viewing, *own)


def _colour(reading: Reading, specification: str) -> str:
    if reading.lab:
        L, a, b = map(_digits, reading.lab)
        values = f"<cc:L>{L}</cc:L><cc:A>{a}</cc:A><cc:B>{b}</cc:B>"
        return f'<cc:ColorCIELab ColorSpecification="{specification}">{values}</cc:ColorCIELab>'
    values = " ".join(map(_digits, reading.reflectance))
    start = f'StartWL="{reading.wavelengths[0]:.0f}"'
    return f'<cc:ReflectanceSpectrum ColorSpecification="{specification}" {start}>{values}</cc:ReflectanceSpectrum>'


def _digits(value: float) -> str:
    return repr(float(value))


def _tags(reading: Reading) -> str:
    cells = cells_of(reading)
    cells.pop("sample")
    tags = "".join(f"<cc:Tag Name={quoteattr(name)} Value={quoteattr(cell)}/>" for name, cell in cells.items())
    return f'<cc:TagCollection Name="{TAGS}">{tags}</cc:TagCollection>' if tags else ""


def _specification(key: _Key, name: str) -> str:
    grid, viewing, geometry, specular, aperture, backing, instrument = key
    kind = "Spectrum_Reflectance" if grid else "Colorimetric_Reflectance"
    span = '<cc:WavelengthRange StartWL="{:.0f}" Increment="{:.0f}"/>'.format(*grid) if grid else ""
    parts = [
        f"<cc:MeasurementType>{kind}</cc:MeasurementType>",
        f"<cc:GeometryChoice>{_geometry(geometry, specular)}</cc:GeometryChoice>",
        span,
        _element("Aperture", f"{aperture:g} mm" if aperture else None),
        _element("Backing", backing),
        f"<cc:Device>{_element('Model', instrument)}</cc:Device>" if instrument else "",
    ]
    measured = f"<cc:MeasurementSpec>{''.join(parts)}</cc:MeasurementSpec>"
    return f'<cc:ColorSpecification Id="{name}">{_seen(viewing)}{measured}</cc:ColorSpecification>'


def _seen(viewing: Viewing | None) -> str:
    """Light and observer, where the schema has words for both; the tags hold them anyway."""
    if viewing is None or viewing.illuminant not in _LIGHTS or viewing.observer not in _OBSERVERS:
        return ""
    light, observer = viewing.illuminant, _OBSERVERS[viewing.observer]
    return (
        f"<cc:TristimulusSpec><cc:Illuminant>{light}</cc:Illuminant><cc:Observer>{observer}</cc:Observer>"
        "<cc:Method>unknown</cc:Method></cc:TristimulusSpec>"
    )


def _geometry(geometry: str | None, specular: str | None) -> str:
    angles = (geometry or "").split("/")
    if len(angles) == 2 and all(angle.isdecimal() for angle in angles):
        return (
            "<cc:SingleAngle><cc:SingleAngleConfiguration>Annular</cc:SingleAngleConfiguration>"
            f"<cc:IlluminationAngle>{angles[0]}</cc:IlluminationAngle>"
            f"<cc:MeasurementAngle>{angles[1]}</cc:MeasurementAngle></cc:SingleAngle>"
        )
    if specular:
        return f"<cc:SphereGeometry>Specular_{specular.capitalize()}</cc:SphereGeometry>"
    return _element("UnknownGeometry", geometry or "unknown")


def _element(name: str, text: str | None) -> str:
    return f"<cc:{name}>{escape(text)}</cc:{name}>" if text else ""
