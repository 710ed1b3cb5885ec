"""Targets, effects and settings of an open case, and its delivery, without a browser."""

from dataclasses import replace

import pytest

from stainbook.book import open_book
from stainbook.pages.lab import jars_texts as jar_words
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell import way_texts as words
from stainbook.records import LabRef, Reading, Stain, Viewing
from stainbook.work.case.current_case import known_case
from stainbook.work.firing.results import ZoneResult, note_painted
from stainbook.work.lab.erase_case import erase_case
from tests.pages.driving import markup, press, show, type_reading
from tests.pages.test_first_day import app, choose, lab, make_case, read_eight

__all__ = ["app", "lab"]


def kept_case():
    return known_case(case_source.lab().book, "W-1").case


def zones_of():
    return {zone.key: zone for zone in kept_case().zones}


@pytest.fixture
def case(app):
    """A case with targets, read."""
    show(make_case(app), "readings")
    read_eight(app)
    return app


def chosen(app, *zones, part="targets"):
    app.session_state["kept"]["targets part"] = part
    app.session_state["kept"]["chosen W-1"] = list(zones)
    return app.run()


def group(app, name, said):
    """Type into the field of a tooth group."""
    field = next(one for one in app.selectbox if one.key and one.key.startswith(f"group {name} W-1"))
    app.session_state["kept"][field.key] = said
    app.run()


def test_the_targets_of_an_arch_are_set_by_tooth_group_in_one_write_and_single_zones_stay(case, lab):
    chosen(show(case, "targets"), "13 middle")
    press(case, words.STEPS_OF_TARGET[-1, 0])
    press(case, words.STEPS_OF_TARGET[0, 1])
    own = zones_of()[13, "middle"].target
    assert own.shift == (("C", 1.5), ("L", -1.5)) or own.shift == (("L", -1.5), ("C", 1.5))
    chosen(case, part="groups")
    assert any("13 middle" in one.value and "of its own" in one.value for one in case.markdown)
    with open_book(lab) as book:
        before = len(book.entered("case", "W-1"))
    for name, said in (("front", "71,0 1,0 15"), ("canine", "68 2 19"), ("back", "69 1,5 17"), ("gum", "51 20 12")):
        group(case, name, said)
    press(case, words.SET_GROUPS)
    found = zones_of()
    assert found[13, "cervical"].target.colour.lab == (68.0, 2.0, 19.0)
    assert found[11, "incisal"].target.colour.lab == (71.0, 1.0, 15.0)
    assert found[15, "occlusal"].target.colour.lab == (69.0, 1.5, 17.0)
    assert found[11, "attached"].target.colour.lab == (51.0, 20.0, 12.0)
    assert found[13, "middle"].target == own
    with open_book(lab) as book:
        assert len(book.entered("case", "W-1")) == before + 1
    group(case, "front", "no colour at all")
    press(case, words.SET_GROUPS)
    assert "expected L\\*, a\\*, b\\*" in case.warning[0].value
    chosen(case, "13 middle", "13 cervical")
    press(case, words.AS_GROUP)
    assert zones_of()[13, "middle"].target == found[13, "cervical"].target


def test_a_target_for_several_zones_at_once_and_undone(case):
    chosen(show(case, "targets"))
    before = zones_of()[11, "middle"].target
    assert case.button(key="undo").disabled
    chosen(case, "11 middle", "21 middle")
    case.selectbox(key="aim kind").select("lab").run()
    case.text_input(key="aim lab").set_value("71,5 1,2 16").run()
    case.text_input(key="aim value").set_value("1,5").run()
    press(case, "Set the target of 2 zones")
    found = zones_of()[21, "middle"].target
    assert (found.colour, found.shift) == (LabRef((71.5, 1.2, 16.0), Viewing()), (("L", 1.5),))
    assert "71.5" in markup(case, "aims")
    press(case, "Undo: target of 11 middle, 21 middle")
    assert zones_of()[11, "middle"].target == before


