"""Every page in the pseudo-language: what stands there is a text of the catalogue, a name, or a number."""

import pytest
from streamlit.testing.v1 import AppTest

from stainbook.pages.shell import texts
from stainbook.pages.shell.page_list import page_file
from tests.pages.seen import on_page
from tests.tools.catalogue import PSEUDO, outside, write_pseudo


@pytest.fixture(scope="module")
def catalogues(tmp_path_factory):
    return write_pseudo(tmp_path_factory.mktemp("catalogues"))


@pytest.mark.parametrize("name", texts.PAGES)
def test_dump(lab, catalogues, monkeypatch, name):
    monkeypatch.setenv("STAINBOOK_CATALOGUES", str(catalogues))
    monkeypatch.setenv("STAINBOOK_LANG", PSEUDO)
    page = AppTest.from_file(str(page_file(name)), default_timeout=120)
    page.session_state[f"help {name}"] = True
    page.session_state["weekly"] = True
    page.run()
    assert not page.exception
    with open("/tmp/say_b_leaks.txt", "a") as f:
        for kind, text in dict.fromkeys(on_page(page)):
            bad = outside(text)
            if bad:
                f.write(f"{name}\t{kind}\t{bad}\t{text[:200]!r}\n")
