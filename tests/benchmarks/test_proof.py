"""The proof runs: every table has a row, every way a figure. The whole of it takes half an hour and is no test."""

from tests.benchmarks import proof
from tests.worlds.photo_chart_only import PHOTO_WAYS
from tests.worlds.side_by_side import WAYS


def test_every_table_is_printed(capsys):
    proof.main(["--quick"])
    printed = capsys.readouterr().out
    assert printed.startswith("Simulated.")
    for line in (*proof.BY_LAB, *proof.BY_BLANK, *proof.BY_SCENE):
        assert f"\n{line.title}\n" in printed
    for row in ("| matt, 12% |", "| unsintered, 12% |", "| raw, living gum |"):
        assert row in printed
    for way in (*WAYS, *PHOTO_WAYS):
        assert f" {way} |" in printed
    assert "nan" not in printed
