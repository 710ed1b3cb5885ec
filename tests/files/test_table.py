from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.errors import FileError
from stainbook.files.table import MAX_LINE, format_table, parse_table


def parse(text):
    return parse_table(text, Path("t.csv"), required=("sample",))


def cells(text):
    return [row.cells for row in parse(text).rows]


def message(text):
    with pytest.raises(FileError) as caught:
        parse(text)
    assert "\n" not in str(caught.value)
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("sample,n\na,1\n", ["a", "1"]),
        ("sample\tn, m\na,b\t1", ["a,b", "1"]),
        ("sample;n\tm\na\tb;1", ["a\tb", "1"]),
        ("sample;n\na;0,5", ["a", "0,5"]),
        ('sample,"n;m"\na,1', ["a", "1"]),
        ('"sample";"n"\n"a;b";"1"', ["a;b", "1"]),
        ('sample,n\na,"0,5"', ["a", "0,5"]),
        ("sep=;\nsample;n\na;1", ["a", "1"]),
        ("sample,n\n a , 1 ", ["a", "1"]),
        ('sample,n\n"a ""b""\nc",1', ['a "b"\nc', "1"]),
        ("sample,n,,\na,1,,", ["a", "1", "", ""]),
        ("sample,n\na,1,,", ["a", "1", "", ""]),
    ],
)
def test_dialects(text, expected):
    assert cells(text) == [expected]


def test_blank_lines_comments_and_rows_of_empty_cells_are_skipped_and_still_counted():
    table = parse('# made "today\n\n  \n,,\nsample,n\n# 5" plate, old\na,1\n\n,,\nb,2\n')
    assert [(row.line, row.cells[0]) for row in table.rows] == [(7, "a"), (10, "b")]


def test_a_quoted_cell_over_several_lines_does_not_hide_where_the_next_row_stands():
    table = parse('sample,n\n"a\n# no comment\n\nz",1\nb,2\n')
    assert [(row.line, row.cells) for row in table.rows] == [(2, ["a\n# no comment\n\nz", "1"]), (6, ["b", "2"])]


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("# only\n", ["no header", "sample"]),
        ("name,n\na,1", ["row 1", "none of its columns", "'sample'"]),
        ("name,L,a,b\na,1,2,3", ["row 1", "name, L, a, b", "'sample'"]),
        ("sample,N,n\na,1,2", ["'n' twice"]),
        ("sample,L,L*\na,1,2", ["'L*' twice"]),
        ("sample,n\na", ["row 2", "1 cell", "2 as in the header"]),
        ("sample,n\na,0,5", ["row 2", "3 cells", "decimal comma", "quotes"]),
        ("sample,n,\na,1,x", ["row 2", "'x' under no header"]),
        ('sample,n\n"a,1\nb,2', ["row 2", "paired quotes"]),
        ('sample,n\n"a"b,1', ["row 2", "paired quotes"]),
        ("sample,n\n" + "a" * (MAX_LINE + 1), ["row 2", f"at most {MAX_LINE}"]),
        (";;\n", ["row 1", "'sample'"]),
    ],
)
def test_malformed_tables_are_refused(text, parts):
    found = message(text)
    assert all(part in found for part in parts), found


def test_unknown_columns_are_named_with_the_nearest_known():
    warnings = parse("sample,taken at,Colour of box\na,1,2").unknown_columns(("sample", "taken_at"))
    assert len(warnings) == 2
    assert "'taken at'" in warnings[0]
    assert "did you mean taken_at?" in warnings[0]
    assert "'Colour of box'" in warnings[1]


text_cells = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=12).map(str.strip)


@given(st.lists(st.tuples(text_cells.filter(bool), text_cells), max_size=5))
def test_tables_written_read_back(rows):
    assert cells(format_table(("sample", "n"), rows)) == [list(row) for row in rows]
