"""What a history packs beside its lines, seen through before it is taken: fits, settings and photos."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from stainbook.book import Book
from stainbook.book.access import KINDS
from stainbook.book.history import FIT, Line
from stainbook.book.thing_words import thing_words
from stainbook.errors import InputError
from stainbook.kept import Photo, Settings
from stainbook.language import say
from stainbook.work.photo.photo_store import LONGEST
from stainbook.work.reading.lab_settings import check_settings
from stainbook.work.stains.learnt import SCOPE as CHIPS
from stainbook.work.stains.learnt import learnt
from stainbook.work.stains.outcome_learning import known_of

_JPEG = b"\xff\xd8\xff"


def check_packed(tried: Book, lines: Sequence[Line], place: Path) -> None:
    """See that fits and settings can be used and photos are small JPEG pictures; raises what using them raises."""
    for settings in tried.entered("settings", Settings().settings):
        check_settings(settings.record)
    if tried.fit(CHIPS) is not None:
        learnt(tried)
        known_of(tried)
    for line in lines:
        if line.kind == KINDS[Photo].kind and line.data is not None:
            _check_photo(line.data, line.record, place / "photo.jpg")
        elif line.data is not None and line.kind != FIT:
            raise InputError(
                say(
                    "found a {kind} with data beside it, expected that of a fit or photo alone",
                    kind=thing_words(line.kind),
                )
            )


def _check_photo(data: bytes, record: Mapping[str, Any], copy: Path) -> None:
    from stainbook.photo.decode import read_picture

    copy.write_bytes(data)
    if not data.startswith(_JPEG) or max(read_picture(copy).size) > LONGEST:
        raise InputError(
            say(
                "found another picture, expected the book's small copy: a JPEG, {most} pixels a side",
                most=LONGEST,
            )
        )
    if any(len(outline) < 3 for _, _, outline in record["zones"]):
        raise InputError(say("found a photo with an outline of less than three points"))
