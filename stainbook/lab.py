"""``Lab``: the one object that commands, pages and notebooks talk to, and nothing below it.

Five lines calibrate, predict and advise; the demonstration lab's files are simulated:

>>> import stainbook
>>> lab = stainbook.Lab.open("lab.db")
>>> lab.calibrate("recipes/chips.csv", "recipes/readings.csv",
...               stains="recipes/stains.yaml", bodies="recipes/bodies.csv")
16 stains learnt from stripes, their stripes described to ΔE00 0.3
>>> lab.predict({"barley": 1 / 8}, coats=2, on="plate-pale")
L* 85.2, a* -2.1, b* 5.7 (D65/10°), 9 in 10 within ΔE00 1.1
>>> lab.case("recipes/W-1051.yaml").advise()
11 cervical: stain it: 1 coat of (1 part plover + 1 part pollen + 2 parts clear), then ΔE00 1.1 (0.3 to 2.1)
11 middle: stain it: 1 coat of (1 part barley + 2 parts plover + 5 parts clear), then ΔE00 0.8 (0.2 to 1.8)
11 incisal: stain it: 1 coat of (1 part moss + 2 parts plover + 5 parts clear), then ΔE00 0.9 (0.3 to 1.8)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stainbook.faces.app_face import AppFace
from stainbook.faces.case_face import CaseFace, advised, planned
from stainbook.faces.lab_store import close_all
from stainbook.faces.lab_view import LabView, url_of
from stainbook.faces.notebook_results import CasePlan, FoundBefore, LearntStains, NextSteps, Prediction, Recorded
from stainbook.faces.notebook_tables import Brought, layers_of, reading_of, source_of
from stainbook.faces.reading_face import ReadingsFace
from stainbook.faces.shelf_face import ShelfFace
from stainbook.language import say

if TYPE_CHECKING:
    from stainbook.faces.account_face import AccountsFace
    from stainbook.faces.cases_face import CasesFace
    from stainbook.faces.exchange_face import ExchangeFace
    from stainbook.faces.number_face import NumbersFace
    from stainbook.faces.photo_face import PhotoFace
    from stainbook.faces.recipe_face import RecipesFace
    from stainbook.faces.setting_face import SettingsFace
    from stainbook.faces.stain_face import StainsFace
    from stainbook.faces.tray_face import TrayFace
    from stainbook.records import Reading
    from stainbook.work.case.case_plan import PlanAsked
    from stainbook.work.case.problems import AdviceAsked
    from stainbook.work.documents.book_schemas import RecordResult
    from stainbook.work.documents.plan_schemas import TrayResult
    from stainbook.work.documents.schemas import AdviseResult
    from stainbook.work.reading.viewing_conditions import Asked
    from stainbook.work.stains.predict import Meant

__all__ = ["CasePlan", "FoundBefore", "Lab", "LabCase", "LearntStains", "NextSteps", "Prediction", "Recorded"]


class LabCase(CaseFace):
    """A case as a notebook asks for it; commands and pages use the methods that it inherits."""

    def advise(self, wish: AdviceAsked | None = None) -> NextSteps:
        """Give where each zone stands, and its next steps in order, each with its chance.

        wish : shares, limits and light other than the case's own
        Raises InputError for a case that cannot be used or a lab without calibrated stains.

        >>> lab.case("W-1051").advise().zones[11, "middle"].moves[0].layers[0].pot
        {'barley': 0.5, 'garnet': 0.125}
        """
        return NextSteps(self.advised(wish))

    def plan(self, *, mixes: int | None = None) -> CasePlan:
        """Give one set of few mixes for the whole case in one firing.

        mixes : how many at most; None: as the case says
        Raises InputError as `advise` does.

        >>> lab.case("W-1051").plan(mixes=2).mixes
        {'Y': {'kettle': 0.25, 'moss': 0.5}, 'J': {'garnet': 0.125, 'pollen': 0.5}}
        """
        from stainbook.work.case.case_plan import PlanAsked

        return CasePlan(self.planned(PlanAsked(most=mixes)))


class Lab(LabView):
    """A light view of a lab's book, for one author, role, laboratory and language; threads may share it.

    All views of one place share one open book and what was worked out from it; nothing is opened before it is asked.

    The examples of `Lab` and of its faces run in a folder that ``lab.app.fill_demo`` filled with the demonstration lab
    (simulated); its ``photo`` is the picture of the examples of `stainbook.photo`. Their ``lab`` is:

    >>> lab = Lab.open("lab.db", author="bench-1")
    >>> lab.cases.listed().offered()
    ['W-1042', 'W-1051', 'W-1063']
    """

    @classmethod
    def open(
        cls,
        url_or_path: str | Path | None = None,
        *,
        author: str | None = None,
        role: str | None = None,
        laboratory: str = "",
        language: str = "en",
    ) -> Lab:
        """Give a view of a book; the book is made at its first use.

        url_or_path : a SQLite file or a database URL; None: STAINBOOK_BOOK, else a file in the user's data folder
        author : by whose name things are stored; STAINBOOK_AUTHOR's, else "the lab", when None
        role : reader, technician or lead, by which the book is guarded; laboratory : whose cases, where labs share one

        >>> with Lab.open("new.db", author="bench-1", laboratory="north") as new:
        ...     new.author, new.laboratory
        ('bench-1', 'north')
        """
        return cls(url_of(url_or_path), author=author, role=role, laboratory=laboratory, language=language)

    def __enter__(self) -> Lab:
        return self

    def __repr__(self) -> str:
        from stainbook.book.location import locate, shown

        return f"<Lab {', '.join(filter(None, (shown(locate(self.url)), self.author, self.laboratory)))}>"

    @staticmethod
    def close_all() -> None:
        """Close every book that this process opened through `Lab`.

        >>> Lab.close_all()
        >>> lab.newest() > 0  # the next use opens the book again
        True
        """
        close_all()

    # ------------------------------------------------------------ faces

    @property
    def cases(self) -> CasesFace:
        """All cases: listed, how each stands, brought in, made.

        >>> lab.cases.listed().newest(out=False)
        ['W-1063', 'W-1051', 'W-1042']
        """
        from stainbook.faces.cases_face import CasesFace

        return CasesFace(self)

    @property
    def readings(self) -> ReadingsFace:
        """Readings converted, compared and taken in; instruments and guides.

        >>> lab.readings.guide().zones[0].tab
        'oat-pale'
        """
        return ReadingsFace(self)

    @property
    def stains(self) -> StainsFace:
        """Stripes learnt from, layers predicted, plates planned.

        >>> len(lab.stains.rows())
        17
        """
        from stainbook.faces.stain_face import StainsFace

        return StainsFace(self)

    @property
    def recipes(self) -> RecipesFace:
        """What was done last time and the lab's recipes.

        >>> sorted(lab.recipes.conditions()["zone"])[:2]
        ['attached', 'cervical']
        """
        from stainbook.faces.recipe_face import RecipesFace

        return RecipesFace(self)

    @property
    def photo(self) -> PhotoFace:
        """Pictures to the colours of their zones.

        >>> lab.photo.fired_at("W-0971")
        '2026-02-03T16:05:00Z'
        """
        from stainbook.faces.photo_face import PhotoFace

        return PhotoFace(self)

    @property
    def exchange(self) -> ExchangeFace:
        """The book handed on and taken in.

        >>> lab.exchange.packed_case("W-0971")[:2]  # a zip archive
        b'PK'
        """
        from stainbook.faces.exchange_face import ExchangeFace

        return ExchangeFace(self)

    @property
    def settings(self) -> SettingsFace:
        """What the lab decided once.

        >>> lab.settings.scale_step()
        0.01
        """
        from stainbook.faces.setting_face import SettingsFace

        return SettingsFace(self)

    @property
    def numbers(self) -> NumbersFace:
        """First firings that reached the target, returns, minutes.

        >>> lab.numbers.of().rows[0].cases
        6
        """
        from stainbook.faces.number_face import NumbersFace

        return NumbersFace(self)

    @property
    def shelf(self) -> ShelfFace:
        """What the book holds, by name.

        >>> lab.shelf.list().counts["recipe"]
        7
        """
        return ShelfFace(self)

    @property
    def tray(self) -> TrayFace:
        """Several pieces in one firing.

        >>> lab.tray.in_furnace()
        ()
        """
        from stainbook.faces.tray_face import TrayFace

        return TrayFace(self)

    @property
    def app(self) -> AppFace:
        """What starting the app needs.

        >>> lab.app.is_loopback("127.0.0.1")
        True
        """
        return AppFace(self)

    def accounts(self, path: str | Path | None = None) -> AccountsFace:
        """Give who may sign in at the server; path : None: STAINBOOK_ACCOUNTS's file, else the user's data folder's.

        >>> lab.accounts("accounts.db").log().log
        []
        """
        from stainbook.faces.account_face import AccountsFace

        return AccountsFace(self, path)

    def case(self, what: str | Path) -> LabCase:
        """Give a case by its code in the book, or by its file; neither is read before it is asked.

        >>> lab.case("W-1051")
        <case W-1051>
        """
        return LabCase(self, what)

    # ------------------------------------------------------------ whole cases and firings

    def planned(
        self, cases: Sequence[str | Path], wish: PlanAsked | None = None, *, html: Path | None = None
    ) -> TrayResult:
        """Plan several cases for one firing with one set of mixes.

        wish : at most how many mixes and more; html : where to save the plan as a page to print
        Raises InputError for cases that cannot be used or that cannot share a firing.

        >>> tray = lab.planned(["W-1051"])
        >>> [case.case for case in tray.cases], [pot.id for pot in tray.pots]
        (['W-1051'], ['Y', 'J'])
        """
        return planned(self, cases, wish, html=html)

    def advised(self, cases: Sequence[str | Path], wish: AdviceAsked | None = None) -> AdviseResult:
        """Give the next steps of several cases, each zone with its chance.

        Raises InputError for a case that cannot be used.

        >>> [case.zones[0].verdict for case in lab.advised(["W-1051"]).cases]
        ['stain']
        """
        return advised(self, cases, wish)

    def recorded(
        self,
        outcomes: Sequence[Path],
        asked: Asked | None = None,
        *,
        because: str | None = None,
        shadow: bool | None = None,
    ) -> RecordResult:
        """Store what was fired and what came out, from outcome files, and learn from it.

        because : why the report replaces an earlier one of the same firing
        Raises FileError for a file that cannot be read, InputError for a report that does not fit the case.

        >>> from pathlib import Path
        >>> again = lab.recorded([Path("recipes/finished/firings/W-0971-1.yaml")])
        >>> again.stored, len(again.outcomes)
        (False, 6)
        """
        from stainbook.work.firing.record import record_files

        return record_files(self.book, outcomes, asked, because=because, shadow=shadow)

    # ------------------------------------------------------------ notebooks

    def calibrate(
        self, chips: Brought, readings: Brought, *, stains: Brought = None, bodies: Brought = None
    ) -> LearntStains:
        """Learn the stains from fired stripes.

        chips, readings, stains, bodies : paths or data frames; of readings also L*, a*, b* or 31 reflectances by sample
        Raises InputError for tables that cannot be used; then nothing is stored.

        >>> import pandas as pd
        >>> chips = pd.read_csv("recipes/chips.csv").query("stain in ['clear', 'barley']")
        >>> with Lab.open("new.db") as new:
        ...     new.calibrate(chips, "recipes/readings.csv", bodies="recipes/bodies.csv")
        2 stains learnt from stripes, their stripes described to ΔE00 0.6
        """
        from stainbook.work.stains.stain_calibration import ChipFiles

        more = [None if one is None else source_of(one, name) for one, name in ((stains, "stains"), (bodies, "bodies"))]
        files = ChipFiles(source_of(chips, "chips"), source_of(readings, "readings"), *more)
        return LearntStains(self.stains.calibrate(files))

    def predict(
        self,
        layers: Mapping[str, float] | Sequence[tuple[Mapping[str, float], int]],
        *,
        on: str | Sequence[float],
        coats: int = 1,
        asked: Asked | None = None,
        meant: Meant | None = None,
    ) -> Prediction:
        """Give the colour of a mix, or of several layers, after the furnace.

        layers : a mix as shares by stain, at most 1 in all, or pairs (mix, coats), bottom first
        on : a sample of the book, or the bare piece as L*, a*, b* (D65, 10°) or 31 reflectances, 400 to 700 nm
        meant : technician, jars and firing that are meant
        Raises UnknownNameError for an unknown sample or stain, InputError where nothing was calibrated.

        >>> lab.predict([({"barley": 1 / 4}, 1), ({"moss": 1 / 8}, 1)], on="plate-pale")
        L* 86.0, a* -2.8, b* 6.3 (D65/10°), 9 in 10 within ΔE00 1.9
        """
        from stainbook.work.stains.predict import predict_layers

        body = self._read(on) if isinstance(on, str) else reading_of(say("the piece"), on)
        return Prediction(predict_layers(self.book, layers_of(layers, coats), body, asked, meant))

    def _read(self, sample: str) -> Reading:
        from stainbook.errors import UnknownNameError

        found = self.book.find_reading(sample)
        if found is None:
            raise UnknownNameError(say("sample"), sample, {one.sample for one in self.book.readings()})
        return found

    def record(self, *outcomes: str | Path, because: str | None = None) -> Recorded:
        """Store what was fired and what came out, from outcome files, and learn from it; raises as `recorded`.

        >>> lab.record("recipes/finished/firings/W-0971-1.yaml").document.stored  # the book holds all of it
        False
        """
        return Recorded(self.recorded([Path(one) for one in outcomes], because=because))

    def search(
        self, words: str = "", *, near: Any = None, within: float = 2.0, limit: int = 20, **conditions: str
    ) -> FoundBefore:
        """Give what was done before: near L*, a*, b* (nearest first), by words and conditions.

        near : three numbers under D65, 10°; within : at most so far, ΔE00; conditions : as ``material="zirconia"``
        Raises InputError for what is no colour, or an unknown condition.

        >>> lab.search(near=(72, 2, 19), within=3, limit=2)
        recipe warm neck: ΔE00 0.6
        outcome W-1003 14 cervical 2026-05-12T11:15:00Z: ΔE00 0.6
        """
        colour = None if near is None else ",".join(repr(float(one)) for one in near)
        return FoundBefore(
            self.shelf.search(colour, [words] if words else (), list(conditions.items()), radius=within, limit=limit)
        )