def test_a_case_that_was_erased_meanwhile_is_not_another_one(app, lab):
    make_case(app)
    with open_book(lab) as book:
        book.add_cases([replace(known_case(book, "W-1").case, case="W-2")])
        erase_case(book, "W-1", why="asked by the clinic", sure=True)
    show(app, "targets")
    assert not app.exception
    assert app.info[0].value == texts.NO_SUCH_CASE
    app.selectbox(key="case_file").select("W-2").run()
    assert not app.exception
    assert texts.NO_SUCH_CASE not in [info.value for info in app.info]
    assert app.selectbox(key="case_file").value == "W-2"


def test_what_is_no_target_is_one_sentence(case):
    chosen(show(case, "targets"), "11 middle")
    case.selectbox(key="aim kind").select("reading").run()
    case.text_input(key="aim reading").set_value("nothing such").run()
    press(case, "Set the target of 1 zone")
    assert "nothing such" in case.warning[0].value


def test_effects_zones_and_settings(case):
    show(case, "targets")
    chosen(case, "11 incisal", part="effects")
    case.text_input(key="effect place").set_value("incisal edge").run()
    press(case, "Add to 11")
    assert [one.label for one in case.button if "Remove: 11" in one.label] == ["Remove: 11 halo, incisal edge"]
    case.session_state["kept"]["targets part"] = "zones"
    case.run()
    press(case, "Remove 1 zone from the case")
    assert (11, "incisal") not in zones_of()
    case.session_state["kept"]["targets part"] = "limits"
    case.run()
    jars = next(one for one in case.multiselect if one.label == jar_words.IN_USE)
    case.session_state["kept"][jars.key] = ["husk: 24-117"]  # typed as a new option
    case.run()
    assert next(one for one in case.button if one.label == words.KEEP_SETTINGS).disabled  # until it is confirmed
    next(one for one in case.checkbox if "husk: 24-117" in one.label).check().run()
    press(case, words.KEEP_SETTINGS)
    assert kept_case().lots == (("husk", "24-117"),)
    assert case.button(key="undo").label == "Undo: jars in use"


def test_a_tooth_that_was_named_wrong_gets_its_right_number_and_undo_gives_it_back(case):
    chosen(show(case, "targets"), part="zones")
    before = kept_case().zones
    case.selectbox(key="wrong tooth W-1").select(11).run()
    case.text_input(key="right tooth W-1").set_value("17").run()
    press(case, "Call tooth 11 by its right number")
    assert [one.value for one in case.warning] == []
    assert {zone.tooth for zone in kept_case().zones} == {17 if zone.tooth == 11 else zone.tooth for zone in before}
    found = zones_of()[17, "middle"]
    assert found.target == next(zone.target for zone in before if zone.key == (11, "middle"))
    assert known_case(case_source.lab().book, "W-1").state.zones[17, "middle"].read
    assert case.button(key="undo").label == "Undo: tooth 11 is 17"
    case.button(key="undo").click().run()
    assert kept_case().zones == before
    case.text_input(key="right tooth W-1").set_value("12").run()
    press(case, f"Exchange teeth {case.selectbox(key='wrong tooth W-1').value} and 12")
    case.button(key="undo").click().run()
    assert kept_case().zones == before
    case.text_input(key="right tooth W-1").set_value("7").run()
    press(case, f"Call tooth {case.selectbox(key='wrong tooth W-1').value} by its right number")
    assert "7" in case.warning[0].value
    assert kept_case().zones == before


def test_delivery_is_barred_until_accepted_then_it_may_come_back(case, lab):
    show(case, "deliver")
    deliver = next(one for one in case.button if one.label == "Deliver W-1")
    assert deliver.disabled
    assert "nobody accepted" in case.info[0].value
    press(case, "Accepted by the lab")
    assert any("no glaze firing of W-1 is recorded" in one.value for one in case.info)
    assert next(one for one in case.button if one.label == "Deliver W-1").disabled
    press(case, words.GLAZED_ALL)
    assert kept_case().accepted_by == "lab"
    press(case, "Deliver W-1")
    assert kept_case().stage == "delivered"
    press(case, "Undo: delivered")
    assert kept_case().stage == "glazed"
    press(case, "Deliver W-1")
    assert words.WAS_DELIVERED in [one.value for one in case.markdown]
    assert "delivered" in markup(case, "story")
    press(case, words.COMES_BACK)
    assert "its shade" in case.info[0].value
    assert {one.label for one in case.get("download_button")} == set(words.REPORTS.values())
    show(case, "start")
    assert "returned" in markup(case, "waits")


