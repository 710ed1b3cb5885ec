"""Each malformed file gives its one clear line and exit status 2, and nothing is stored."""

import os
import subprocess
import sys
import time

import pytest

from stainbook.book import open_book
from stainbook.cli import main
from stainbook.errors import UnknownNameError, some_of
from stainbook.files import read_readings, read_stains
from stainbook.files.text import MAX_TABLE_BYTES, read_text
from stainbook.notices import watching
from tests.cli.console import RECIPES
from tests.files.helpers import refused

GOOD = "sample,L,a,b,illuminant,observer\nx,70,1,2,D65,2\n"
WAVES = list(range(400, 701, 10))


def spectra(waves, value="0.5"):
    return ",".join(["sample", *map(str, waves)]) + "\n" + ",".join(["x", *[value] * len(waves)]) + "\n"


READINGS = {
    "wrong encoding": (GOOD.replace("x", "né").encode("latin-1"), "UTF-8"),
    "another script's encoding": (GOOD.encode("utf-32"), "row 1"),
    "ragged rows": (GOOD + "y,70,1\n", "row 3"),
    "a header that is missing": ("x,70,1,2\n", "'sample'"),
    "a header twice": (GOOD.replace("b,", "a,", 1), "twice"),
    "mixed decimals": ("sample;L;a;b\nx;70,5;1;2\ny;70.5;1;2\n", "row 3"),
    "an impossible lightness": (GOOD.replace("70", "170"), "L* from 0 to 100"),
    "an impossible chroma": (GOOD.replace(",1,", ",999,"), "a* from"),
    "NaN": (GOOD.replace("70", "NaN"), "'NaN'"),
    "infinity": (GOOD.replace("70", "-inf"), "'-inf'"),
    "wavelengths that do not cover": (spectra(range(420, 701, 10)), "cover 400 to 700"),
    "wavelengths that step unevenly": (spectra([*range(400, 700, 10), 705]), "even steps"),
    "percent without saying so": (spectra(WAVES, "50"), "scale"),
    "duplicates that disagree": ("sample,L,a,b,surface\nx,70,1,2,matt\nx,70,1,2,glazed\n", "another surface"),
    "an unknown word": ("sample,L,a,b,surface\nx,70,1,2,mat\n", "did you mean matt?"),
    "an unknown observer": (GOOD.replace("D65,2", "D65,5"), "2 or 10"),
    "an unknown light": (GOOD.replace("D65", "D66"), "D65"),
    "a date that is none": ("sample,L,a,b,taken_at\nx,70,1,2,2026-02-30\n", "2026-02-30"),
    "a zip renamed": (b"PK\x03\x04" + bytes(200), "zip archive"),
    "a picture renamed": (b"\x89PNG\r\n\x1a\n" + bytes(100), "row 1"),
    "nothing": (b"", "empty"),
    "only a header": (b"sample,L,a,b\n", "no reading"),
    "a null character": (GOOD.replace("x", "x\x00"), "U+0000"),
    "an escape sequence": (GOOD.replace("x", "x\x1b[31m"), "U+001B"),
    "a quote that never ends": ('sample,L,a,b\n"x,70,1,2\n', "row 2"),
    "one endless line": ("sample,L,a,b\nx," + "7" * 300_000, "characters"),
    "a broken CGATS table": ("CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L\n", "END_DATA_FORMAT"),
    "XML with entities": ('<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>', "document type"),
    "XML that is no CxF3": ("<svg/>", "CxF"),
}  # fmt: skip


def told(capsys, *arguments):
    assert main([*map(str, arguments)]) == 2
    output = capsys.readouterr()
    (line,) = output.err.splitlines()
    assert output.out == ""
    assert line.startswith("stainbook: ")
    assert len(line) < 1000
    return line


@pytest.mark.parametrize("name", READINGS)
def test_readings(tmp_path, capsys, name):
    data, part = READINGS[name]
    path = tmp_path / "readings.csv"
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    book = f"sqlite:///{tmp_path / 'lab.db'}"
    line = told(capsys, "--book", book, "read", path)
    assert "readings.csv" in line
    assert part in line, line
    with open_book(book) as shelves:
        assert shelves.readings() == ()


BOMB = "a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n"
CASES = {
    "a YAML bomb": (BOMB, "anchor"),
    "a YAML tag": ("case: !!python/object/apply:os.system ['true']\nzones: []\n", "tag"),
    "nesting beyond reason": ("case: W\nzones: " + "[" * 400 + "]" * 400, "levels"),
    "two documents": ("case: W\nzones: []\n---\ncase: V\n", "second document"),
    "a wrong tooth": ("case: W\nzones:\n- {tooth: 19, zone: cervical}\n", "ISO 3950"),
    "an unknown zone": ("case: W\nzones:\n- {tooth: 11, zone: cervcal}\n", "did you mean cervical?"),
    "an unknown key": ("case: W\nzons: []\n", "did you mean zones?"),
    "an unknown stage": ("case: W\nstage: blastd\nzones: [{tooth: 11, zone: middle}]\n", "did you mean blasted?"),
    "a key twice": ("case: W\ncase: V\nzones: []\n", "twice"),
    "shares above 1": (
        "case: W\nzones: [{tooth: 11, zone: middle}]\neffects: [{tooth: 11, effect: halo, pot: {a: 0.7, b: 0.5}}]\n",
        "add up to 1.2",
    ),
    "a missing file": ("case: W\nzones: [{tooth: 11, zone: middle, now: {file: no.csv, sample: x}}]\n", "no.csv"),
}


