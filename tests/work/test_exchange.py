"""What the book exports it imports again without loss; what is odd is refused whole."""

from __future__ import annotations

import hashlib
import json
import stat
import zipfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stainbook.apparatus import FurnaceTray, Instrument, Jar, Programme
from stainbook.book import open_book
from stainbook.book.gate import settled
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import Decision, DrawnEffect, Firing, Operator
from stainbook.records import Body, Chip, GuideTab, Pot, Reading, Stain, Viewing
from stainbook.work.case.undo import undoable_recipe
from stainbook.work.lab.exchange import ImportChoices, export, import_
from stainbook.work.lab.folder import content_of
from stainbook.work.lab.import_differences import APPROVED_ELSEWHERE
from stainbook.work.lab.things import set_state
from tests.book.worked import HUSK_ONCE, TEASEL_TWICE, case, outcome, recipe
from tests.files.test_plain_yaml import NAME, OUTCOME, RECIPE

DECISION = Decision("W-1042", 11, "cervical", outcome().fired_at, "wrong", "=12 was read")


def url(folder: Path, name: str = "lab.db") -> str:
    return f"sqlite:///{folder / name}"


@pytest.fixture
def lab(tmp_path: Path) -> Path:
    with open_book(url(tmp_path)) as book, book.transaction() as step:
        step.add_stains([Stain("husk", lot="0117", notes="=1+1"), Stain("clear", kind="clear")])
        step.add_bodies([Body("pale", "zirconia", thickness_mm=1.2)])
        step.add_guide([GuideTab("house", "oat-mid", "cervical", "tooth")])
        step.add_operators([Operator("bench-2", "left-handed")])
        step.add_programmes([Programme("glaze-770", hold_min=1.5)])
        step.add_instruments([Instrument("blue one", Viewing("D65", 2))])
        step.add_jars([Jar("husk", "0117", "M-4;2", "2026-03-02", None, "=1+1"), Jar("husk", "0118")])
        step.add_jars([Jar("husk", "0117", "M-4;2", "2026-03-02", "2026-04-01", "=1+1")])
        step.add_tray(FurnaceTray("tray 1", ("W-1042",), "2026-03-02T10:00:00Z", "stain"))
        wide = tuple(range(380, 731, 10))
        step.add_readings(
            [
                Reading("pale", lab=(70.0, 0.0, 9.0), viewing=Viewing()),
                Reading("pale", lab=(70.5, 0.0, 9.0), viewing=Viewing()),
                Reading("pale", wide, (0.5,) * len(wide), repeats=3, scatter=(0.001,) * len(wide)),
                Reading("W-1042-11-cervical", lab=(71.0, 0.0, 9.0), viewing=Viewing("unknown", 0), notes="a; b"),
            ]
        )
        step.add_cases([case()])
        step.add_firings([Firing("W-1042", "2026-03-02T10:40:00Z", minutes=48)])
        step.add_outcomes([outcome(), outcome(tooth=21, note="-2", accepted=True, to_target=1.2)])
        step.add_decisions([DECISION])
        step.revise_recipe(recipe())
        step.revise_recipe(recipe(state="approved", layers=TEASEL_TWICE, based_on=1, why="warmer"))
        halo = DrawnEffect("halo", "incisal edge", Pot.of({"husk": 0.25}), "thin")
        step.revise_recipe(recipe("WARM neck", effects=(halo,)))
    return tmp_path


def test_into_an_empty_book_by_folder_and_by_bundle(lab: Path) -> None:
    with open_book(url(lab)) as book:
        expected = content_of(book)
        for path in (lab / "out", lab / "out.zip"):
            export(book, path)
    for path in (lab / "out", lab / "out.zip"):
        with open_book(url(lab, f"{path.name}.db")) as other:
            assert {item.status for item in import_(other, path).items} == {"new"}
            assert content_of(other) == replace(
                expected, recipes=content_of(other).recipes, readings=content_of(other).readings
            )
            assert set(content_of(other).readings) == set(expected.readings)
            assert sorted(map(repr, content_of(other).recipes)) == sorted(map(repr, expected.recipes))
            before = other.last_change()
            assert {item.status for item in import_(other, path).items} == {"same"}
            assert other.last_change() == before
            assert other.verify().faults == ()


def test_the_same_book_makes_the_same_files(lab: Path) -> None:
    with open_book(url(lab)) as book:
        export(book, lab / "a.zip")
        export(book, lab / "b.zip")
    assert (lab / "a.zip").read_bytes() == (lab / "b.zip").read_bytes()


