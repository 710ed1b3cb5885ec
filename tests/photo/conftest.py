"""Scenes that several tests read, each rendered once."""

from __future__ import annotations

import pytest

from tests.worlds.photo_scenes import NONE, Scene, render


@pytest.fixture(scope="session")
def scene() -> Scene:
    """One scene of the testing family with all faults."""
    return render(4, "test")


@pytest.fixture(scope="session")
def clean() -> Scene:
    """A scene without faults."""
    return render(7, "test", faults=NONE)
