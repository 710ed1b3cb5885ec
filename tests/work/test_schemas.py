"""Documents refuse what their schema forbids."""

import pytest
from pydantic import ValidationError

from stainbook.errors import UnknownNameError
from stainbook.work.documents.json_schemas import schema_of
from stainbook.work.documents.schemas import COMMANDS, ColourResult, ComparedPair, ConvertResult

PAIR = {"sample": "x", "target": "x", "dE00": 1.0, "dL": 1.0, "dC": 0.0, "dH": 0.0, "grade": "within", "u": 0.2}


@pytest.mark.parametrize(
    "change",
    [{"grade": "ok"}, {"dE00": float("nan")}, {"dE00": -1.0}, {"tissue": "bone"}, {"observer": 5}, {"more": 1}],
)
def test_wrong_values_are_refused(change):
    assert ComparedPair.model_validate(PAIR).grade == "within"
    with pytest.raises(ValidationError):
        ComparedPair.model_validate(PAIR | change)


def test_numbers_keep_their_digits():
    value = 0.1 + 0.2
    colour = ColourResult(L=value, a=1 / 3, b=-1e-17, illuminant="D65", observer=10)
    assert ColourResult.model_validate_json(colour.model_dump_json()) == colour


def test_contract_keys_come_first():
    assert list(ConvertResult.model_json_schema()["$defs"]["ConvertedReading"]["properties"])[:4] == [
        "sample", "L", "a", "b",
    ]  # fmt: skip


def test_unknown_commands_are_named():
    with pytest.raises(UnknownNameError, match="convert"):
        schema_of("converts")
    assert all('"$schema"' in schema_of(command) for command in COMMANDS)
