"""The book's content as a workbook for the manager: one sheet a kind, no cell that can turn into a formula."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from stainbook import private
from stainbook.book import Book
from stainbook.kept import LabRecipe, Outcome
from stainbook.records import Layers
from stainbook.work.lab.folder import ExchangeContent
from stainbook.work.lab.numbers import COLUMNS, numbers, table_of
from stainbook.work.lab.things import use_of

_STAINS = ("name", "kind", "family", "lot", "max_firings", "notes")
_FIRED = ("case", "tooth", "zone", "fired_at", "operator", "programme", "material", "returned", "to_target", "accepted")
_RECIPE = ("recipe", "state", "layers", "material", "zone", "programme", "uses", "accepted", "dE00_median", "notes")


def write_workbook(book: Book, content: ExchangeContent, path: Path) -> None:
    """Save stains, recipes with how they did, outcomes and the lab's numbers as a workbook.

    Raises InputError where it cannot be written.
    """
    recipes = [_recipe(book, revisions[-1]) for revisions in content.recipes]
    sheets: list[tuple[str, list[Sequence[object]]]] = [
        ("numbers", [COLUMNS, *table_of(numbers(book))]),
        ("recipes", [_RECIPE, *recipes]),
        ("outcomes", [(*_FIRED, "layers", "L", "a", "b"), *map(_outcome, content.outcomes)]),
        ("stains", [_STAINS, *([getattr(one, name) for name in _STAINS] for one in content.stains)]),
    ]
    save_sheets(sheets, path)


def save_sheets(sheets: Iterable[tuple[str, Sequence[Sequence[object]]]], path: Path) -> None:
    """Save a workbook; raises InputError where it cannot be written."""
    private.write(path, workbook_of(sheets))


def workbook_of(sheets: Iterable[tuple[str, Sequence[Sequence[object]]]]) -> bytes:
    """A workbook of sheets by title, their columns' names first, none of whose cells is a formula."""
    from openpyxl import Workbook

    workbook = Workbook(write_only=False)
    workbook.remove(workbook.active)
    for title, rows in sheets:
        sheet = workbook.create_sheet(title)
        for number, row in enumerate(rows, 1):
            for column, value in enumerate(row, 1):
                _put(sheet.cell(number, column), value)
        sheet.freeze_panes = "A2"
    made = io.BytesIO()
    workbook.save(made)
    return made.getvalue()


def _put(cell: Any, value: object) -> None:
    """A value as it is; text is stored as text, whatever it begins with."""
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

    if not isinstance(value, str):
        cell.value = value
        return
    cell.value = ILLEGAL_CHARACTERS_RE.sub("", value)
    cell.data_type = "s"
    cell.quotePrefix = True


def _recipe(book: Book, recipe: LabRecipe) -> list[object]:
    use, limits = use_of(book, recipe), recipe.conditions
    where = (limits.material, limits.zone, limits.programme)
    did = (use.uses, use.share, use.dE00_median)
    return [recipe.recipe, recipe.state, painted(recipe.layers), *where, *did, recipe.notes]


def _outcome(one: Outcome) -> list[object]:
    lab = one.got.lab if one.got else (None, None, None)
    return [*(getattr(one, name) for name in _FIRED), painted(one.layers), *lab]


def painted(layers: Layers) -> str:
    """Layers in words, bottom first."""
    pots = (", ".join(f"{name} {share:g}" for name, share in layer.pot.shares) or "clear" for layer in layers)
    return "; ".join(f"{layer.coats} x {pot}" for layer, pot in zip(layers, pots, strict=True))
