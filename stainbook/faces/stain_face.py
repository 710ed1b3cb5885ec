"""``lab.stains``: chips learnt from, layers predicted, plates laid out, what was held back of the learning."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from stainbook.faces.jar_face import JarsFace
from stainbook.faces.lab_view import LabFace
from stainbook.work.case.problems import AdviceAsked
from stainbook.work.documents.book_schemas import ConfirmResult, HeldOutcome
from stainbook.work.documents.day_schemas import NextStripe, PlateResult
from stainbook.work.documents.schemas import CalibrateResult, PredictResult
from stainbook.work.lab.next_stripe import next_stripes, stripes_for_open
from stainbook.work.lab.stain_reach import StainReach, stain_reach
from stainbook.work.lab.stain_views import StainRow, StainView, stain_rows, stain_view
from stainbook.work.reading.dropped import Dropped
from stainbook.work.reading.typing_slips import Slip
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.stains.held import decide, held_back, held_now
from stainbook.work.stains.plate import plan_plates, read_back, save
from stainbook.work.stains.predict import Meant, predict_files
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from stainbook.work.stains.stain_desk import learn_from_files, plate_page
from stainbook.work.stains.stain_entry import NewStain, enter_stains
from stainbook.work.stains.stripes import PlateOrder
from stainbook.work.stains.templates import template_files
from stainbook.work.stains.typed_plate import (
    PlannedPlate,
    TypedPlates,
    bring_back,
    keep_plates,
    laid_out,
    questions,
    read_plates,
    read_stripes,
    remove_plates,
    removed_plates,
    row_question,
    sheet_of,
    waiting_plates,
)


class StainsFace(LabFace):
    """What the lab's stains do."""

    @property
    def jars(self) -> JarsFace:
        """Jars and bottles of them.

        >>> lab.stains.jars.unknown([("kettle", "none such")])
        ['kettle: none such']
        """
        return JarsFace(self._lab)

    def rows(self) -> tuple[StainRow, ...]:
        """List the stains that the lab lists or has stripes of.

        >>> row = lab.stains.rows()[0]
        >>> row.name, row.kind, row.stripes
        ('flour', 'surface', 7)
        """
        return self._kept("rows", lambda: tuple(stain_rows(self._book)))

    def enter(self, *stains: NewStain) -> None:
        """Enter stains into the lab's list, or what changed of them, such as a new jar.

        Raises InputError for a name that cannot stand in a mix.

        >>> from stainbook.faces.stain_types import NewStain
        >>> lab.stains.enter(NewStain("plover", lot="24-144"))
        >>> next(one.lot for one in lab.stains.rows() if one.name == "plover")
        '24-144'
        """
        enter_stains(self._book, stains)

    def view(self, name: str) -> StainView:
        """Give what one stain does, by its coats, stripes and jars.

        Raises InputError for a stain that was not calibrated.

        >>> len(lab.stains.view("barley").stripes)
        7
        """
        return self._kept(("view", name), lambda: stain_view(self._book, name))

    def calibrate(self, files: ChipFiles, asked: Asked | None = None) -> CalibrateResult:
        r"""Learn from the stripes of some files and those of the book; store all of it, and the fit.

        Raises FileError for files that cannot be read, InputError for stripes that cannot be used; then all stays.

        >>> from pathlib import Path
        >>> from stainbook import Lab
        >>> from stainbook.faces.stain_types import ChipFiles
        >>> rows = Path("recipes/chips.csv").read_text().splitlines()
        >>> _ = Path("few.csv").write_text("\n".join([rows[0], *(row for row in rows if "barley" in row)]))
        >>> with Lab.open("new.db", author="bench-1") as new:
        ...     found = new.stains.calibrate(ChipFiles(Path("few.csv"), Path("recipes/readings.csv")))
        >>> found.stains[0].stain, found.stains[0].chips
        ('barley', 7)
        """
        return calibrate_files(self._book, files, asked)

    def learn_from(self, dropped: Sequence[Dropped]) -> CalibrateResult:
        """Learn as `calibrate` does from files that were dropped; their content says what each is.

        Raises InputError for files that cannot be used; then nothing is stored.

        >>> from pathlib import Path
        >>> lab.stains.learn_from([Dropped("chips.csv", Path("recipes/chips.csv").read_bytes())])
        Traceback (most recent call last):
            ...
        stainbook.errors.InputError: found no readings among the files, expected chips.csv and its readings together
        """
        return learn_from_files(self._book, dropped)

    def predict(
        self, recipes: Path, readings: Path, asked: Asked | None = None, meant: Meant | None = None
    ) -> PredictResult:
        """Give the colour that each recipe of a file will have on the bare piece that it names.

        Raises FileError for a file that cannot be read, UnknownNameError for an unknown stain or sample.

        >>> from pathlib import Path
        >>> found = lab.stains.predict(Path("recipes/recipes.csv"), Path("recipes/readings.csv")).recipes[0]
        >>> found.recipe, round(found.L, 1), round(found.dE00_p90, 1)
        ('warm-neck', 73.6, 1.3)
        """
        return predict_files(self._book, recipes, readings, asked, meant)

    def plates(self, order: PlateOrder, *, csv: Path | None = None, html: Path | None = None) -> PlateResult:
        """Give plates of stripes for some stains.

        csv, html : where to save them as chips.csv, and as a page to print
        Raises UnknownNameError for an unknown stain.

        >>> from stainbook.faces.stain_types import PlateOrder
        >>> stripes = lab.stains.plates(PlateOrder(("barley",))).stripes
        >>> stripes[0].plate, stripes[0].paint
        ('plate-1', '1 coat of clear undiluted')
        """
        result, laid = plan_plates(self._book, order)
        save(result, laid, csv=csv, html=html)
        return result

    def laid_out(self, order: PlateOrder) -> PlateResult:
        """Give plates as a page would lay them out, numbered after those that the book knows.

        Raises InputError for what cannot be laid out.

        >>> from stainbook.faces.stain_types import PlateOrder
        >>> lab.stains.laid_out(PlateOrder(("barley",), kinds=((0.5, 1),))).stripes[2].paint
        '1 coat of (1 part barley + 1 part clear)'
        """
        return laid_out(self._book, order)

    def keep_plates(self, order: PlateOrder) -> PlateResult:
        """Keep plates that are laid out, until they are fired and read; raises InputError as `laid_out`.

        >>> from stainbook.faces.stain_types import PlateOrder
        >>> len(lab.stains.keep_plates(PlateOrder(("rook",))).plates)
        1
        >>> [row.number for row in lab.stains.waiting_plates()[0].rows]
        [0, 1, 2, 3, 4]
        """
        return keep_plates(self._book, order)

    def waiting_plates(self) -> tuple[PlannedPlate, ...]:
        """List the plates that wait to be read.

        >>> all(one.rows for one in lab.stains.waiting_plates())
        True
        """
        return self._kept("waiting", lambda: waiting_plates(self._book))

    def read_stripes(self) -> tuple[PlannedPlate, ...]:
        """List the plates of which stripes were read, with those stripes; typed again, the newest reading counts.

        >>> lab.stains.read_stripes()[0].plate
        'plate-pale'
        """
        return self._kept("read_stripes", lambda: read_stripes(self._book))

    def remove_plates(self, plates: Sequence[str]) -> list[str]:
        """Remove the stripes of plates that wait to be read, and give the plates; raises InputError for others.

        >>> from stainbook.faces.stain_types import PlateOrder
        >>> plates = lab.stains.keep_plates(PlateOrder(("rook",))).plates
        >>> removed = lab.stains.remove_plates(plates)
        >>> removed == plates, lab.stains.removed_plates()[plates[0]]
        (True, 4)
        >>> lab.stains.bring_back(plates[0])
        >>> plates[0] in lab.stains.removed_plates()
        False
        """
        return remove_plates(self._book, plates)

    def removed_plates(self) -> dict[str, int]:
        """Give the plates of which stripes were removed, and how many.

        >>> lab.stains.removed_plates()
        {}
        """
        return self._kept("removed plates", lambda: removed_plates(self._book))

    def bring_back(self, plate: str) -> None:
        """Undo that stripes of a plate were removed; raises InputError where none was.

        >>> from stainbook.faces.stain_types import PlateOrder
        >>> plates = lab.stains.remove_plates(lab.stains.keep_plates(PlateOrder(("rook",))).plates)
        >>> lab.stains.bring_back(plates[0])
        >>> plates[0] in [one.plate for one in lab.stains.waiting_plates()]
        True
        """
        bring_back(self._book, plate)

    def plates_sheet(self, plates: Sequence[str]) -> str:
        """Give plates that wait as a page to print; raises InputError for none.

        >>> from stainbook.faces.stain_types import PlateOrder
        >>> plates = lab.stains.keep_plates(PlateOrder(("rook",))).plates
        >>> "bare, before it is painted" in lab.stains.plates_sheet(plates)
        True
        """
        return sheet_of(self._book, plates)

    def read_plates(self, told: TypedPlates) -> CalibrateResult:
        """Store typed rows of plates and learn from them, in one step.

        Raises InputError for numbers that are no colour, a plate without its bare reading, and no stripe at all.

        >>> from stainbook.faces.reading_types import Light
        >>> from stainbook.faces.stain_types import PlateOrder, TypedPlates
        >>> from stainbook import Lab
        >>> with Lab.open("plates.db", author="bench-1") as new:
        ...     _ = new.stains.keep_plates(PlateOrder(("husk",), kinds=((0.25, 1),)))
        ...     names = [row.sample for row in new.stains.waiting_plates()[0].rows]
        ...     rows = zip(names, ["77 0 12", "75 0 12", "74.6 0 12.3", "70 3 17"])
        ...     found = new.stains.read_plates(TypedPlates(("plate-1",), dict(rows), Light("D65", 10)))
        >>> [(one.stain, one.chips) for one in found.stains]
        [('clear', 2), ('husk', 1)]
        """
        return read_plates(self._book, told)

    def plate_questions(self, told: TypedPlates) -> list[str]:
        """Ask whether rows were swapped, where a stronger stripe lies nearer to clear glaze than a weaker one.

        >>> from stainbook.faces.reading_types import Light
        >>> from stainbook.faces.stain_types import TypedPlates
        >>> lab.stains.plate_questions(TypedPlates((), {}, Light("D65", 10)))
        []
        """
        return questions(self._book, told)

    def row_question(self, told: TypedPlates, sample: str, text: str, what: str) -> Slip | None:
        """Ask about a row of a plate as it is typed, after those that were; ``what`` it is called in the question.

        Raises InputError for what is no colour.

        >>> from stainbook.faces.reading_types import Light
        >>> from stainbook.faces.stain_types import TypedPlates
        >>> told = TypedPlates(("plate-1",), {}, Light("D65", 10))
        >>> lab.stains.row_question(told, "plate-1", "83.2 8.6 -1.1", "bare").question
        'bare: did you mean 83.2 -1.1 8.6, the numbers in this order?'
        """
        return row_question(self._book, told, sample, text, what)

    def reach(self, name: str) -> StainReach:
        """Give what a stain does by share and coats, and which open zones it alone brings nearer.

        >>> found = lab.stains.reach("barley")
        >>> found.plate, found.looked_at > 0
        ('plate-pale', True)
        """
        return self._kept(("reach", name), lambda: stain_reach(self._book, name))

    def templates(self) -> dict[str, str]:
        """Give files with a few filled lines, by name.

        >>> list(lab.stains.templates())
        ['readings.csv', 'chips.csv', 'stains.yaml']
        """
        return template_files()

    def plate_page(self, stains: Sequence[str]) -> str:
        """Give plates of stripes for some stains as a page to print.

        >>> "barley" in lab.stains.plate_page(["barley"])
        True
        """
        return plate_page(self._book, stains)

    def read_back(self, chips: Path, readings: Path, *, save: Path | None, asked: Asked | None = None) -> PlateResult:
        r"""Name readings by the order of their plates' sheet and store both.

        save : where to write the named readings too
        Raises InputError for another number of rows, and plates that were never read bare; then nothing is stored.

        >>> from pathlib import Path
        >>> rows = Path("recipes/chips.csv").read_text().splitlines()
        >>> _ = Path("one.csv").write_text("\n".join([rows[0], rows[3]]))
        >>> _ = Path("read.csv").write_text("L,a,b,illuminant,observer\n88.1,0.2,4.0,D65,10\n")
        >>> len(lab.stains.read_back(Path("one.csv"), Path("read.csv"), save=None).stripes)
        1
        """
        return read_back(self._book, chips, readings, save, asked)

    def next_stripes(self, cases: Sequence[str | Path], wish: AdviceAsked | None = None) -> tuple[NextStripe, ...]:
        """Give which stripe would help some open cases most.

        Raises InputError for a case that cannot be used.

        >>> best = lab.stains.next_stripes(["W-1051"])[0]
        >>> best.stain, best.share, best.coats
        ('garnet', 0.25, 2)
        """
        return tuple(next_stripes(self._book, cases, wish))

    def stripes_for_open(self, wish: AdviceAsked | None = None) -> tuple[tuple[NextStripe, ...], tuple[str, ...]]:
        """Give `next_stripes` for all open cases of the book, and a line for each case that could not be counted.

        Raises UncalibratedError where nothing was calibrated.

        >>> from stainbook import Lab
        >>> with Lab.open("empty.db") as empty:
        ...     empty.stains.stripes_for_open()  # doctest: +ELLIPSIS
        Traceback (most recent call last):
            ...
        stainbook.errors.UncalibratedError: the book holds no calibrated stains: ...
        """
        found, told = stripes_for_open(self._book, wish)
        return tuple(found), tuple(told)

    def held(self, case: str) -> tuple[HeldOutcome, ...]:
        """Give the outcomes of a case that the learning holds back.

        >>> lab.stains.held("W-0971")
        ()
        """
        return self._kept(("held", case), lambda: tuple(held_back(self._book, case)))

    def held_now(self) -> ConfirmResult:
        """Learn from what the book holds now; gives what is held back and what was learnt.

        >>> found = lab.stains.held_now()
        >>> len(found.held), found.learnt[0].what
        (0, 'lot')
        """
        return held_now(self._book)

    def decide(
        self,
        case: str,
        zone: tuple[int, str],
        verdict: str,
        *,
        why: str | None = None,
        fired_at: str | None = None,
    ) -> ConfirmResult:
        """Say that a zone's outcome was really so (``true``), ``wrong``, or is ``open`` again, and learn anew.

        zone : (tooth, zone); fired_at : which firing, None for the newest
        Raises UnknownNameError for another verdict and a zone without an outcome.

        >>> lab.stains.decide("W-0971", (11, "cervical"), "true", why="read twice").decided.verdict
        'true'
        """
        return decide(self._book, case, zone, verdict, why=why, fired_at=fired_at)
