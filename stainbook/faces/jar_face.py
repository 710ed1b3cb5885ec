"""``lab.stains.jars``: jars and bottles, opened and run out, and which open cases each concerns."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from stainbook.apparatus import Jar
from stainbook.faces.lab_view import LabFace
from stainbook.work.documents.jar_schemas import JarsResult
from stainbook.work.lab import jar_stock


class JarsFace(LabFace):
    """The jars of the lab."""

    def all(self) -> JarsResult:
        """List the jars that were entered, then lots that only work names.

        >>> jar = lab.stains.jars.all().jars[1]
        >>> jar.stain, jar.lot, jar.entered, jar.cases
        ('barley', '24-108', False, [])
        """
        return self._kept("all", lambda: jar_stock.shown(self._book, known=self._in_the_lab()))

    def known(self) -> dict[str, list[str]]:
        """Give the lots of each stain that may be chosen: none that ran out.

        >>> lab.stains.jars.known()["kettle"]
        ['24-129']
        """
        return self._kept("known", lambda: jar_stock.known_lots(self._book))

    def unknown(self, pairs: Iterable[tuple[str, str]]) -> list[str]:
        """List the jars, by stain and lot, that the book does not know: to be asked about before they are stored.

        >>> lab.stains.jars.unknown([("kettle", "99-1")])
        ['kettle: 99-1']
        """
        return jar_stock.unknown_jars(self._book, pairs)

    def load(self, path: Path) -> JarsResult:
        r"""Store the jars of a file.

        Raises FileError for one that cannot be used, UnknownNameError for an unknown stain.

        >>> from pathlib import Path
        >>> _ = Path("jars.csv").write_text("stain,lot\nbarley,27-1\n")
        >>> lab.stains.jars.load(Path("jars.csv")).jars[0].lot
        '27-1'
        """
        return jar_stock.load_jars(self._book, path)

    def today(self) -> str:
        """Give the day by the clock on the wall, ISO 8601.

        >>> len(lab.stains.jars.today())
        10
        """
        return jar_stock.today()

    def keep(self, jar: Jar) -> JarsResult:
        """Enter a jar, or say more of it; what is not said again stays.

        Raises InputError for one without a name, days that are none, and one that ran out before it was opened.

        >>> from stainbook.apparatus import Jar
        >>> lab.stains.jars.keep(Jar("barley", "27-1", opened_on="2026-03-02")).jars[0].opened_on
        '2026-03-02'
        """
        return jar_stock.keep_jar(self._book, jar)

    def run_out(self, stain: str, lot: str, *, on: str | None = None) -> JarsResult:
        """Note that a jar is empty, by default today; raises as `keep` does.

        >>> lab.stains.jars.run_out("barley", "27-1", on="2026-03-09").jars[0].run_out_on
        '2026-03-09'
        """
        return jar_stock.run_out(self._book, stain, lot, on=on)

    def not_run_out(self, stain: str, lot: str) -> JarsResult:
        """Undo that a jar ran out; raises InputError for one that did not.

        >>> jars = lab.stains.jars
        >>> _ = jars.run_out("barley", "27-1", on="2026-03-09")
        >>> jars.not_run_out("barley", "27-1").jars[0].run_out_on is None
        True
        """
        return jar_stock.not_run_out(self._book, stain, lot)
