import os
from pathlib import Path

import pytest

from stainbook.errors import InputError
from stainbook.files.text import read_text, write_text
from tests.files.helpers import refused, saved

MARKS = {"utf-8": b"", "utf-8-sig": b"", "utf-16-le": b"\xff\xfe", "utf-16-be": b"\xfe\xff"}


def read(path: Path) -> str:
    return read_text(path, "a readings file")


@pytest.mark.parametrize(("encoding", "mark"), MARKS.items())
def test_encodings_of_spreadsheets(tmp_path, encoding, mark):
    assert read(saved(tmp_path, mark + "sample;Größe\r\nä;1".encode(encoding))) == "sample;Größe\nä;1"


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_line_ends_of_all_systems(tmp_path, end):
    assert read(saved(tmp_path, end.join(["a", "b", ""]))) == "a\nb\n"


@pytest.mark.parametrize(
    ("data", "parts"),
    [
        (b"", ["empty"]),
        (b"\xef\xbb\xbf", ["empty"]),
        (b" \n\n", ["empty"]),
        (b"PK\x03\x04rest", ["workbook", "CSV"]),
        ("a\nk\u00e4se".encode("latin-1"), ["row 2", "UTF-8"]),
        (b"\xff\xfea", ["UTF-16"]),
        ("sample,L".encode("utf-16-le"), ["U+0000", "UTF-8"]),
        (b"a\nb\x1b[31m", ["row 2", "U+001B"]),
    ],
)
def test_what_is_no_text_is_refused(tmp_path, data, parts):
    refused(read, saved(tmp_path, data), *parts)


def test_a_missing_file_a_folder_and_a_pipe_are_refused(tmp_path):
    refused(read, tmp_path / "none.csv", "no such file")
    refused(read, tmp_path, "a folder")
    os.mkfifo(tmp_path / "pipe.csv")
    refused(read, tmp_path / "pipe.csv", "pipe or device")


def test_a_name_that_no_file_can_have_is_refused():
    with pytest.raises(InputError, match="cannot be read"):
        read(Path("a\0b"))


def test_a_file_beyond_the_limit_is_refused(tmp_path):
    path = saved(tmp_path, "a" * 1025)
    refused(lambda p: read_text(p, "a case", limit=1024), path, "MB")
    assert len(read_text(path, "a case", limit=1025)) == 1025


def test_a_place_that_cannot_be_written_is_refused(tmp_path):
    refused(lambda p: write_text(p, "x"), tmp_path / "none" / "x.csv", "cannot be written")
