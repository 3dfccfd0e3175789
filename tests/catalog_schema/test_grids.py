"""Grids from CSV files: separators, records, blank cells, and rubbish."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_schema.gear import Connector
from catalog_schema.grids import LARGEST_FILE, MOST_COLUMNS, decode, grid_of, read_bytes, read_csv
from catalog_schema.problems import InputError, ProblemCode
from catalog_schema.rows import read_rows
from catalog_schema.toml_files import line_of, toml_value


def written(tmp_path, text: str | bytes):
    path = tmp_path / "t.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


@pytest.mark.parametrize(
    ("text", "delimiter"),
    [
        ("a,b\n1,2", ","),
        ("a;b\n1;2", ";"),
        ("a\tb\n1\t2", "\t"),
        ("\n\n a;b\n1;2", ";"),
        ("a", ","),
        ("a;b,c;d", ";"),
    ],
)
def test_separators(tmp_path, text, delimiter):
    assert read_csv(written(tmp_path, text)).delimiter == delimiter


def test_blank_rows_and_columns(tmp_path):
    grid = read_csv(written(tmp_path, ",,\n,a,,b,\n,,,,\n,1,,2\n\n,3\n"))
    assert grid.header == ("a", "b")
    assert grid.header_line == 2
    assert [(row.line, row.cells) for row in grid.rows] == [(4, ("1", "2")), (6, ("3",))]


def test_lines_of_records_with_line_breaks(tmp_path):
    grid = read_csv(written(tmp_path, 'a,b\n"x\ny",1\n"z",2\n'))
    assert [row.line for row in grid.rows] == [2, 4]


def test_lines_after_a_separator_line(tmp_path):
    grid = read_csv(written(tmp_path, "sep=;\na;b\n1;2\n"))
    assert (grid.header_line, grid.rows[0].line, grid.header) == (2, 3, ("a", "b"))


def test_an_apostrophe_is_taken_off_only_where_it_guards(tmp_path):
    grid = read_csv(written(tmp_path, "a,b,c,d\n'=1,''-2,'tis,'\n"))
    assert grid.rows[0].cells == ("=1", "'-2", "'tis", "'")


def test_header_text_is_on_one_line(tmp_path):
    assert read_csv(written(tmp_path, '"min_break\n [kN]",b\n1,2\n')).header == ("min_break [kN]", "b")


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", ProblemCode.FILE_EMPTY),
        (b" \r\n\t\n", ProblemCode.FILE_EMPTY),
        (b"\xef\xbb\xbf", ProblemCode.FILE_EMPTY),
        (b"a,b\n1,\x00", ProblemCode.FILE_UNREADABLE),
        (b"a,b\n1,\x81\xff", ProblemCode.FILE_UNREADABLE),
        (b"\xff\xfea", ProblemCode.FILE_UNREADABLE),
        (b"%PDF-1.7", ProblemCode.FILE_UNREADABLE),
        (b'a,b\n"x"y,2\n', ProblemCode.FILE_UNREADABLE),
        (b'a\n"' + b"x" * 200_000 + b'"\n', ProblemCode.FILE_UNREADABLE),
        (b"a" + b",b" * MOST_COLUMNS, ProblemCode.FILE_TOO_LARGE),
        (b"a" * (LARGEST_FILE + 1), ProblemCode.FILE_TOO_LARGE),
    ],
)
def test_files_that_are_refused(tmp_path, data, code):
    with pytest.raises(InputError) as caught:
        read_csv(written(tmp_path, data))
    assert [one.code for one in caught.value.problems] == [code]


@pytest.mark.parametrize("name", ["x\0y", "y" * 5000])
def test_names_that_no_file_can_have(tmp_path, name):
    with pytest.raises(InputError) as caught:
        read_bytes(tmp_path / name)
    assert [one.code for one in caught.value.problems] == [ProblemCode.FILE_UNREADABLE]


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_are_text_or_an_input_error(data):
    try:
        decode(data, "x.csv")
    except InputError as error:
        assert error.problems[0].hint


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.lists(st.text(max_size=8) | st.floats() | st.booleans() | st.dates(), max_size=7), max_size=5)
)
def test_any_cells_are_rows_or_problems(cells):
    try:
        grid = grid_of("x", enumerate([["id", "name", "kind", "wll [kN]", "price"], *cells], start=1))
    except InputError:
        return
    read = read_rows(grid, Connector)
    told = {problem.line for problem in read.problems}
    assert {row.line for row in grid.rows} == set(read.lines) | told
    assert not set(read.lines) & told


def test_lines_of_settings():
    text = 'name = "x"\n[crew]\nclimbers=1\n[ line ]\n"tail" = "3 m"\n'
    assert line_of(text, ("name",)) == 1
    assert line_of(text, ("crew",)) == 2
    assert line_of(text, ("crew", "climbers")) == 3
    assert line_of(text, ("line", "tail")) == 5
    assert line_of(text, ("climbers",)) == 0


@pytest.mark.parametrize(
    "value", ["", 'a "quote"', "back\\slash", "new\nline", "ä€🌲\x7f", True, 3.0, 0.1, 1e300]
)
def test_toml_values_read_back(value):
    import tomllib

    assert tomllib.loads(f"x = {toml_value(value)}")["x"] == value
