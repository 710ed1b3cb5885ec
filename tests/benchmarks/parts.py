"""The distributions that an installation without extras holds: their size, licence, and who asks for them."""

from __future__ import annotations

import re
import tomllib
from collections import defaultdict
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from packaging.requirements import Requirement

PROJECT = Path(__file__).parents[2] / "pyproject.toml"


@dataclass(frozen=True)
class Part:
    """One distribution."""

    name: str
    version: str
    megabytes: float  # of its files, bytecode among them where it lies there
    asked_by: tuple[str, ...]
    licence: str


def parts() -> list[Part]:
    """All that this checkout needs here without extras, the heaviest first; what this Python lacks is left out."""
    asked: dict[str, set[str]] = defaultdict(set)
    found: dict[str, metadata.Distribution] = {}
    wanted = [("stainbook", line) for line in tomllib.loads(PROJECT.read_text("utf-8"))["project"]["dependencies"]]
    while wanted:
        asker, line = wanted.pop()
        one = Requirement(line)
        if one.marker is not None and not one.marker.evaluate({"extra": ""}):
            continue
        name = re.sub(r"[-_.]+", "-", one.name).lower()
        asked[name].add(asker)
        if name not in found:
            found[name] = metadata.distribution(name)
            wanted += [(name, line) for line in found[name].requires or ()]
    made = [
        Part(name, one.version, _size(one), tuple(sorted(asked[name])), licence_of(one.metadata))
        for name, one in found.items()
    ]
    return sorted(made, key=lambda part: -part.megabytes)


def _size(one: metadata.Distribution) -> float:
    places = (one.locate_file(file) for file in one.files or ())
    return sum(place.stat().st_size for place in places if place.is_file()) / 1e6  # type: ignore[attr-defined]


def licence_of(told: metadata.PackageMetadata) -> str:
    """The licence in a few words: its expression, else the classifiers, else the first line of its text."""
    classifiers = [c.rpartition(" :: ")[2] for c in told.get_all("Classifier") or () if c.startswith("License ::")]
    text = (told.get("License") or "").strip().splitlines()
    short = text[0] if len(text) == 1 and len(text[0]) < 60 else ""
    return told.get("License-Expression") or short or ", ".join(classifiers) or "not told"
