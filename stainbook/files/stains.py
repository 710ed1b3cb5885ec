"""stains.yaml: the jars of the lab."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import yaml

from stainbook.errors import FileError
from stainbook.files.loaded import Loaded
from stainbook.files.text import Source, shown, write_text
from stainbook.files.yaml_nodes import Node, read_yaml
from stainbook.language import say
from stainbook.records import CLEAR, FAMILIES, STAGES, STAIN_FORMS, STAIN_KINDS, STAIN_USES, Stain

KEYS = ("name", "kind", "family", "materials", "stages", "lot", "max_firings", "notes", "system", "form", "use")


def read_stains(path: Source) -> Loaded[Stain]:
    """Read stains.yaml, a list of stains.

    Raises
    ------
    FileError
        For anything malformed: names the file, the row and key, what was found and expected.

    >>> from pathlib import Path
    >>> from stainbook.files import read_stains
    >>> Path("stains.yaml").write_text("- {name: husk, kind: surface, family: brown}\\n")
    45
    >>> [one.name for one in read_stains("stains.yaml").records]
    ['husk']
    """
    root = read_yaml(path, say("a list of stains"))
    stains: dict[str, Stain] = {}
    for node in root.items():
        stain = _stain(node)
        if stain.name in stains:
            raise node.fail(say("the stain {stain} a second time", stain=shown(stain.name)), say("each stain once"))
        stains[stain.name] = stain
    if not stains:
        raise FileError(str(path), say("no stain"), say("a list of stains"))
    return Loaded(tuple(stains.values()))


def write_stains(path: Path | str, stains: Iterable[Stain]) -> None:
    """Write stains.yaml; raises InputError when it cannot be written.

    >>> from pathlib import Path
    >>> from stainbook.records import Stain
    >>> from stainbook.files import write_stains
    >>> write_stains("stains.yaml", [Stain("husk", family="brown")])
    >>> "husk" in Path("stains.yaml").read_text()
    True
    """
    write_text(path, format_stains(stains))


def format_stains(stains: Iterable[Stain]) -> str:
    """Stains as YAML text, one a line group, keys that are not set left out.

    >>> from stainbook.records import Stain
    >>> from stainbook.files import format_stains
    >>> print(format_stains([Stain("husk", family="brown")]).strip())
    - name: husk
      kind: surface
      family: brown
    """
    entries = [{key: _plain(value) for key in KEYS if (value := getattr(stain, key)) is not None} for stain in stains]
    return yaml.safe_dump(entries, allow_unicode=True, sort_keys=False, width=120)


def _plain(value: object) -> object:
    return list(value) if isinstance(value, tuple) else value


def _stain(node: Node) -> Stain:
    keys = node.mapping(KEYS, required=("name",))
    name = keys["name"].text()
    kind = keys["kind"].choice(STAIN_KINDS) if "kind" in keys else CLEAR if name == CLEAR else "surface"
    if name == CLEAR and kind != CLEAR:
        raise keys["kind"].fail(kind, say("clear: the name is kept for the clear glaze"))
    return Stain(
        name=name,
        kind=kind,
        family=keys["family"].choice(FAMILIES) if "family" in keys else None,
        materials=keys["materials"].texts() if "materials" in keys else None,
        stages=_stages(keys["stages"]) if "stages" in keys else None,
        lot=keys["lot"].text() if "lot" in keys else None,
        max_firings=keys["max_firings"].integer(1, 100) if "max_firings" in keys else None,
        notes=keys["notes"].lines() if "notes" in keys else None,
        system=keys["system"].text() if "system" in keys else None,
        form=keys["form"].choice(STAIN_FORMS) if "form" in keys else None,
        use=keys["use"].choice(STAIN_USES) if "use" in keys else None,
    )


def _stages(node: Node) -> tuple[str, ...]:
    words = (node,) if isinstance(node.value, str) else node.items()
    return tuple(word.choice(STAGES) for word in words)
