"""A case accepted, delivered and come back from the command line, by its file or by its code."""

from stainbook.files.case_writer import write_case
from stainbook.records import Case, CaseZone, LabRef, Target, Viewing
from tests.cli.console import document, refusal, stainbook


def test_the_way_out_and_back(tmp_path):
    target = Target(LabRef((72.0, 1.5, 17.0), Viewing()))
    now = LabRef((78.0, 1.5, 17.0), Viewing())
    write_case(tmp_path / "W-1.yaml", Case("W-1", (CaseZone(11, "middle", "tooth", now, target),), stage="glazed"))
    was = (tmp_path / "W-1.yaml").read_text()
    book = ("--book", f"sqlite:///{tmp_path / 'lab.db'}", "book")
    said = refusal(*book, "deliver", "W-1.yaml", cwd=tmp_path)
    assert "1 zone was read out of tolerance (11 middle) and nobody accepted" in said
    assert document(*book, "accept", "W-1.yaml", "--by", "clinic", cwd=tmp_path)["accepted_by"] == "clinic"
    assert stainbook(*book, "deliver", "W-1", cwd=tmp_path).stdout.strip() == "W-1: delivered, accepted by the clinic"
    assert (tmp_path / "W-1.yaml").read_text() == was  # a file is a way in, never written unasked
    stainbook(*book[:2], "case", "write", "W-1", "now.yaml", cwd=tmp_path)
    assert "stage: delivered" in (tmp_path / "now.yaml").read_text()
    undone = document(*book, "deliver", "W-1", "--undo", cwd=tmp_path)
    assert (undone["stage"], undone["accepted_by"]) == ("glazed", "clinic")
    document(*book, "deliver", "W-1", cwd=tmp_path)
    assert "clinic change" in refusal(*book, "return", "W-1", "--for", "colour", cwd=tmp_path)
    back = document(*book, "return", "W-1", "--for", "clinic change", cwd=tmp_path)
    assert (back["stage"], back["returned"], back["accepted_by"]) == ("returned", "clinic change", None)
