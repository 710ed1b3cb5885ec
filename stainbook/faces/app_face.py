"""``lab.app``: what starting the app needs."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, MutableMapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from stainbook.faces.lab_view import LabFace

if TYPE_CHECKING:
    from socket import socket

    from stainbook.faces.server_types import Gate, ServerSettings
    from stainbook.work.app.at_once import AtOnce
    from stainbook.work.documents.check_schemas import DoctorResult, SelfcheckResult


class AppFace(LabFace):
    """The app on this machine."""

    def listening(self, port: int, host: str) -> socket:
        """Give a socket that listens on a port, on any free one for 0.

        Raises InputError for a port or host that cannot be used.

        >>> with lab.app.listening(0, "127.0.0.1") as found:
        ...     found.getsockname()[1] > 1024
        True
        """
        from stainbook.work.app.start_app import listening

        return listening(port, host)

    def hand_over(self, found: socket, environment: MutableMapping[str, str]) -> None:
        """Let a listening socket outlive this program; the environment tells the one that takes its place.

        >>> environment = {}
        >>> with lab.app.listening(0, "127.0.0.1") as found:
        ...     lab.app.hand_over(found, environment)
        >>> list(environment)
        ['STAINBOOK_LISTENING']
        """
        from stainbook.work.app.start_app import hand_over

        hand_over(found, environment)

    def handed_over(self, environment: MutableMapping[str, str]) -> socket | None:
        """Give the listening socket that was handed over, None where there is none.

        >>> print(lab.app.handed_over({}))
        None
        """
        from stainbook.work.app.start_app import handed_over

        return handed_over(environment)

    def at_once(self, found: socket, hosts: Collection[str]) -> AtOnce:
        """Answer on a listening socket with the page that stands while the app loads.

        hosts : names that browsers may ask for

        >>> with lab.app.listening(0, "127.0.0.1") as found:
        ...     page = lab.app.at_once(found, ["127.0.0.1"])
        ...     page.list_cases(lab.app.in_the_lab())
        ...     page.leave()
        >>> page.now["cases"]
        ['W-1063', 'W-1051', 'W-1042']
        """
        from stainbook.work.app.at_once import AtOnce

        return AtOnce(found, hosts)

    def hosts(self, host: str, names: Sequence[str] = ()) -> list[str]:
        """List the names that browsers may ask for.

        >>> lab.app.hosts("127.0.0.1", ["bench.local"])
        ['localhost', '127.0.0.1', 'bench.local']
        """
        from stainbook.work.app.start_app import allowed_hosts

        return allowed_hosts(host, names)

    def in_the_lab(self, most: int = 12) -> list[str]:
        """List the cases in the lab, the one told of last first; looking makes no book.

        >>> lab.app.in_the_lab(2)
        ['W-1063', 'W-1051']
        """
        from stainbook.work.case.case_list import case_list

        book = self._lab.book_if_there()
        return [] if book is None else case_list(book).newest(out=False)[:most]

    def open_browser(self, url: str) -> bool:
        """Show a page in the browser of whoever sits here; False where there is no screen.

        >>> from unittest.mock import patch
        >>> with patch("webbrowser.open", return_value=True), patch("sys.platform", "darwin"):
        ...     lab.app.open_browser("http://127.0.0.1:8501")
        True
        """
        from stainbook.work.app.start_app import open_browser

        return open_browser(url)

    def check_reach(self, host: str) -> None:
        """Refuse an app without sign-in that other machines reach; raises InputError.

        >>> lab.app.check_reach("127.0.0.1")
        """
        from stainbook.work.app.start_app import check_reach

        check_reach(host)

    def check_server(self, settings: ServerSettings, host: str) -> None:
        """Refuse a lab's server that nobody can sign in to, or that takes passwords in the clear; raises InputError.

        >>> lab.app.check_server(lab.app.server_settings(), "0.0.0.0")  # doctest: +ELLIPSIS
        Traceback (most recent call last):
            ...
        stainbook.errors.InputError: a server that listens on 0.0.0.0 needs hosts = [...] in server.toml: ...
        """
        from stainbook.work.app.accounts import check_lead

        settings.check_reach(host)
        check_lead(settings.accounts)
        self._book.check_apart()

    def prepare_lab(self, name: str, role: str, *, password: str | None = None) -> str:
        """Give a lab a role in this PostgreSQL database that reaches its own rows alone; gives the URL for its app.

        Raises InputError for names that cannot be and for a file, BookError where the owner's rights are missing.

        >>> lab.app.prepare_lab("north", "lab_north")  # doctest: +ELLIPSIS
        Traceback (most recent call last):
            ...
        stainbook.errors.InputError: labs are kept apart on PostgreSQL alone, found the file ...lab.db
        """
        from stainbook.book.labs_apart import prepare_lab

        return prepare_lab(self._lab.url, name, role, password=password).render_as_string()

    def command(
        self, port: int, host: str, names: Sequence[str] = (), settings: ServerSettings | None = None
    ) -> list[str]:
        """Give the command line that serves the app; ``names`` are further host names that browsers may ask for.

        settings : of a lab's server

        >>> command = lab.app.command(8501, "127.0.0.1", ["bench.local"])
        >>> command[command.index("--server.port") + 1], command[-1]
        ('8501', 'bench.local')
        """
        from stainbook.work.app.start_app import app_command

        if settings is None:
            return app_command(port, host, names)
        return app_command(port, host, [*names, *settings.hosts], tls=settings.tls, all_addresses=False)

    def server_settings(self, path: Path | None = None) -> ServerSettings:
        """Give the settings of a lab's server from its ``server.toml``, or those that hold without one.

        Raises FileError for a file that cannot be used.

        >>> lab.app.server_settings().idle_minutes
        30.0
        """
        from stainbook.work.app.server_settings import server_settings

        return server_settings(path)

    def open_gate(self, settings: ServerSettings) -> Gate:
        """Put up the gate at which people sign in to this process's server.

        >>> lab.app.open_gate(lab.app.server_settings()).seen("no token")
        >>> lab.app.shut_gate()
        """
        from stainbook.work.app.sign_in import open_gate

        return open_gate(settings)

    def shut_gate(self) -> None:
        """Take the gate away again: this process serves one person.

        >>> lab.app.shut_gate()
        """
        from stainbook.work.app.sign_in import shut_gate

        shut_gate()

    def gate(self) -> Gate | None:
        """Give the gate of this process; None where nobody need sign in.

        >>> print(lab.app.gate())
        None
        """
        from stainbook.work.app.sign_in import gate

        return gate()

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

    def fill_demo(self, place: Path, tell: Callable[[str], object] | None = None) -> tuple[str, Path]:
        """Make the demonstration book and its cases in a folder; gives the book's URL and where the cases are.

        tell : is told how far it is
        Raises InputError or BookError where the folder cannot take them.

        >>> from pathlib import Path
        >>> Path("demo").mkdir()
        >>> url, cases = lab.app.fill_demo(Path("demo"))
        >>> url.rsplit("/", 1)[-1], sorted(one.name for one in cases.glob("*.yaml"))
        ('lab.db', ['W-1042.yaml', 'W-1051.yaml', 'W-1063.yaml', 'stains.yaml'])
        """
        from stainbook.work.app.demo import make_demo_book, make_demo_folder

        return make_demo_book(place, tell), make_demo_folder(place)

    def work(self, tell: Callable[[str], None], *, patience: float | None = None) -> None:
        """Do searches for the apps of the book until ended: a worker, of which a server's book may have several.

        tell : is told that it began, and each search with its seconds
        patience : seconds without a sign of life after which it counts as dead, and others to it; 30 when None

        Raises InputError for a book in a file, BookError where the book or its queue cannot be opened or is lost.

        >>> lab.app.work(print)  # doctest: +ELLIPSIS
        Traceback (most recent call last):
            ...
        stainbook.errors.InputError: book ...lab.db is a file, expected one on a PostgreSQL server...
        """
        from stainbook.work.app.worker import PATIENCE, run_worker

        run_worker(self._lab.url, tell, patience=patience or PATIENCE)

    def selfcheck(self) -> SelfcheckResult:
        """Compare the program with published values on this machine.

        >>> found = lab.app.selfcheck()
        >>> found.ok, len(found.checks)
        (True, 5)
        """
        from stainbook.work.app.selfcheck import selfcheck

        return selfcheck()

    def doctor(self, *, log: Iterable[str] = ()) -> DoctorResult:
        """Give what a bundle for support holds: nothing that names a case, a person or a place of the lab.

        log : lines of the program's messages, of which codes are taken out

        >>> found = lab.app.doctor(log=["case W-1042 failed"])
        >>> found.book.kind, found.book.ok, found.log
        ('file', True, ['case … failed'])
        """
        from stainbook.work.app.doctor import doctor

        return doctor(self._lab.book_if_there(), log=log)

    def save_doctor(self, found: DoctorResult, path: Path) -> DoctorResult:
        """Write a bundle for support; raises InputError where it cannot be written.

        >>> from pathlib import Path
        >>> lab.app.save_doctor(lab.app.doctor(), Path("support.zip")).bundle
        'support.zip'
        """
        from stainbook.work.app.doctor import save_bundle

        return save_bundle(found, path)

    def readable(self, folder: Path) -> tuple[Path, ...]:
        """Give the folders that pages may read files in: that of the case files, and the shipped one.

        >>> from pathlib import Path
        >>> [one.name for one in lab.app.readable(Path("cases"))]
        ['cases', 'recipes']
        """
        from stainbook.work.app.shipped import shipped

        return folder, shipped("recipes")
