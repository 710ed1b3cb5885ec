"""``lab.app``: what starting the app needs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from stainbook.faces.lab_view import LabFace


class AppFace(LabFace):
    """The app on this machine."""

    def free_port(self, port: int, host: str) -> int:
        """Give the port itself when it is free, any free one for 0.

        Raises InputError for a port or host that cannot be used.

        >>> lab.app.free_port(0, "127.0.0.1") > 1024
        True
        """
        from stainbook.work.app.start_app import free_port

        return free_port(port, host)

    def command(self, port: int, host: str, names: Sequence[str] = ()) -> list[str]:
        """Give the command line that serves the app; ``names`` are further host names that browsers may ask for.

        >>> command = lab.app.command(8501, "127.0.0.1", ["bench.local"])
        >>> command[command.index("--server.port") + 1], command[-1]
        ('8501', 'bench.local')
        """
        from stainbook.work.app.start_app import app_command

        return app_command(port, host, names)

    def is_loopback(self, host: str) -> bool:
        """Tell whether only this machine reaches a host.

        >>> lab.app.is_loopback("localhost"), lab.app.is_loopback("0.0.0.0")
        (True, False)
        """
        from stainbook.work.app.start_app import LOOPBACK

        return host in LOOPBACK

    def new_demo(self) -> Path:
        """Make a new temporary folder for a demonstration.

        >>> folder = lab.app.new_demo()
        >>> folder.name[:15], list(folder.iterdir())
        ('stainbook-demo-', [])
        """
        from stainbook.work.app.demo import new_demo_folder

        return new_demo_folder()

    def fill_demo(self, place: Path) -> tuple[str, Path]:
        """Make the demonstration book and its cases in a folder; gives the book's URL and where the cases are.

        Raises InputError or BookError where the folder cannot take them.

        >>> from pathlib import Path
        >>> Path("demo").mkdir()
        >>> url, cases = lab.app.fill_demo(Path("demo"))
        >>> url.rsplit("/", 1)[-1], sorted(one.name for one in cases.glob("*.yaml"))
        ('lab.db', ['W-1042.yaml', 'W-1051.yaml', 'W-1063.yaml', 'stains.yaml'])
        """
        from stainbook.work.app.demo import make_demo_book, make_demo_folder

        return make_demo_book(place), make_demo_folder(place)

    def readable(self, folder: Path) -> tuple[Path, ...]:
        """Give the folders that pages may read files in: that of the case files, and the shipped one.

        >>> from pathlib import Path
        >>> [one.name for one in lab.app.readable(Path("cases"))]
        ['cases', 'recipes']
        """
        from stainbook.work.app.shipped import shipped

        return folder, shipped("recipes")
