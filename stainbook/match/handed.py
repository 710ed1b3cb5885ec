"""What of a result a pydantic schema cannot say by itself: arrays go as lists of numbers, a zone's problem as its key.

They stand beside the type, as ``Annotated[Array, AsNumbers()]``; pydantic is loaded by whoever hands over.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from stainbook.optics.two_by_two import Array

MOST_NUMBERS = 100_000  # of one array, many times what a zone has


class AsNumbers:
    """An array (n,) of finite numbers, or of truths, as a list."""

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema

        return core_schema.no_info_plain_validator_function(
            _array, serialization=core_schema.plain_serializer_function_ser_schema(lambda one: one.tolist())
        )


class AsKey:
    """The problem of a zone as the zone's key; taken back, it is the problem of that key in the context."""

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema

        return core_schema.with_info_plain_validator_function(
            _problem, serialization=core_schema.plain_serializer_function_ser_schema(lambda one: list(one.key))
        )


def _array(value: Any) -> Array:
    found = np.asarray(value) if isinstance(value, list) and len(value) <= MOST_NUMBERS else np.empty(())
    if found.ndim != 1 or found.dtype.kind not in "bif" or not np.isfinite(found).all():
        raise ValueError("expected a list of finite numbers")
    return found if found.dtype.kind == "b" else found.astype(np.float64)


def _problem(value: Any, info: Any) -> Any:
    key = tuple(value) if isinstance(value, list) else ()
    if key not in (info.context or {}):
        raise ValueError("expected the key of a zone of the case")
    return info.context[key]
