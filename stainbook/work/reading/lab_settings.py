"""What the lab decided once for all its work, as the book keeps it, and as the work asks for it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from urllib.parse import urlsplit

from stainbook.book import Book
from stainbook.colour import ThresholdSet, threshold_set, thresholds
from stainbook.errors import InputError
from stainbook.kept import Settings
from stainbook.language import say
from stainbook.records import DEFAULT_SHARES, TISSUES, Case, Viewing
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, Asked

SCALE_STEP = 0.01  # g, of a scale that nothing is known of
MOST_STEP = 10.0  # g
MOST_STRENGTHS = 12


def limits_in(book: Book, names: Sequence[str] = ()) -> dict[str, ThresholdSet]:
    """Thresholds by tissue: those named, else the lab's, else the defaults.

    Raises UnknownNameError for an unknown set.
    """
    chosen = {tissue: thresholds(tissue) for tissue in TISSUES}
    lab = {one.tissue: one for one in map(threshold_set, book.settings().thresholds)}
    return chosen | lab | {one.tissue: one for one in map(threshold_set, names)}


def limits_of(book: Book | None) -> dict[str, ThresholdSet]:
    """The lab's thresholds by tissue, the defaults where it has no book yet."""
    return {tissue: thresholds(tissue) for tissue in TISSUES} if book is None else limits_in(book)


A_HOST = say("one that other devices reach, such as http://bench.local:8501")
_NAME = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9.-]{0,251}[A-Za-z0-9])?|[0-9a-fA-F:]{2,45}")
_UNDER = re.compile(r"(?:/[A-Za-z0-9._~-]+)*")


def host_of(text: str) -> str:
    """Where other devices reach the app, as it stands in addresses: scheme, name, port, and what the app is under.

    Raises InputError for what is no address, and for one of this machine alone, which no phone can open.

    >>> host_of("bench.local:8501/")
    'http://bench.local:8501'
    """
    typed = text.strip()
    wrong = say("found the address {host!r}, expected {expected}", host=text.strip()[:80], expected=A_HOST)
    try:
        parts = urlsplit(typed if "://" in typed else f"http://{typed}")
        name, port, under = parts.hostname or "", parts.port, parts.path.rstrip("/")
    except ValueError as error:
        raise InputError(wrong) from error
    odd = parts.username is not None or parts.password is not None or parts.query or parts.fragment
    if parts.scheme not in ("http", "https") or odd or not _NAME.fullmatch(name) or not _UNDER.fullmatch(under):
        raise InputError(wrong)
    if name in ("localhost", "::1", "0.0.0.0", "::") or name.startswith("127."):
        raise InputError(
            say("found {host}, which is this machine alone, expected {expected}", host=name, expected=A_HOST)
        )
    shown = f"[{name}]" if ":" in name else name
    return f"{parts.scheme}://{shown}{f':{port}' if port else ''}{under}"


def check_settings(found: Settings) -> None:
    """See that the work can go by some settings; raises UnknownNameError or InputError for what is none."""
    for name in found.thresholds:
        threshold_set(name)
    if found.viewing is not None:
        Asked(found.viewing.illuminant, found.viewing.observer)
    wrong = [share for share in found.strengths if not 0.0 < share <= 1.0]
    if wrong or len(found.strengths) > MOST_STRENGTHS:
        raise InputError(
            say(
                "found {n} strengths, expected {most} at most, of 0 to 1",
                n=len(found.strengths),
                most=MOST_STRENGTHS,
            )
        )
    if found.host is not None and host_of(found.host) != found.host:
        raise InputError(say("found the address {host!r}, expected {expected}", host=found.host, expected=A_HOST))
    if found.scale_step is not None and not 0.0 < found.scale_step <= MOST_STEP:
        raise InputError(
            say(
                "found a step of {found:g} g, expected above 0 and at most {most:g}",
                found=found.scale_step,
                most=MOST_STEP,
            )
        )


def viewing_in(book: Book) -> Viewing:
    """The light and observer of spectra that are compared with spectra."""
    return book.settings().viewing or SPECTRA_SEEN_UNDER


def scale_step_in(book: Book) -> float:
    """The step of the lab's scale, in grams."""
    return book.settings().scale_step or SCALE_STEP


def with_strengths(case: Case, settings: Settings) -> Case:
    """The case with the shares that the lab mixes, unless it names its own."""
    if not settings.strengths or case.limits.strengths != DEFAULT_SHARES:
        return case
    return replace(case, limits=replace(case.limits, strengths=settings.strengths))


def with_apprentice(case: Case, settings: Settings, hand: str | None) -> Case:
    """The case with a layer and a coat fewer and without its strongest share, where an apprentice's hand is meant."""
    if not is_apprentice(settings, hand):
        return case
    now, later = case.limits, case.limits.later
    if later is not None:
        strengths = _weaker(later.strengths)
        later = replace(later, layers=_fewer(later.layers), coats=_fewer(later.coats), strengths=strengths)
    limits = replace(
        now,
        layers=max(1, now.layers - 1),
        coats=max(1, now.coats - 1),
        strengths=_weaker(now.strengths) or now.strengths,
        later=later,
    )
    return replace(case, limits=limits)


def is_apprentice(settings: Settings, hand: str | None) -> bool:
    """Whether somebody paints as an apprentice."""
    return hand is not None and hand in (settings.apprentices or ())


def _fewer(count: int | None) -> int | None:
    return None if count is None else max(1, count - 1)


def _weaker(strengths: tuple[float, ...] | None) -> tuple[float, ...] | None:
    """Strengths without the strongest, where there are several."""
    shares = tuple(sorted(strengths or ()))
    return shares[:-1] or strengths
