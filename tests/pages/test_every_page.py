"""What holds for every page: a book that fails, and a slip of the program, are one sentence and no traceback."""

import pytest
from streamlit.testing.v1 import AppTest

from stainbook.lab import Lab
from stainbook.pages.shell import texts
from stainbook.pages.shell.page_list import page_file


@pytest.mark.parametrize("name", texts.PAGES)
def test_a_damaged_book_is_a_sentence(own_demo, monkeypatch, tmp_path, name):
    damaged = tmp_path / "damaged.db"
    damaged.write_bytes(b"no book " * 1000)
    monkeypatch.setenv("STAINBOOK_BOOK", f"sqlite:///{damaged}")
    Lab.close_all()
    page = AppTest.from_file(str(page_file(name)), default_timeout=60).run()
    assert not page.exception
    said = " ".join(one.value for one in page.warning)
    assert "Traceback" not in said
    assert said or name in ("new_case", "photo", "guide")  # which ask nothing of the book until something is brought


def test_a_slip_of_the_program_is_a_sentence():
    def slip():
        from stainbook.pages.shell import texts
        from stainbook.pages.shell.page_frame import show_page

        def draw():
            raise RuntimeError("nobody foresaw this")

        show_page(texts.PAGES["exchange"], draw, cannot=texts.CANNOT)

    page = AppTest.from_function(slip).run()
    assert not page.exception
    assert page.warning[0].value == texts.FAILED
