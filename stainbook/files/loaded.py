"""What a reader hands back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Loaded(Generic[T]):
    """The records of a file in its order, and what the user should be told about it."""

    records: tuple[T, ...]
    warnings: tuple[str, ...] = ()