@pytest.mark.parametrize("name", CASES)
def test_cases(tmp_path, capsys, name):
    text, part = CASES[name]
    (tmp_path / "case.yaml").write_text(text, encoding="utf-8")
    line = told(capsys, "--book", f"sqlite:///{tmp_path / 'lab.db'}", "bench", tmp_path / "case.yaml")
    assert part in line, line


def test_chips_whose_shares_are_more_than_one_leave_the_book_empty(tmp_path, capsys):
    text = (RECIPES / "chips.csv").read_text(encoding="utf-8").splitlines()
    row = text[1].replace("clear-plate-pale", "mix")
    bad = [*text, row.replace(",clear,1,", ",husk,0.7,"), row.replace(",clear,1,", ",teasel,0.5,")]
    (tmp_path / "chips.csv").write_text("\n".join(bad), encoding="utf-8")
    book = f"sqlite:///{tmp_path / 'lab.db'}"
    line = told(capsys, "--book", book, "calibrate", tmp_path / "chips.csv", RECIPES / "readings.csv")
    assert "add up to 1.2" in line
    with open_book(book) as shelves:
        assert shelves.counts() == {}


# ---------------------------------------------------------------- what is no file to read


def test_a_file_of_two_gigabytes_is_refused_unread(tmp_path):
    path = tmp_path / "big.csv"
    with path.open("wb") as stream:
        stream.truncate(2 * 2**30)  # sparse: it takes no room on the disk
    refused(read_readings, path, "more than 64 MB", "split it")
    assert path.stat().st_size > MAX_TABLE_BYTES
    refused(read_stains, path, "more than 4 MB")


@pytest.mark.parametrize("make", [lambda path: path.mkdir(), os.mkfifo], ids=["a folder", "a pipe"])
def test_a_folder_and_a_pipe_do_not_hang(tmp_path, make):
    make(tmp_path / "readings.csv")
    refused(read_readings, tmp_path / "readings.csv", "give the file itself")


def test_two_million_rows_are_refused_at_once_with_the_bound(tmp_path):
    path = tmp_path / "many.csv"
    path.write_text("sample,L,a,b\n" + "x,70,1,2\n" * 2_000_000)
    began = time.process_time()
    refused(read_readings, path, "2,000,001 rows", "at most 100,000", "split it")
    assert time.process_time() - began < 10.0


def test_progress_is_told_while_many_rows_are_read(tmp_path):
    path, heard = tmp_path / "some.csv", []
    path.write_text("sample,L,a,b,illuminant,observer\n" + "".join(f"x{n},70,1,2,D65,10\n" for n in range(6000)))
    with watching(heard.append):
        read_readings(path)
    assert heard == [f"{path}: 5,000 of 6,000 rows are read"]


def test_a_message_names_ten_things_and_counts_the_others():
    assert some_of(range(12)) == "0, 1, 2, 3, 4, 5, 6, 7, 8, 9 and 2 more"
    assert some_of(["a", "b"]) == "a, b"
    error = UnknownNameError("stain", "x" * 5000, [f"stain-{n}" for n in range(500)])
    assert len(str(error)) < 400


def test_a_missing_file_is_told(tmp_path):
    refused(read_readings, tmp_path / "readings.csv", "no such file")


def test_a_pipe_that_takes_the_place_of_a_file_does_not_hang(tmp_path, monkeypatch):
    path = tmp_path / "readings.csv"
    path.write_text(GOOD)
    was = path.stat()
    path.unlink()
    os.mkfifo(path)
    monkeypatch.setattr(type(path), "stat", lambda self: was)
    refused(read_readings, path, "a pipe or device")


@pytest.mark.parametrize("change", ["grows", "shrinks", "is written anew"])
def test_a_file_that_changes_while_it_is_read_is_refused(tmp_path, monkeypatch, change):
    path = tmp_path / "readings.csv"
    path.write_text(GOOD * 10)
    real, calls = os.fstat, []

    def fstat(fd):
        calls.append(fd)
        if len(calls) == 2:  # the file was read, and is looked at once more
            path.write_text({"grows": GOOD * 20, "shrinks": GOOD, "is written anew": GOOD * 10}[change])
            os.utime(path, ns=(1, 1))
        return real(fd)

    monkeypatch.setattr("stainbook.files.text.os.fstat", fstat)
    refused(lambda path: read_text(path, "a readings file"), path, "changed while it was read", "try again")


def test_a_case_from_a_pipe_is_told_by_the_command_too(tmp_path):
    os.mkfifo(tmp_path / "case.yaml")
    done = subprocess.run(
        [sys.executable, "-m", "stainbook", "sheet", tmp_path / "case.yaml"], capture_output=True, text=True, timeout=60
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert "a pipe or device" in done.stderr
