"""``lab.app``: what starting the app needs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from stainbook.faces.lab_view import LabFace


class AppFace(LabFace):
    """The app on this machine."""

    def free_port(self, port: int, host: str) -> int:
        """The port itself when it is free, any free one for 0."""
        from stainbook.work.app.start_app import free_port

        return free_port(port, host)

    def command(self, port: int, host: str, names: Sequence[str] = ()) -> list[str]:
        """The command line that serves the app."""
        from stainbook.work.app.start_app import app_command

        return app_command(port, host, names)

    def is_loopback(self, host: str) -> bool:
        """Whether only this machine reaches it."""
        from stainbook.work.app.start_app import LOOPBACK

        return host in LOOPBACK

    def new_demo(self) -> Path:
        """A new temporary folder for a demonstration."""
        from stainbook.work.app.demo import new_demo_folder

        return new_demo_folder()

    def fill_demo(self, place: Path) -> tuple[str, Path]:
        """Make the demonstration book and its cases in a folder; gives the book's URL and where the cases are."""
        from stainbook.work.app.demo import make_demo_book, make_demo_folder

        return make_demo_book(place), make_demo_folder(place)

    def readable(self, folder: Path) -> tuple[Path, ...]:
        """The folders that pages may read files in: that of the case files, and what ships."""
        from stainbook.work.app.shipped import shipped

        return folder, shipped("recipes")
