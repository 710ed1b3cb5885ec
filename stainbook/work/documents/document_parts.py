"""What all documents that commands print are made of, as pydantic models."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, WrapValidator
from pydantic_core import CoreSchema, core_schema

from stainbook.language import Text
from stainbook.records import TISSUES


class OneOf:
    """The values that a field may have, checked when a document is made; its static type stays str or int."""

    def __init__(self, *values: str | int) -> None:
        self.values = values

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        return core_schema.literal_schema(list(self.values))


def _kept_text(value: Any, check: Any) -> Any:
    return value if isinstance(value, Text) else check(value)  # pydantic would make a plain string of it


Sentence = Annotated[str, WrapValidator(_kept_text)]  # for people: English as JSON, other languages where it is shown
Grade = Annotated[str, OneOf("within", "cannot tell", "beyond")]
Visibility = Annotated[str, OneOf("imperceptible", "cannot tell", "perceptible")]
Tissue = Annotated[str, OneOf(*TISSUES)]
Observer = Annotated[int, OneOf(2, 10)] | None
Chance = Annotated[float, Field(ge=0.0, le=1.0)]
Difference = Annotated[float, Field(ge=0.0, description="ΔE00")]


class Result(BaseModel):
    """Plain values that are written as they are; unknown keys are mistakes."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        allow_inf_nan=False,
        field_title_generator=lambda name, _: name,
        serialize_by_alias=True,
        validate_by_name=True,
    )


class Document(Result):
    """One JSON document of a command."""

    warnings: list[Sentence] = []


class Sampled(Result):
    """Something that one sample is the name of."""

    sample: str


class ColourResult(Result):
    """CIELAB under a light and observer; observer null means unknown."""

    L: float
    a: float
    b: float
    illuminant: str
    observer: Observer


class StandingResult(Result):
    """Where a zone is now and what that rests on; the colour is null where nothing is known, ``u`` its 95 % radius.

    ``from``: the first that applies; ``of``: the sample, zone or blank; ``since``: its last change, UTC.
    """

    L: float | None
    a: float | None
    b: float | None
    illuminant: str | None
    observer: Observer
    u: Difference | None
    from_: Annotated[
        str,
        OneOf("read", "like", "expected", "blank", "unknown"),
        Field(validation_alias="from", serialization_alias="from"),
    ]
    of: str | None
    since: str | None
    read_at: str | None


class Gap(Result):
    """Where the zone is against its target, now minus target."""

    dE00: Difference
    dL: float
    dC: float
    dH: float
    grade: Grade
    u: Difference | None = None
    visibility: Visibility | None = None
