"""What the lab works with, as plain frozen data: instruments, programmes, jars; what stands in the furnace."""

from __future__ import annotations

from dataclasses import dataclass

from stainbook.records import UNKNOWN_VIEWING, LabValues, Viewing


@dataclass(frozen=True, slots=True)
class Instrument:
    """An instrument as the lab set it up: what holds for its readings where they do not say otherwise.

    ``piece_offset`` is L*, a*, b* of a piece minus those of a flat plate of the same ceramic, ``piece_doubt`` its
    standard deviation; None where it was not measured.
    """

    name: str
    viewing: Viewing = UNKNOWN_VIEWING  # of the L*, a*, b* that it shows
    geometry: str | None = None
    specular: str | None = None
    aperture_mm: float | None = None
    backing: str | None = None
    piece_offset: LabValues | None = None
    piece_doubt: LabValues | None = None
    notes: str | None = None


@dataclass(frozen=True, slots=True)
class Programme:
    """A firing programme as its maker's sheet has it: entered by the lab, never proposed; °C and minutes."""

    programme: str
    furnace: str | None = None
    drying_min: float | None = None
    start_c: float | None = None
    rate_c_per_min: float | None = None
    vacuum: str | None = None
    final_c: float | None = None
    hold_min: float | None = None
    cooling: str | None = None
    minutes: float | None = None  # door to door
    source_sheet: str | None = None
    notes: str | None = None


@dataclass(frozen=True, slots=True)
class FurnaceTray:
    """Pieces that went into the furnace together, from when they went in until somebody says that they are out.

    ``tray`` is its name, which its firings bear as their run; ``kind`` is that of a firing, ``minutes`` how long it
    takes, door to door. ``state`` is ``in``, ``out`` once its firings are recorded, ``undone`` where it never went in.
    """

    tray: str
    cases: tuple[str, ...]
    put_in_at: str  # ISO 8601, UTC
    kind: str
    programme: str | None = None
    furnace: str | None = None
    operator: str | None = None
    minutes: float | None = None
    state: str = "in"
    ended_at: str | None = None  # ISO 8601, UTC

    @property
    def stage(self) -> str:
        """What is searched: the state."""
        return self.state


@dataclass(frozen=True, slots=True)
class Jar:
    """A jar or bottle of a stain: ``lot`` is what the lab calls it, ``makers_lot`` what its maker printed on it.

    The days are ISO 8601; one that ran out has both.
    """

    stain: str
    lot: str
    makers_lot: str | None = None
    opened_on: str | None = None
    run_out_on: str | None = None
    note: str | None = None

    @property
    def jar(self) -> str:
        """Its name: the stain and the lot."""
        return f"{self.stain}: {self.lot}"
