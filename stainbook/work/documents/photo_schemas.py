"""What ``stainbook photo`` prints as JSON."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from stainbook.work.documents.document_parts import (
    ColourResult,
    Difference,
    Document,
    Gap,
    OneOf,
    Result,
    Sentence,
    Tissue,
)

Kind = Annotated[str, OneOf("living tooth", "living gum", "fired tooth", "fired gum", "unknown")]


class PhotoChange(Result):
    """This picture minus the one before; ``u`` is the 95 % doubt of the change, smaller than that of either colour."""

    dE00: Difference
    dL: float
    dC: float
    dH: float
    u: Difference


class PhotoZone(ColourResult):
    """One zone; ``masked`` is the share dropped as highlight or clipped, ``flagged`` means not to be used."""

    tooth: int
    zone: str
    C: float
    h: float
    u: Difference
    pixels: Annotated[int, Field(ge=0)]
    masked: Annotated[float, Field(ge=0.0, le=1.0)]
    flagged: bool
    tissue: Tissue | None = None
    prior: Kind | None = None
    channels: Annotated[int, Field(ge=3)] = 3  # 6: by a second shot through a filter too
    gap: Gap | None = None
    change: PhotoChange | None = None


class PhotoReference(Result):
    """How well the target was met, ΔE00; null where only greys were seen. With any ``troubles`` nothing is stored."""

    dE00_median: Difference | None
    dE00_left_out: Difference | None
    patches: Annotated[int, Field(ge=0)]
    dropped: dict[str, Sentence] = {}
    corners: list[tuple[float, float]] = []
    tabs_dE00: Difference | None = None
    troubles: list[Sentence] = []


class PhotoShot(Result):
    """What is kept of the picture's own data."""

    camera: str | None = None
    lens: str | None = None
    exposure_s: float | None = None
    aperture: float | None = None
    iso: float | None = None
    focal_mm: float | None = None
    taken_at: str | None = None


class PhotoResult(Document):
    """``stainbook photo``."""

    zones: list[PhotoZone]
    reference: PhotoReference
    method: Sentence
    shot: PhotoShot | None = None
    stored: list[str] = []  # samples of the zones that went into the book


COMMANDS: dict[str, type[Document]] = {"photo": PhotoResult}
