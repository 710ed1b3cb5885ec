"""What a file names is read where it may be, and nothing of what is no reading is shown."""

from __future__ import annotations

from pathlib import Path

import pytest

from stainbook.book import open_book
from stainbook.cli import main
from stainbook.errors import FileError, InputError
from stainbook.files import read_case, read_readings
from stainbook.inside import temporary, within
from stainbook.records import Reading, Viewing
from stainbook.work.lab.exchange import export, import_
from tests.book.worked import case

SECRET = "hunter2"
SECRETS = {
    "passwords": f"root:x:0:0:{SECRET}:/root:/bin/sh\nlab:x:1000:1000:{SECRET}::/bin/sh\n",
    "a key": f"-----BEGIN KEY-----\n{SECRET}\n-----END KEY-----\n",
    "an environment": f"DB_PASSWORD={SECRET}\n",
    "another table": f"name;{SECRET};salary\na;b;c\n",
    "half a CGATS": f'{SECRET} "open\nBEGIN_DATA\n',
    "another XML": f'<?xml version="1.0"?><{SECRET} a="b"/>\n',
    "a broken XML": f"<{SECRET}\n",
}  # fmt: skip
READINGS = "sample,L,a,b,illuminant,observer\nx,70,1,2,D65,10\n"


def told(capsys: pytest.CaptureFixture[str], *arguments: object) -> str:
    assert main([*map(str, arguments)]) == 2
    said = capsys.readouterr()
    assert len(said.err.splitlines()) == 1
    return said.err + said.out


@pytest.mark.parametrize("kind", SECRETS)
def test_nothing_of_a_file_that_is_no_reading_is_shown(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "secret").write_text(SECRETS[kind])
    folder = tmp_path / "lab"
    folder.mkdir()
    zone = "{tooth: 11, zone: cervical, now: {file: ../secret, sample: x}}"
    (folder / "case.yaml").write_text(f"case: W-1\nzones: [{zone}]\n")
    book = f"sqlite:///{tmp_path / 'lab.db'}"
    for arguments in (["bench", folder / "case.yaml"], ["convert", tmp_path / "secret"], ["read", tmp_path / "secret"]):
        said = told(capsys, "--book", book, *arguments)
        assert SECRET not in said
        assert "secret" in said


def test_a_scene_quotes_nothing_of_its_reference(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "secret").write_text(SECRETS["passwords"])
    zones = "zones: [{tooth: 11, zone: cervical, polygon: [[0, 0], [9, 0], [9, 9]]}]"
    (tmp_path / "scene.yaml").write_text(f"reference: secret\nrows: 4\ncolumns: 6\n{zones}\n")
    from PIL import Image

    Image.new("RGB", (64, 64)).save(tmp_path / "shot.png")
    assert SECRET not in told(capsys, "photo", tmp_path / "shot.png", tmp_path / "scene.yaml")


def test_the_lab_reads_its_own_files_wherever_they_lie_on_the_command_line(tmp_path: Path) -> None:
    (tmp_path / "readings.csv").write_text(READINGS)
    assert read_readings(tmp_path / "readings.csv").samples == ("x",)


@pytest.mark.parametrize("way", ["../readings.csv", "link.csv", "/", "linked/readings.csv"])
def test_within_a_folder_nothing_else_is_read(tmp_path: Path, way: str) -> None:
    folder = tmp_path / "lab"
    folder.mkdir()
    (tmp_path / "readings.csv").write_text(READINGS)
    (folder / "own.csv").write_text(READINGS)
    (folder / "link.csv").symlink_to(tmp_path / "readings.csv")
    (folder / "linked").symlink_to(tmp_path)
    path = tmp_path / "readings.csv" if way == "/" else folder / way
    with within(folder), temporary() as place:
        assert read_readings(folder / "own.csv").samples == ("x",)
        (Path(place) / "uploaded.csv").write_text(READINGS)
        assert read_readings(Path(place) / "uploaded.csv").samples == ("x",)
        with pytest.raises(FileError, match="a file in another folder") as caught:
            read_readings(path)
    assert str(tmp_path) not in str(caught.value)
    assert read_readings(path).samples == ("x",)


def test_a_case_within_a_folder_cannot_lead_out_of_it(tmp_path: Path) -> None:
    folder = tmp_path / "lab"
    folder.mkdir()
    (tmp_path / "case.yaml").write_text("case: W-1\nzones: [{tooth: 11, zone: cervical}]\n")
    (folder / "case.yaml").symlink_to(tmp_path / "case.yaml")
    with within(folder), pytest.raises(FileError, match="another folder"):
        read_case(folder / "case.yaml")


@pytest.mark.parametrize("name", ["readings.csv", "cases/W-1042.yaml", "stains.yaml", "history/0001.jsonl"])
def test_an_exchange_folder_whose_files_are_links_is_refused(tmp_path: Path, name: str) -> None:
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as book:
        book.add_readings([Reading("W-1042-11-cervical", lab=(70.0, 1.0, 2.0), viewing=Viewing())])
        book.add_cases([case()])
        export(book, tmp_path / "out")
    place = tmp_path / "out" / name
    (tmp_path / "elsewhere").write_text(place.read_text() if place.exists() else "- {name: husk}\n")
    place.unlink(missing_ok=True)
    place.symlink_to(tmp_path / "elsewhere")
    with open_book(f"sqlite:///{tmp_path / 'other.db'}") as other:
        with pytest.raises(InputError, match="another folder"):
            import_(other, tmp_path / "out")
        assert other.counts() == {}
