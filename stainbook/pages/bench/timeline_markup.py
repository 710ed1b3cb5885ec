"""Entries of a timeline as markup: when, what, who, and zone by zone what was painted, expected and read."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.faces.timeline_types import TimelineEntry, TimelineZone
from stainbook.faces.view_types import difference
from stainbook.language import joined, say
from stainbook.pages.bench import timeline_texts as words
from stainbook.pages.shell import wording
from stainbook.pages.widgets.swatches import Patch, small
from stainbook.words.escaping import escape

FEW = 6  # zones of an entry that are shown at once; more are unfolded


def entries_markup(entries: Sequence[TimelineEntry]) -> str:
    """The entries in their order, as a list."""
    return f'<ol class="timeline">{"".join(map(_entry, entries))}</ol>'


def _entry(one: TimelineEntry) -> str:
    who = f" <small>{escape(one.who)}</small>" if one.who else ""
    note = f'<p class="told">{escape(one.note)}</p>' if one.note else ""
    told = [zone for zone in one.zones if zone.painted or zone.expected or zone.got]
    names = "" if told or not one.zones else f"<p>{escape(joined(zone.zone for zone in one.zones))}</p>"
    zones = f"<ul>{''.join(map(_zone, told))}</ul>" if told else ""
    if len(told) > FEW:
        first = escape(joined(zone.zone for zone in told[:FEW]))
        zones = f"<details><summary>{first} …</summary>{zones}</details>"
    return (
        f'<li><time datetime="{escape(one.at)}">{escape(wording.moment(one.at))}</time>'
        f"<div><b>{escape(one.what)}</b>{who}{note}{names}{zones}</div></li>"
    )


def _zone(zone: TimelineZone) -> str:
    both = zone.expected is not None and zone.got is not None
    pair = [Patch(words.EXPECTED, zone.expected), Patch(words.GOT, zone.got)] if both else []
    said = _said(zone)
    lines = "".join(f"<span>{escape(line)}</span>" for line in (zone.painted, said) if line)
    return f"<li>{small(pair) if pair else ''}<div><b>{escape(zone.zone)}</b>{lines}</div></li>"


def _said(zone: TimelineZone) -> str:
    """What was expected and read of a zone, and how far the two are apart."""
    apart, expected, got = difference(zone.expected, zone.got), wording.lab(zone.expected), wording.lab(zone.got)
    if zone.got is None and zone.expected is None:
        return ""
    if zone.got is None:
        said = say("expected {expected}; not read", expected=expected)
    elif apart is None:
        said = say("read {got}", got=got)
    else:
        tenths = wording.one_decimal(apart)
        said = say("expected {expected}; read {got}; ΔE00 {apart} apart", expected=expected, got=got, apart=tenths)
    if zone.to_target is None:
        return said
    return say("{said}; ΔE00 {apart} from the target", said=said, apart=wording.one_decimal(zone.to_target))