def test_a_second_export_takes_away_its_own_old_files_only(lab: Path) -> None:
    with open_book(url(lab)) as book:
        export(book, lab / "out")
        (lab / "out" / "mine.txt").write_text("mine")
        assert (lab / "out" / "cases" / "W-1042.yaml").is_file()
        book.erase_case("W-1042")
        export(book, lab / "out")
    assert not (lab / "out" / "cases" / "W-1042.yaml").exists()
    assert (lab / "out" / "mine.txt").read_text() == "mine"
    assert "W-1042" not in "".join(path.read_text() for path in (lab / "out").rglob("*.*"))


def test_a_recipe_approved_elsewhere_is_tried_here_until_somebody_here_approves_it(lab: Path) -> None:
    with open_book(url(lab)) as book:
        export(book, lab / "out.zip", history=False)
        export(book, lab / "whole.zip")
    with open_book(url(lab, "other.db"), author="bench-9") as other:
        import_(other, lab / "out.zip")
        newest = other.entered("recipe", "warm neck")[-1]
        assert (newest.record.state, newest.record.why) == ("tried", APPROVED_ELSEWHERE)
        assert [one.record.state for one in other.entered("recipe", "warm neck")] == ["draft", "approved", "tried"]
        assert undoable_recipe(other, "warm neck") is None
        assert {item.status for item in import_(other, lab / "out.zip").items} == {"same"}
        set_state(other, "warm neck", "approved", why="three crowns")
        (item,) = [one for one in import_(other, lab / "out.zip", preview=True).items if one.status == "differs"]
        assert item.in_what == "why (here three crowns, there warmer)"
    with open_book(url(lab, "again.db")) as again:  # the lab's own book, made again elsewhere
        import_(again, lab / "whole.zip")
        assert again.entered("recipe", "warm neck")[-1].record.state == "approved"


def test_a_preview_says_in_what_things_differ(lab: Path) -> None:
    with open_book(url(lab)) as book:
        export(book, lab / "out.zip", history=False)
        set_state(book, "warm neck", "retired", why="muddy")
        book.add_stains([Stain("husk", lot="0119", family="brown")])
        found = {(one.kind, one.name): one for one in import_(book, lab / "out.zip", preview=True).items}
    recipe_item, stain = found["recipe", "warm neck"], found["stain", "husk"]
    assert recipe_item.in_what == "state (here retired, there approved), why (here muddy, there warmer)"
    assert "lot" in stain.in_what
    assert {one.in_what for one in found.values() if one.status != "differs"} == {None}


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(RECIPE, max_size=3, unique_by=lambda one: one.recipe.strip()),
    st.lists(OUTCOME, max_size=3, unique_by=lambda one: one.outcome),
    st.lists(st.builds(Stain, NAME, lot=st.none() | NAME), max_size=3, unique_by=lambda one: one.name),
    st.lists(
        st.builds(Reading, NAME, lab=st.just((70.0, 1.0, 9.0)), viewing=st.just(Viewing()), notes=st.none() | NAME),
        max_size=4,
        unique=True,
    ),
)
def test_any_book_comes_back(tmp_path_factory, recipes, outcomes, stains, readings) -> None:
    folder = tmp_path_factory.mktemp("any")
    with open_book(url(folder)) as book, open_book(url(folder, "other.db")) as other:
        with book.transaction() as step:
            step.add_stains(taken(stains))
            step.add_readings(taken(readings))
            step.add_outcomes(taken(outcomes))
            for one in taken(recipes):
                step.revise_recipe(one)
        if not book.last_change():
            return
        export(book, folder / "x.zip")
        import_(other, folder / "x.zip")
        first, second = content_of(book), content_of(other)
        for name in ("stains", "readings", "outcomes", "recipes"):
            assert sorted(map(repr, getattr(first, name))) == sorted(map(repr, getattr(second, name)))


def taken(records):
    """Those that the book takes: text that nobody can see, and a factor above 2, are refused by it."""
    found = []
    for one in records:
        with suppress(InputError):
            settled(one)
            found.append(one)
    return found


def test_preview_then_take_rename_skip(lab: Path) -> None:
    with open_book(url(lab)) as book:
        export(book, lab / "out.zip")
    with open_book(url(lab, "south.db"), author="south") as south:
        south.add_stains([Stain("husk", lot="own")])
        south.revise_recipe(recipe(notes="south's own"))
        before = south.last_change()
        preview = import_(south, lab / "out.zip", preview=True)
        found = {(item.kind, item.name): (item.status, item.action) for item in preview.items}
        assert found["stain", "husk"] == ("differs", "skip")
        assert found["stain", "clear"] == ("new", "take")
        assert found["recipe", "warm neck"] == ("differs", "skip")
        assert (preview.stored, south.last_change()) == (False, before)
        choices = ImportChoices(
            take=frozenset({("recipe", "warm neck")}),
            skip=frozenset({("case", "W-1042")}),
            rename={("stain", "husk"): "north husk"},
        )
        import_(south, lab / "out.zip", choices)
        assert south.stains()["husk"].lot == "own"
        assert south.stains()["north husk"].lot == "0117"
        assert south.cases() == {}
        assert [one.revision for one in south.entered("recipe", "warm neck")] == [1, 2, 3, 4]  # tried at last
        assert south.outcomes()[0].layers[0].pot.as_dict() == {"north husk": 0.25}
        assert south.entered("recipe", "warm neck")[-1].author == "south"


