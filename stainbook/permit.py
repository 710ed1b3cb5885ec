"""What somebody may do in the lab's book: a reader looks, a technician works, a lead also decides."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from stainbook.errors import InputError, NotAllowedError
from stainbook.language import joined, say

READER, TECHNICIAN, LEAD = "reader", "technician", "lead"
ROLES = (READER, TECHNICIAN, LEAD)  # each may do what those before it may
ROLE_WORDS = {READER: say("reader"), TECHNICIAN: say("technician"), LEAD: say("lead")}


@dataclass(frozen=True, slots=True)
class Permit:
    """A role; ``told`` hears what is handed out and erased: the deed, and what it was done to."""

    role: str
    told: Callable[[str, str], None] | None = None

    def allows(self, role: str) -> bool:
        """Whether who has this may do what needs a role.

        >>> Permit("technician").allows("reader"), Permit("technician").allows("lead")
        (True, False)
        """
        return ROLES.index(self.role) >= ROLES.index(role)

    def need(self, role: str) -> None:
        """Raise NotAllowedError for what needs more than this.

        >>> Permit("reader").need("technician")
        Traceback (most recent call last):
            ...
        stainbook.errors.NotAllowedError: a reader may look and change nothing: ask a lead for another role
        """
        if not self.allows(role):
            raise NotAllowedError(refusal(self.role))

    def tell(self, deed: str, about: str = "") -> None:
        """Note a deed where somebody listens."""
        if self.told is not None:
            self.told(deed, about)


def refusal(role: str) -> str:
    """Why somebody of a role cannot do what was asked, and what to do."""
    if role == READER:
        return say("a reader may look and change nothing: ask a lead for another role")
    return say("a lead alone may do this: ask one")


def known_role(name: str) -> str:
    """A role by its name; raises InputError for another.

    >>> known_role("lead")
    'lead'
    """
    if name not in ROLES:
        raise InputError(say("found the role {name!r}, expected one of {known}", name=name, known=joined(ROLES)))
    return name
