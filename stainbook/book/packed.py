"""Rows of the journal packed small, so that searches read a few thousand bytes where they would read as many rows.

A set of rows is an int whose bit n stands for row n: two sets are met by ``&``, counted by ``bit_count``. It is
kept in pieces of ``SPAN`` rows, each a bitmap or, where that is shorter, a list of 16-bit numbers. Colours are
kept as 64-bit floats, four a row: its number, L*, a*, b*; numbers of rows are exact up to 2**53.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Iterator, Mapping

from stainbook.errors import BookError

SPAN = 4096  # rows that a piece of a set stands for
_MAP = SPAN // 8  # bytes of a bitmap; a list is always shorter
DAMAGED = "what searches run on is damaged; `stainbook book verify --rebuild` makes it again"
FULL = 30  # colours of a piece: it then fits into a page of SQLite
_COLOUR = struct.Struct("<4d")
Placed = tuple[float, float, float, float]  # row, L*, a*, b*


def bits_of(piece: bytes) -> int:
    """A piece of a set, as the bits of an int from the first row of the piece on; raises BookError for what is none."""
    return int.from_bytes(_bitmap(piece), "little")


def piece_of(bits: int) -> bytes:
    """The bytes that ``bits_of`` reads."""
    if 2 * bits.bit_count() >= _MAP:
        return bits.to_bytes(_MAP, "little")
    return struct.pack(f"<{bits.bit_count()}H", *numbers(bits))


def whole(pieces: Mapping[int, bytes]) -> int:
    """The set that pieces by their number make up."""
    found = bytearray(_MAP * (max(pieces, default=-1) + 1))
    for number, piece in pieces.items():
        found[number * _MAP : (number + 1) * _MAP] = _bitmap(piece)
    return int.from_bytes(found, "little")


def _bitmap(piece: bytes) -> bytes:
    if len(piece) == _MAP:
        return piece
    found = bytearray(_MAP)
    try:
        for low in struct.unpack(f"<{len(piece) // 2}H", piece):
            found[low >> 3] |= 1 << (low & 7)
    except (struct.error, IndexError) as error:
        raise BookError(DAMAGED) from error
    return bytes(found)


def numbers(bits: int) -> Iterator[int]:
    """The rows of a set, lowest first."""
    while bits:
        lowest = bits & -bits
        yield lowest.bit_length() - 1
        bits ^= lowest


def newest(bits: int, limit: int) -> list[int]:
    """The highest rows of a set, highest first."""
    found: list[int] = []
    data = bits.to_bytes((bits.bit_length() + 7) // 8, "little")
    for place in range(len(data) - 1, -1, -1):
        byte = data[place]
        while byte and len(found) < limit:
            high = byte.bit_length() - 1
            found.append(8 * place + high)
            byte ^= 1 << high
        if len(found) == limit:
            break
    return found


def colours_of(piece: bytes) -> list[Placed]:
    """A piece of the colours of a cell.

    Raises BookError for what is none, as ``bits_of`` and ``whole`` do.
    """
    if len(piece) % _COLOUR.size:
        raise BookError(DAMAGED)
    return list(_COLOUR.iter_unpack(piece))


def colours_piece(found: Iterable[Placed]) -> bytes:
    """The bytes that ``colours_of`` reads."""
    return b"".join(_COLOUR.pack(*one) for one in found)
