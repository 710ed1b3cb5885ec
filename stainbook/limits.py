"""What may be done in a case: layers, coats, dryings, mixes, stains."""

from __future__ import annotations

from dataclasses import dataclass, replace

DEFAULT_SHARES = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0)


COATS_IN_ALL = 4  # on a zone in one firing, unless the case allows more


@dataclass(frozen=True, slots=True)
class Later:
    """What surface stain may do after sintering, of a green piece; None: as the case's own limits."""

    layers: int | None = None
    coats: int | None = None
    pots: int | None = None
    strengths: tuple[float, ...] | None = None
    stains: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class Limits:
    """What may be done in this case."""

    firings_left: int = 2
    layers: int = 1
    coats: int = 2
    pots: int | None = None
    strengths: tuple[float, ...] = DEFAULT_SHARES
    stains: tuple[str, ...] | None = None
    since: int | None = None  # firings that the piece had had when this was set
    coats_in_all: int | None = None  # most on a zone in one firing
    dryings: int | None = None  # most of the whole piece between layers, in one firing
    later: Later | None = None  # of a green piece
    liquid_way: float | None = None  # of a green piece: most of the way from the blank to the target that liquids go

    @property
    def after_sintering(self) -> Limits:
        """The limits of surface stain that is to follow on a green piece; its stains are none of the liquids."""
        own = self.later or Later()
        return replace(
            self,
            layers=own.layers or self.layers,
            coats=own.coats or self.coats,
            pots=own.pots or self.pots,
            strengths=own.strengths or self.strengths,
            stains=own.stains,
            later=None,
            liquid_way=None,
        )

    @property
    def most_coats(self) -> int:
        """Most coats on a zone in one firing."""
        return COATS_IN_ALL if self.coats_in_all is None else self.coats_in_all

    @property
    def passes(self) -> int:
        """Most layers on a zone in one firing: the piece is dried between one pass over it and the next."""
        dryings = max(1, self.layers - 1) if self.dryings is None else self.dryings
        return min(self.layers, dryings + 1)
