"""Zones that were fired, as learning wants them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from stainbook.optics.ceramic import Ceramic
from stainbook.optics.two_by_two import Array
from stainbook.records import Layers


@dataclass(frozen=True, slots=True, eq=False)
class Fired:
    """One zone that was fired: where it was, what was laid on, what came out.

    ``covariance`` (31, 31) of ln reflectance holds the noise of both readings; ``lots`` the jars used
    where they are not those of the chips; ``firing`` names what went through the furnace together.
    """

    key: str
    reading: Array
    surface: str | None
    ceramic: Ceramic
    layers: Layers
    after: Array
    covariance: Array
    material: str | None = None
    operator: str | None = None
    programme: str | None = None
    lots: Mapping[str, str] = field(default_factory=dict)
    firing: str = ""
    glazed: bool = True