@pytest.mark.parametrize(
    ("choices", "error"),
    [
        (ImportChoices(take=frozenset({("recipe", "cold neck")})), UnknownNameError),
        (ImportChoices(rename={("body", "pale"): "x"}), InputError),
    ],
)
def test_choices_that_mean_nothing_are_told(lab: Path, choices: ImportChoices, error: type[InputError]) -> None:
    with open_book(url(lab)) as book, open_book(url(lab, "south.db")) as south:
        export(book, lab / "out.zip")
        with pytest.raises(error):
            import_(south, lab / "out.zip", choices)
        assert south.last_change() == 0


def test_chips_that_are_taken_in_teach_the_stains(lab: Path, tmp_path: Path) -> None:
    from tests.work.benches import calibrated

    with open_book(url(tmp_path, "north.db")) as north, open_book(url(tmp_path, "south.db")) as south:
        calibrated(north, tmp_path)
        export(north, tmp_path / "x.zip", history=False)
        assert "learnt anew" in import_(south, tmp_path / "x.zip").warnings[-1]
        assert south.fit("optics") is not None


def test_a_fit_comes_with_the_history_and_is_checked_against_its_chips(lab: Path, tmp_path: Path) -> None:
    from tests.work.benches import calibrated

    with open_book(url(tmp_path, "north.db")) as north, open_book(url(tmp_path, "south.db")) as south:
        calibrated(north, tmp_path)
        export(north, tmp_path / "x.zip")
        assert import_(south, tmp_path / "x.zip").warnings == []
        assert south.fits() == north.fits()
        last = north.fit("optics")
        north.add_fit("optics", {**last.document, "lots": {"husk": "another"}}, data=last.data)
        export(north, tmp_path / "y.zip")
    with open_book(url(tmp_path, "west.db")) as west:
        with pytest.raises(InputError, match="does not follow from the book's chips"):
            import_(west, tmp_path / "y.zip")
        assert west.counts() == {}


# ---------------------------------------------------------------- hostile bundles


def _bundle(
    path: Path, files: dict[str, bytes], *, change: Callable[[zipfile.ZipInfo], None] | None = None, **more
) -> Path:
    hashes = {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}
    manifest = more.get("manifest", json.dumps({"stainbook": 1, "files": hashes}).encode())
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as bundle:
        for name, data in {**({} if manifest is None else {"manifest.json": manifest}), **files}.items():
            entry = zipfile.ZipInfo(name)
            entry.compress_type = zipfile.ZIP_DEFLATED
            if change and name != "manifest.json":
                change(entry)
            bundle.writestr(entry, data)
    return path


GOOD = {"stains.yaml": b"- {name: husk}\n"}


def _set(**values: object) -> Callable[[zipfile.ZipInfo], None]:
    def change(entry: zipfile.ZipInfo) -> None:
        for name, value in values.items():
            setattr(entry, name, value)

    return change


