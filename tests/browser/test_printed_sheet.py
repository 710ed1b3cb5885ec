"""The plan of the demonstration arch as Chromium prints it: one page of A4."""

from __future__ import annotations

import re

from stainbook.book import open_book
from stainbook.work.app.demo import make_demo_book
from stainbook.work.case.case_plan import plan_file
from stainbook.work.sheets.plan_sheet import save_html


def test_the_plan_of_an_arch_prints_on_one_page(browser, tmp_path):
    with open_book(make_demo_book(tmp_path)) as book:
        save_html(plan_file(book, "W-1042"), tmp_path / "sheet.html")
    page = browser.new_page()
    page.goto((tmp_path / "sheet.html").as_uri())
    printed = page.pdf(prefer_css_page_size=True)
    page.close()
    assert len(re.findall(rb"/Type /Page\b", printed)) == 1
