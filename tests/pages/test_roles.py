"""A reader looks, a technician works, a lead decides: held under `Lab`, whatever page, command or notebook asks."""

import importlib
import pkgutil

import pytest
from streamlit.testing.v1 import AppTest

from stainbook import faces
from stainbook.errors import NotAllowedError, StainbookError
from stainbook.faces.lab_view import CaseTopic, LabFace
from stainbook.faces.permits import NEEDS
from stainbook.faces.server_types import Signed
from stainbook.kept import LabRecipe, Settings
from stainbook.lab import Lab
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.page_list import page_file
from stainbook.permit import LEAD, READER, TECHNICIAN
from stainbook.records import Layer, Pot
from stainbook.work.app.accounts import Account, Accounts
from stainbook.work.app.server_settings import ServerSettings
from tests.house.written import writers

CLASSES = {"Lab": Lab} | {
    name: cls
    for found in pkgutil.iter_modules(faces.__path__)
    for name, cls in vars(importlib.import_module(f"stainbook.faces.{found.name}")).items()
    if isinstance(cls, type) and issubclass(cls, LabFace)
}


def ask(lab, name):
    """Call a method by its full name; its role is asked for before what it is given."""
    cls, _, method = name.partition(".")
    one = CLASSES[cls]
    face = lab if one is Lab else one(lab, "W-1042") if issubclass(one, CaseTopic) else one(lab)
    return getattr(face, method)()


@pytest.mark.parametrize("name", sorted(NEEDS))
def test_who_has_not_the_role_is_told_so_in_one_line_and_nothing_is_done(name, own_demo):
    for role in (READER, TECHNICIAN):
        if role == READER or NEEDS[name] == LEAD:
            with pytest.raises(NotAllowedError) as refused:
                ask(Lab(own_demo, role=role), name)
            assert "\n" not in str(refused.value)
    try:
        ask(Lab(own_demo, role=LEAD), name)
    except NotAllowedError:
        pytest.fail("a lead may do all")
    except (TypeError, StainbookError, OSError):  # it was let in, and asked for more than nothing
        return


def test_a_role_that_is_not_known_is_refused():
    with pytest.raises(Exception, match="expected one of reader, technician, lead"):
        Lab(role="boss")


def test_the_book_itself_stores_nothing_for_a_reader(own_demo):
    book = Lab(own_demo, role=READER).book
    for write in (
        lambda: book.add_settings(Settings(scale_step=0.5)),
        lambda: book.frozen().add_settings(Settings(scale_step=0.5)),
        lambda: book.add_fit("outcomes", {}),
        lambda: book.erase_case("W-1042"),
        lambda: book.transaction().__enter__(),
    ):
        with pytest.raises(NotAllowedError, match="a reader may look"):
            write()


def recipe(state, coats=1):
    return LabRecipe("house", (Layer(Pot.of({"husk": 0.5}), coats),), state)


def test_approval_is_a_leads_by_whichever_way_it_is_stored(own_demo):
    lead, technician = (Lab(own_demo, author=role, role=role).book for role in (LEAD, TECHNICIAN))
    technician.revise_recipe(recipe("draft"))
    with pytest.raises(NotAllowedError, match="a lead alone"):
        technician.revise_recipe(recipe("approved"))
    with pytest.raises(NotAllowedError), technician.transaction() as step:
        step.revise_recipe(recipe("retired"))
    lead.revise_recipe(recipe("approved"))
    with pytest.raises(NotAllowedError):  # undoing it is deciding too
        technician.revise_recipe(recipe("draft"))
    technician.revise_recipe(recipe("draft", coats=2))  # another recipe, which nobody approved
    assert [one.author for one in lead.entered("recipe", "house")] == [TECHNICIAN, LEAD, TECHNICIAN]


def test_who_leads_and_what_they_see_is_a_leads(own_demo):
    lead, technician = (Lab(own_demo, author=role, role=role) for role in (LEAD, TECHNICIAN))
    lead.settings.keep_roles(leads=[], lead_sees_all=True, apprentices=[])
    with pytest.raises(NotAllowedError):
        technician.settings.undo()
    technician.settings.keep_annex(False)
    technician.settings.undo()


