"""What ``stainbook label`` prints as JSON."""

from __future__ import annotations

from stainbook.work.documents.document_parts import Document


class LabelResult(Document):
    """``stainbook label``; ``address`` is what its QR code opens, null where no address is set."""

    case: str
    file: str
    address: str | None = None


COMMANDS = {"label": LabelResult}
