"""Matrices of two rows and two columns whose four elements are arrays: fast, without copies.

A matrix is the tuple ``(a, b, c, d)`` of its elements row by row; each element is an array of any
shape, and all broadcast together.
"""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Mat2: TypeAlias = tuple[Any, Any, Any, Any]

IDENTITY: Mat2 = (1.0, 0.0, 0.0, 1.0)


def diagonal(a: Any, d: Any) -> Mat2:
    """The matrix with ``a`` and ``d`` on its diagonal."""
    return a, 0.0, 0.0, d


def add(x: Mat2, y: Mat2) -> Mat2:
    """x + y."""
    return x[0] + y[0], x[1] + y[1], x[2] + y[2], x[3] + y[3]


def sub(x: Mat2, y: Mat2) -> Mat2:
    """x - y."""
    return x[0] - y[0], x[1] - y[1], x[2] - y[2], x[3] - y[3]


def mul(x: Mat2, y: Mat2) -> Mat2:
    """The matrix product x y."""
    a, b, c, d = x
    e, f, g, h = y
    return a * e + b * g, a * f + b * h, c * e + d * g, c * f + d * h


def inverse(x: Mat2) -> Mat2:
    """The inverse; the caller sees to it that the determinant is not 0."""
    a, b, c, d = x
    r = 1.0 / (a * d - b * c)
    return d * r, -b * r, -c * r, a * r


def apply(x: Mat2, v: tuple[Any, Any]) -> tuple[Any, Any]:
    """The product of a matrix and a column."""
    return x[0] * v[0] + x[1] * v[1], x[2] * v[0] + x[3] * v[1]
