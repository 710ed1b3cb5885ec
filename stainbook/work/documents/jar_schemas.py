"""What ``stainbook jars`` prints as JSON."""

from __future__ import annotations

from stainbook.work.documents.document_parts import Document, Result


class JarShown(Result):
    """A jar or bottle; ``entered`` is false for a lot that is only named by work, ``cases`` are open ones that mean it.

    ``stripes`` counts those of its stain, ``in_use`` is true for the jar that is meant where nobody names one.
    """

    stain: str
    lot: str
    makers_lot: str | None = None
    opened_on: str | None = None
    run_out_on: str | None = None
    note: str | None = None
    entered: bool = True
    liquid: bool = False
    in_use: bool = False
    stripes: int = 0
    cases: list[str] = []


class JarsResult(Document):
    """``stainbook jars``."""

    jars: list[JarShown]


COMMANDS = {"jars": JarsResult}
