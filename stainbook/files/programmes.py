"""programmes.yaml: the firing programmes of the lab, as their makers' sheets have them; nothing is ever filled in."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import yaml

from stainbook.apparatus import Programme
from stainbook.errors import FileError
from stainbook.files.loaded import Loaded
from stainbook.files.text import shown, write_text
from stainbook.files.yaml_nodes import Node, read_yaml
from stainbook.language import say

_TEXTS = ("programme", "furnace", "vacuum", "cooling", "source_sheet", "notes")
# What a furnace can be set to, so that a slip of a digit is told; no advice.
_NUMBERS = {
    "drying_min": (0.0, 240.0),
    "start_c": (0.0, 1700.0),
    "rate_c_per_min": (0.1, 500.0),
    "final_c": (100.0, 1700.0),
    "hold_min": (0.0, 600.0),
    "minutes": (1.0, 3000.0),
}
KEYS = ("programme", "furnace", *_NUMBERS, "vacuum", "cooling", "source_sheet", "notes")


def read_programmes(path: Path | str) -> Loaded[Programme]:
    """Read programmes.yaml, a list of programmes; temperatures in °C, times in minutes.

    Raises
    ------
    FileError
        For anything malformed: names the file, the row and key, what was found and expected.

    >>> from pathlib import Path
    >>> from stainbook.files import read_programmes
    >>> Path("programmes.yaml").write_text("- {programme: stain, final_c: 770, minutes: 24}\\n")
    48
    >>> read_programmes("programmes.yaml").records[0].minutes
    24.0
    """
    programmes: dict[str, Programme] = {}
    for node in read_yaml(path, say("a list of firing programmes")).items():
        one = _programme(node)
        if one.programme in programmes:
            raise node.fail(
                say("the programme {programme} a second time", programme=shown(one.programme)),
                say("each programme once"),
            )
        programmes[one.programme] = one
    if not programmes:
        raise FileError(path, say("no programme"), say("a list of firing programmes"))
    return Loaded(tuple(programmes.values()))


def write_programmes(path: Path | str, programmes: Iterable[Programme]) -> None:
    """Write programmes.yaml; raises InputError when it cannot be written.

    >>> from pathlib import Path
    >>> from stainbook.apparatus import Programme
    >>> from stainbook.files import write_programmes
    >>> write_programmes("programmes.yaml", [Programme("stain", minutes=24.0)])
    >>> "stain" in Path("programmes.yaml").read_text()
    True
    """
    entries = [{key: value for key in KEYS if (value := getattr(one, key)) is not None} for one in programmes]
    write_text(path, yaml.safe_dump(entries, allow_unicode=True, sort_keys=False, width=120))


def _programme(node: Node) -> Programme:
    keys = node.mapping(KEYS, required=("programme",))
    texts = {name: keys[name].text() for name in _TEXTS if name in keys and name != "programme"}
    numbers = {name: keys[name].number(*limits) for name, limits in _NUMBERS.items() if name in keys}
    one = Programme(keys["programme"].text(), **texts, **numbers)  # type: ignore[arg-type]  # names are the fields'
    if one.start_c is not None and one.final_c is not None and one.start_c > one.final_c:
        raise keys["start_c"].fail(
            say("{start_c:g} °C", start_c=one.start_c), say("at most final_c, {final_c:g} °C", final_c=one.final_c)
        )
    return one
