"""What else waits on the start page: each line leads on with one press."""

from stainbook.lab import Lab
from stainbook.pages.start import also_texts as words


def test_each_line_leads_on_with_one_press(open_page, own_demo, monkeypatch):
    from stainbook.pages.start import also_parts

    went = []
    monkeypatch.setattr(also_parts, "go_to", went.append)
    with Lab(own_demo) as lab:
        lab.case("W-1051").way.did("try-in")
    page = open_page("start")
    said = " ".join(one.value for one in page.markdown)
    assert "weekly-plate was read last on" in said.replace("\\", "")
    assert "W-1051 is out for a try-in since" in said.replace("\\", "")
    page.button(key="try-in W-1051").click().run()
    assert page.session_state["case_page_choices"].case == "W-1051"
    page.button(key="chip-due weekly-plate").click().run()
    assert went == ["case_page", "stains_page"]
    assert page.session_state["kept"]["control_chip"] == "weekly-plate"
    assert next(one.value for one in page.subheader) == words.TITLE