def test_painted_and_not_fired_bars_delivery_and_a_firing_takes_readings_from_the_book(case, lab):
    show(case, "result")
    choose(case, "fired W-1", "11 middle")
    case.text_area(key="painted W-1 11 middle 0").set_value("2 × 1 husk + 7 clear").run()
    case.checkbox[0].check().run()
    press(case, "Painted, into the furnace: 1 zone")
    assert "11 middle" in case.info[0].value
    show(case, "deliver")
    assert "lies unfired on 11 middle" in case.info[0].value
    photo = Reading("W-1-11-middle", lab=(71.6, 1.4, 16.8), viewing=Viewing(), notes="photo", u=2.1, tissue="tooth")
    with open_book(lab) as book:
        book.add_readings([photo])
    show(case, "result")
    assert "1 of them by photo" in case.checkbox[0].label
    press(case, "Record 1 zone")
    with open_book(lab) as book:
        (outcome,) = book.outcomes()
        assert book.painted("W-1") is None
    assert outcome.after.u == 2.1
    assert outcome.before.lab == (71.8, 0.1, 9.9)


def painted_on(case, zone, code="W-1"):
    choose(case, f"fired {code}", zone)
    case.text_area(key=f"painted {code} {zone} 0").set_value("2 × 1 husk + 7 clear").run()
    if case.checkbox and not case.checkbox[0].value:
        case.checkbox[0].check().run()  # husk is new to the lab


def test_law_3_what_was_painted_and_not_read_is_in_the_record_of_its_firing(case, lab):
    show(case, "result")
    for zone in ("11 middle", "11 incisal"):
        painted_on(case, zone)
    press(case, "Painted, into the furnace: 2 zones")
    type_reading(case, "W-1", "11 middle", "71,6 1,4 16,8")
    assert any("11 incisal" in one.value and "recorded as expected" in one.value for one in case.caption)
    press(case, "Record 2 zones")
    with open_book(lab) as book:
        found = {(one.tooth, one.zone): one.after for one in book.outcomes()}
    assert found[11, "incisal"] is None
    assert found[11, "middle"].lab == (71.6, 1.4, 16.8)


def test_one_record_for_the_pieces_of_a_tray_though_nothing_was_read(case, lab):
    with open_book(lab) as book:
        book.add_stains([Stain("husk")])
        book.add_cases([replace(known_case(book, "W-1").case, case="W-2", mark="")])
        note_painted(book, "W-2", [ZoneResult(21, "middle", "1 husk + 7 clear")], "bench-2")
    show(case, "result")
    painted_on(case, "11 middle")
    press(case, "Painted, into the furnace: 1 zone")
    case.multiselect(key="tray W-1").select("W-2").run()
    press(case, "Fired, not read yet: record 1 zone")
    assert words.AFTER_UNREAD in [one.value for one in case.markdown]
    with open_book(lab) as book:
        mine, other = sorted(book.firings(), key=lambda one: one.case)
        assert (mine.run, mine.fired_at) == (other.run, other.fired_at)
        assert (other.case, other.operator) == ("W-2", "bench-2")
        assert {(one.case, one.zone, one.after) for one in book.outcomes()} == {
            ("W-1", "middle", None),
            ("W-2", "middle", None),
        }
        assert not book.all_painted()
    assert not [one for one in case.multiselect if one.key == "tray W-1"]


def test_pieces_of_one_sintering_share_the_name_of_its_run(app, lab):
    make_case(app)
    with open_book(lab) as book:
        bare = replace(known_case(book, "W-1").case, stage="green", mark="")
        book.add_cases([replace(bare, case=code) for code in ("G-1", "G-2")])
    show(app, "case")
    for code in ("G-1", "G-2"):
        app.selectbox(key="case_file").select(code).run()
        app.button(key="did dried").click().run()
        field = app.text_input(key=f"run {code}")
        if code == "G-1":
            field.set_value("run 12").run()
        app.button(key="did sintered").click().run()
    with open_book(lab) as book:
        found = [known_case(book, code) for code in ("G-1", "G-2")]
    assert [one.state.stage for one in found] == ["sintered", "sintered"]
    assert [one.events[-1].told.run for one in found] == ["run 12", "run 12"]
