"""The label of a job tray: what it says, what its QR code opens, and what is told where no address is set."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from stainbook.book import open_book
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import Settings
from stainbook.report.label_drawing import LabelContent, label_pdf, label_svg, qr_rows
from stainbook.work.lab.settings import keep_host
from stainbook.work.reading.lab_settings import check_settings, host_of
from stainbook.work.sheets.case_label import NO_HOST, label_file, label_of, save_label
from tests.work.test_tray import BARE

HOST = "http://bench.local:8501"


def seen(rows: tuple[tuple[bool, ...], ...]) -> str:
    """What a camera makes of a QR code."""
    dark = np.pad(np.array(rows, dtype=np.uint8), 4)
    picture = np.kron(255 * (1 - dark), np.ones((8, 8), dtype=np.uint8))
    return str(cv2.QRCodeDetector().detectAndDecode(picture)[0])


def test_its_code_opens_the_case_by_a_random_id_and_never_by_its_code(tmp_path: Path) -> None:
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-1") as book:
        book.add_cases([BARE, replace(BARE, case="W-10")])
        bare = label_of(book, "W-1")
        assert (bare.address, bare.lines) == (None, ("11", "zirconia, glaze"))
        told = save_label(book, "W-1", tmp_path / "bare.svg")
        assert told.warnings == [NO_HOST]
        assert "Settings page" in told.warnings[0]
        assert b"<path" not in (tmp_path / "bare.svg").read_bytes()
        keep_host(book, "bench.local:8501/")
        content = label_of(book, "W-1")
        assert content.address == f"{HOST}/case?case={book.case_ids()['W-1']}"
        assert "W-1" not in content.address
        assert seen(qr_rows(content.address)) == content.address
        for kind in ("pdf", "html", "svg"):
            assert save_label(book, "W-1", tmp_path / f"label.{kind}").warnings == []
            assert (tmp_path / f"label.{kind}").read_bytes() == label_file(content, kind) or kind == "pdf"
        assert label_of(book, "W-1", "https://lab.example/stain").address == content.address.replace(
            HOST, "https://lab.example/stain"
        )
        keep_host(book, " ")
        assert label_of(book, "W-1").address is None
        for wrong in ("label.png", "label"):
            with pytest.raises(InputError, match=r"\.pdf, \.html or \.svg"):
                save_label(book, "W-1", tmp_path / wrong)
        with pytest.raises(UnknownNameError, match="W-9"):
            label_of(book, "W-9")


def test_hostile_and_long_codes_stay_text_on_the_label() -> None:
    drawn = label_svg(LabelContent('<script>"&', ("<b>", "x" * 200), HOST))
    assert "<script>" not in drawn
    assert "<b>" not in drawn
    assert label_pdf(LabelContent("W" * 60, ("\u202e",), HOST))[:4] == b"%PDF"


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("bench.local", "http://bench.local"), (" HTTP://Bench.Local:8501/ ", "http://bench.local:8501"),
        ("https://lab.example/stain/", "https://lab.example/stain"), ("192.168.1.5:8501", "http://192.168.1.5:8501"),
        ("http://[fe80::1]:8501", "http://[fe80::1]:8501"),
    ],
)  # fmt: skip
def test_an_address_is_written_in_one_way(typed: str, found: str) -> None:
    assert host_of(typed) == found
    assert host_of(found) == found
    check_settings(Settings(host=found))


@pytest.mark.parametrize(
    "typed",
    [
        "", "http://", "ftp://bench.local", "javascript:alert(1)", "http://u:p@bench.local", "bench local", "localhost",
        "http://127.0.0.1:8501", "[::1]", "0.0.0.0", "http://bench.local/a?b=c", "http://bench.local#x",
        "http://bench.local:99999", "http://bench.local/<b>",
    ],
)  # fmt: skip
def test_what_no_phone_can_open_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="expected"):
        host_of(typed)
    with pytest.raises(InputError, match="expected"):
        check_settings(Settings(host=typed or " "))
