"""Documents of the checks that anyone can run: of the program against published values, and of an installation."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from stainbook.work.documents.document_parts import Document, Result, Sentence


class SelfCheck(Result):
    """One check: how many values it compared, the largest difference, what is allowed, and where they are from."""

    check: Sentence
    values: Annotated[int, Field(ge=1)]
    largest: Annotated[float, Field(ge=0.0)]
    allowed: Annotated[float, Field(gt=0.0)]
    ok: bool
    source: Sentence


class SelfcheckResult(Document):
    """``stainbook selfcheck``."""

    ok: bool
    version: str
    seconds: Annotated[float, Field(ge=0.0)]
    checks: list[SelfCheck]


class BookHealth(Result):
    """A book without anything that it says: its kind, size, counts, and whether it is as it was stored."""

    kind: str  # file, server, none
    bytes: int | None = None
    records: dict[str, int] = {}
    ok: bool | None = None
    faults: int | None = None


class DoctorResult(Document):
    """``stainbook doctor``: what a bundle for support holds; no code, name, note or path of the lab is in it."""

    versions: dict[str, str]
    machine: dict[str, str]
    places: dict[str, str]
    book: BookHealth
    settings: dict[str, str]
    log: list[str] = []
    bundle: str | None = None


COMMANDS: dict[str, type[Document]] = {"selfcheck": SelfcheckResult, "doctor": DoctorResult}