@pytest.mark.parametrize(
    "make",
    [
        lambda p: _bundle(p, {"../stains.yaml": b"- {name: husk}\n"}),
        lambda p: _bundle(p, {"/tmp/stains.yaml": b"- {name: husk}\n"}),
        lambda p: _bundle(p, {"cases/../../x.yaml": b""}),
        lambda p: _bundle(p, {"cases\\x.yaml": b""}),
        lambda p: _bundle(p, {"C:/stains.yaml": b""}),
        lambda p: _bundle(p, {"cases/.yaml/x.yaml": b""}),
        lambda p: _bundle(p, {**GOOD, "run.sh": b"x"}),
        lambda p: _bundle(p, {**GOOD, "cases/": b""}),
        lambda p: _bundle(p, GOOD, change=_set(external_attr=(stat.S_IFLNK | 0o777) << 16)),
        lambda p: _bundle(p, GOOD, change=_set(external_attr=(stat.S_IFIFO | 0o777) << 16)),
        lambda p: _bundle(p, GOOD, change=_set(compress_type=zipfile.ZIP_BZIP2)),
        lambda p: _bundle(p, {**GOOD, "bodies.csv": b"\0" * (20 << 20)}),
        lambda p: _bundle(p, {f"cases/{n}.yaml": b"" for n in range(20_001)}),
        lambda p: _bundle(p, GOOD, manifest=None),
        lambda p: _bundle(p, GOOD, manifest=b"{"),
        lambda p: _bundle(p, GOOD, manifest=b"[" * 100_000),
        lambda p: _bundle(p, GOOD, manifest=b'{"stainbook": 2, "files": {}}'),
        lambda p: _bundle(p, GOOD, manifest=b'{"stainbook": 1, "files": {}}'),
        lambda p: _bundle(p, GOOD, manifest=b'{"stainbook": 1, "files": {"stains.yaml": "00"}}'),
        lambda p: _bundle(p, GOOD, manifest=b'{"stainbook": 1, "files": {"stains.yaml": 1, "x.csv": 2}}'),
        lambda p: p.write_bytes(b"PK\x03\x04 nothing"),
        lambda p: p.write_bytes(_bundle(p, GOOD).read_bytes()[:-30]),
        lambda p: p.write_bytes(_bundle(p, GOOD).read_bytes().replace(b"stains.yaml", b"stains.yaml"[::-1])),
        lambda p: _bundle(p, {"stains.yaml": b"- {name: husk, kind: magic}\n"}),
        lambda p: _bundle(p, {"recipes/x.yaml": b"revisions: [{recipe: x, layers: [{pot: {husk: 9e999}}]}]\n"}),
        lambda p: _bundle(p, {"outcomes/x.yaml": b"outcomes: [&a [*a]]\n"}),
        lambda p: _bundle(p, {"bench.yaml": b"operators: [!!python/object/apply:os.system [id]]\n"}),
        lambda p: _bundle(p, {}),
    ],
)
def test_hostile_bundles_are_refused_whole_in_one_line(tmp_path: Path, make: Callable[[Path], object]) -> None:
    path = tmp_path / "x.zip"
    make(path)
    kept = {one.name for one in tmp_path.iterdir()}
    with open_book(url(tmp_path)) as book:
        with pytest.raises(InputError) as caught:
            import_(book, path)
        assert book.last_change() == 0
    assert "\n" not in str(caught.value)
    assert {one.name for one in tmp_path.iterdir()} == kept | {"lab.db"}


def test_two_entries_of_one_name_are_refused(tmp_path: Path) -> None:
    path = _bundle(tmp_path / "x.zip", GOOD)
    with pytest.warns(UserWarning, match="Duplicate"), zipfile.ZipFile(path, "a") as bundle:
        bundle.writestr("stains.yaml", b"- {name: teasel}\n")
    with open_book(url(tmp_path)) as book, pytest.raises(InputError, match="twice"):
        import_(book, path)


def test_a_bundle_that_is_good_is_taken(tmp_path: Path) -> None:
    with open_book(url(tmp_path)) as book:
        import_(book, _bundle(tmp_path / "x.zip", GOOD))
        assert list(book.stains()) == ["husk"]


# ---------------------------------------------------------------- the workbook


def test_the_workbook_holds_no_formula(lab: Path) -> None:
    from openpyxl import load_workbook

    with open_book(url(lab)) as book:
        with pytest.raises(InputError, match="not seen in notes"):
            book.revise_recipe(recipe("bell", notes="@x\x07"))
        book.revise_recipe(recipe("=HYPERLINK(1)", notes="@x"))
        export(book, lab / "out.xlsx")
    workbook = load_workbook(lab / "out.xlsx")
    cells = {
        cell.value: cell for sheet in workbook for row in sheet.iter_rows() for cell in row if cell.value is not None
    }
    assert cells["=1+1"].data_type == "s"
    assert cells["=HYPERLINK(1)"].quotePrefix
    assert not [cell for cell in cells.values() if cell.data_type == "f"]
    assert workbook.sheetnames == ["numbers", "recipes", "outcomes", "stains"]


def test_chips_come_back(tmp_path: Path) -> None:
    chip = Chip("P1", "pale", HUSK_ONCE, operator="0117", fired_at="2026-03-02T10:40:00Z")
    with open_book(url(tmp_path)) as book, open_book(url(tmp_path, "b.db")) as other:
        book.add_chips([chip])
        export(book, tmp_path / "x")
        import_(other, tmp_path / "x")
        assert other.chips() == (chip,)


def test_what_was_decided_of_an_outcome_comes_along_with_it_and_not_with_another_one(lab: Path, tmp_path: Path) -> None:
    with open_book(url(lab)) as book:
        export(book, lab / "out", history=False)
    with open_book(url(tmp_path, "empty.db")) as book:
        import_(book, lab / "out", ImportChoices(rename={("case", "W-1042"): "N-7"}))
        assert book.decisions() == {outcome("N-7").outcome: replace(DECISION, case="N-7")}
    with open_book(url(tmp_path, "other.db")) as book:
        book.add_outcomes([outcome(operator="another")])
        items = import_(book, lab / "out").items
        assert next(one.action for one in items if one.kind == "decision") == "skip"
        assert book.decisions() == {}
