"""Tables of painted layers: chips.csv (what was fired to learn the stains) and recipes.csv (what to predict)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import TypeVar

from stainbook.errors import FileError
from stainbook.files.loaded import Loaded
from stainbook.files.table import Row, format_table, parse_table
from stainbook.files.text import Source, read_text, shown, write_text
from stainbook.language import say
from stainbook.records import CLEAR, CONSISTENCIES, SOAKED_FROM, Chip, Layer, Layers, Pot, Recipe

_A_STAIN = say("a stain or clear")
CHIP_COLUMNS = ("chip", "body", "layer", "stain", "strength", "coats", "firings")
CHIP_OPTIONS = (
    "lot", "operator", "programme", "material", "method", "consistency", "fired_at", "brush", "wait_min", "from",
)  # fmt: skip
RECIPE_COLUMNS = ("recipe", "body", "layer", "stain", "strength", "coats")
RECIPE_OPTIONS = ("lot", "method", "consistency", "brush", "wait_min", "from")
T = TypeVar("T")
_ROUNDING = 1e-9  # shares such as three times 1/3 may add up to a little more than 1


def read_chips(path: Source) -> Loaded[Chip]:
    """Read chips.csv: rows that share chip and layer are one pot, layers count from 1 at the bottom.

    Raises
    ------
    FileError
        For anything malformed: names the file, the row and column, what was found and expected.

    >>> from pathlib import Path
    >>> from stainbook.files import read_chips
    >>> head = "chip,body,layer,stain,strength,coats,firings\\n"
    >>> Path("chips.csv").write_text(head + "husk-1,plate-pale,1,husk,1/4,2,1\\n")
    78
    >>> [(one.chip, one.layers[0].coats) for one in read_chips("chips.csv").records]
    [('husk-1', 2)]
    """
    return _read(path, say("a chips file"), CHIP_COLUMNS, CHIP_OPTIONS, _chip)


def read_recipes(path: Source) -> Loaded[Recipe]:
    """Read recipes.csv: as chips, without firings; raises FileError for anything malformed.

    >>> from pathlib import Path
    >>> from stainbook.files import read_recipes
    >>> Path("recipes.csv").write_text("recipe,body,layer,stain,strength,coats\\nneck,reed,1,husk,1/8,1\\n")
    62
    >>> [one.recipe for one in read_recipes("recipes.csv").records]
    ['neck']
    """
    return _read(path, say("a recipes file"), RECIPE_COLUMNS, RECIPE_OPTIONS, _recipe)


def _read(
    source: Source,
    what: str,
    columns: Sequence[str],
    options: Sequence[str],
    build: Callable[[list[Row]], T],
) -> Loaded[T]:
    path = Path(source)
    table = parse_table(read_text(source, what), path, required=columns)
    pieces: dict[str, list[Row]] = {}
    for row in table.rows:
        pieces.setdefault(row.needed(columns[0]), []).append(row)
    if not pieces:
        raise FileError(path, say("no {key}", key=columns[0]), say("one stain of one layer a row under the header"))
    return Loaded(tuple(map(build, pieces.values())), table.unknown_columns({*columns, *options}))


def _chip(rows: list[Row]) -> Chip:
    return Chip(
        chip=rows[0].needed("chip"),
        body=_needed_of_all(rows, "body", Row.needed),
        layers=_layers(rows, fired=True),
        operator=_of_all(rows, "operator", Row.text),
        programme=_of_all(rows, "programme", Row.text),
        material=_of_all(rows, "material", Row.text),
        fired_at=_of_all(rows, "fired_at", Row.instant),
        source=rows[0].source,
    )


def _recipe(rows: list[Row]) -> Recipe:
    body = _needed_of_all(rows, "body", Row.needed)
    return Recipe(rows[0].needed("recipe"), body, _layers(rows, fired=False), rows[0].source)


def _layers(rows: list[Row], *, fired: bool) -> Layers:
    by_number: dict[int, list[Row]] = {}
    for row in rows:
        by_number.setdefault(row.count("layer"), []).append(row)
    for expected, number in enumerate(sorted(by_number), 1):
        if number != expected:
            raise by_number[number][0].fail(
                "layer", str(number), say("layer {number}: layers count from 1 at the bottom", number=expected)
            )
    return tuple(_layer(by_number[number], fired=fired) for number in sorted(by_number))


def _layer(rows: list[Row], *, fired: bool) -> Layer:
    lots = {row.needed("stain"): lot for row in rows if (lot := row.text("lot"))}
    return Layer(
        pot=_pot(rows),
        coats=_needed_of_all(rows, "coats", Row.count),
        lots=tuple(sorted(lots.items())),
        consistency=_of_all(rows, "consistency", lambda row, column: row.choice(column, CONSISTENCIES)),
        method=_of_all(rows, "method", Row.text),
        firings=_needed_of_all(rows, "firings", _firings) if fired else 1,
        brush=_of_all(rows, "brush", Row.text),
        wait_min=_of_all(rows, "wait_min", Row.positive),
        soaked_from=_of_all(rows, "from", lambda row, column: row.choice(column, SOAKED_FROM)),
    )


def _firings(row: Row, column: str) -> int:
    """What a layer went through; resin stains go through none."""
    return row.count(column, least=0)


def _pot(rows: list[Row]) -> Pot:
    shares: dict[str, float] = {}
    for row in rows:
        stain = row.needed("stain", _A_STAIN)
        if stain in shares:
            raise row.fail("stain", say("{stain} a second time", stain=shown(stain)), say("each stain once in a layer"))
        shares[stain] = row.share("strength")
        if sum(shares.values()) > 1.0 + _ROUNDING:
            raise row.fail(
                "strength",
                say("shares that add up to {total:g}", total=sum(shares.values())),
                say("at most 1 in one layer"),
            )
    return Pot.of(shares)


def _of_all(rows: list[Row], column: str, cell: Callable[[Row, str], T | None]) -> T | None:
    """The one value that the filled cells of some rows agree on, None when all are empty."""
    filled = [(row, value) for row in rows if (value := cell(row, column)) is not None]
    for row, value in filled[1:]:
        if value != filled[0][1]:
            raise row.fail(
                column,
                shown(str(value)),
                say("{word} as in row {line}", word=shown(str(filled[0][1])), line=filled[0][0].line),
            )
    return filled[0][1] if filled else None


def _needed_of_all(rows: list[Row], column: str, cell: Callable[[Row, str], T]) -> T:
    """As `_of_all`, of a column that must be filled in each row; ``cell`` raises when it is not."""
    first = cell(rows[0], column)
    _of_all(rows, column, cell)
    return first


def write_chips(path: Path | str, chips: Iterable[Chip]) -> None:
    """Write chips.csv; raises InputError when it cannot be written.

    >>> from pathlib import Path
    >>> from stainbook.records import Chip, Layer, Pot
    >>> from stainbook.files import write_chips
    >>> one = Chip("husk-1", "plate-pale", (Layer(Pot.of({"husk": 0.25}), 2),))
    >>> write_chips("chips.csv", [one])
    >>> Path("chips.csv").read_text().splitlines()[1].startswith("husk-1,plate-pale,1,husk,0.25,2,1")
    True
    """
    write_text(path, format_chips(chips))


def format_chips(chips: Iterable[Chip]) -> str:
    """Chips as the text of chips.csv.

    >>> from stainbook.records import Chip, Layer, Pot
    >>> format_chips([Chip("husk-1", "plate-pale", (Layer(Pot.of({"husk": 0.25}), 2),))]).splitlines()[1][:28]
    'husk-1,plate-pale,1,husk,0.2'
    """
    rows = [
        _row(chip, layer, number, stain, share) for chip in chips for number, layer, stain, share in _parts(chip.layers)
    ]
    return format_table((*CHIP_COLUMNS, *CHIP_OPTIONS), rows)


def write_recipes(path: Path | str, recipes: Iterable[Recipe]) -> None:
    """Write recipes.csv; raises InputError when it cannot be written.

    >>> from pathlib import Path
    >>> from stainbook.records import Layer, Pot, Recipe
    >>> from stainbook.files import write_recipes
    >>> write_recipes("recipes.csv", [Recipe("neck", "reed", (Layer(Pot.of({"husk": 0.25})),))])
    >>> Path("recipes.csv").read_text().splitlines()[1].startswith("neck,reed,1,husk,0.25,1")
    True
    """
    rows = [
        (recipe.recipe, recipe.body, str(number), stain, repr(share), str(layer.coats), *_layer_options(layer, stain))
        for recipe in recipes
        for number, layer, stain, share in _parts(recipe.layers)
    ]
    write_text(path, format_table((*RECIPE_COLUMNS, *RECIPE_OPTIONS), rows))


def _parts(layers: Layers) -> Iterator[tuple[int, Layer, str, float]]:
    """Each stain of each layer; the clear rest is written only when its jar has a lot, or nothing else is there."""
    for number, layer in enumerate(layers, 1):
        for stain, share in layer.pot.shares:
            yield number, layer, stain, share
        if not layer.pot.shares or (CLEAR in dict(layer.lots) and layer.pot.clear > _ROUNDING):
            yield number, layer, CLEAR, layer.pot.clear


def _row(chip: Chip, layer: Layer, number: int, stain: str, share: float) -> tuple[str, ...]:
    lot, method, consistency, *soaked = _layer_options(layer, stain)
    whose = (
        lot,
        chip.operator or "",
        chip.programme or "",
        chip.material or "",
        method,
        consistency,
        chip.fired_at or "",
        *soaked,
    )
    return (chip.chip, chip.body, str(number), stain, repr(share), str(layer.coats), str(layer.firings), *whose)


def _layer_options(layer: Layer, stain: str) -> tuple[str, ...]:
    wait = "" if layer.wait_min is None else repr(layer.wait_min)
    soaked = layer.brush or "", wait, layer.soaked_from or ""
    return dict(layer.lots).get(stain, ""), layer.method or "", layer.consistency or "", *soaked