def test_a_lead_of_the_server_sees_all_numbers_where_the_lab_has_it_so(own_demo):
    for sees in (True, False):
        Lab(own_demo, role=LEAD).settings.keep_roles(leads=[], lead_sees_all=sees, apprentices=[])
        told = [
            {row.by for row in Lab(own_demo, author="north", role=role).numbers.of().rows}
            for role in (READER, TECHNICIAN, LEAD)
        ]
        assert ["technician" in groups for groups in told] == [False, False, sees]


# ---------------------------------------------------------------- pages


@pytest.fixture
def signed(own_demo, tmp_path, monkeypatch):
    """A function that signs somebody in for the pages that are drawn after."""
    app = Lab().app
    app.open_gate(ServerSettings(tmp_path / "accounts.db"))
    Accounts(tmp_path / "accounts.db").add("north", LEAD, subject="north", by="test")

    def sign_in(name, role):
        who = Signed("0" * 64, Account(name, role, True, None, "0"), "192.0.2.7")
        monkeypatch.setattr(case_source, "signed_in", lambda: who)
        monkeypatch.setattr(case_source, "practice", lambda: None)
        monkeypatch.setattr(case_source, "get_script_run_ctx", lambda **_: "a session")

    yield sign_in
    app.shut_gate()
    Lab.close_all()


@pytest.mark.parametrize("name", sorted(texts.PAGES))
def test_a_reader_sees_every_page_and_no_button_changes_anything(name, signed):
    signed("guest", READER)
    with writers() as wrote:
        page = AppTest.from_file(str(page_file(name)), default_timeout=60).run()
        assert not page.exception
        for key in [one.key for one in page.button if not one.disabled and one.key]:
            again = AppTest.from_file(str(page_file(name)), default_timeout=60).run()
            pressed = next((one for one in again.button if one.key == key), None)
            if pressed is not None:
                assert not pressed.click().run().exception, key
    assert wrote == set()


def test_what_is_stored_bears_the_name_of_who_signed_in(signed, own_demo):
    for name in ("north", "bench-2"):
        signed(name, TECHNICIAN)
        case_source.lab().settings.keep_person(f"of {name}")
    newest = Lab(own_demo).book.newest_entered("operator")
    assert {one.name: one.author for one in newest if one.name.startswith("of ")} == {
        "of north": "north",
        "of bench-2": "bench-2",
    }


def test_a_session_that_has_ended_is_told_so(signed, monkeypatch):
    signed("north", LEAD)
    monkeypatch.setattr(case_source, "signed_in", lambda: None)
    with pytest.raises(NotAllowedError, match="sign in again"):
        case_source.lab()


def test_a_lead_manages_accounts_on_the_settings_page_and_others_see_nothing_of_it(signed):
    for role, there in ((TECHNICIAN, False), (LEAD, True)):
        signed("north", role)
        page = AppTest.from_file(str(page_file("settings")), default_timeout=60).run()
        assert any("sign in" in one.value for one in page.subheader) is there
    page.text_input(key="account_new").set_value("bench-2").run()
    page.text_input(key="account_new_password").set_value("four words nobody guesses").run()
    page.button(key="account add").click().run()
    assert [one.account for one in case_source.lab().accounts().all().accounts] == ["bench-2", "north"]
    deeds = [(one.deed, one.account, one.about) for one in case_source.lab().accounts().log().log]
    assert deeds[-1] == ("account added", "north", "bench-2: technician")


def test_exports_and_erasures_are_noted_without_the_cases_code(signed):
    signed("north", LEAD)
    lab = case_source.lab()
    lab.exchange.packed_case("W-1042")
    lab.exchange.packed_book("zip")
    lab.exchange.erase("W-1042", why="asked for", sure=True)
    deeds = [(one.deed, one.about) for one in lab.accounts().log().log]
    assert [deed for deed, _ in deeds[-3:]] == ["export", "export", "erase"]
    assert "W-1042" not in str(deeds)


def test_a_report_that_a_reader_took_stands_in_the_list_of_what_was_handed_out(own_demo):
    told = []
    reader = Lab(own_demo, role=READER, told=lambda deed, about: told.append((deed, about)))
    assert reader.case("W-0971").report_file("csv")
    assert told == [("export", "report_file csv")]
