"""Files handed in on the screen, with what is unclear in them; and blank tables handed out."""

import io
import zipfile
from datetime import date

import pytest

from catalog_schema.catalogue import load_catalogue
from catalog_schema.gear import TABLES
from recommender.dashboard.checking import Checked, check
from recommender.dashboard.draft import DEMO_FOLDER, empty
from recommender.dashboard.templates import template_archive, template_workbook
from recommender.dashboard.uploads import LEFT_OUT, Upload, read_upload


def demo_files() -> dict[str, bytes]:
    return {f"{name}.csv": (DEMO_FOLDER / f"{name}.csv").read_bytes() for name in TABLES}


def checked(upload: Upload, settled=None) -> Checked:
    return check(empty().with_rows(**upload.rows(settled)), "metric", date(2026, 6, 1))


def test_csv_files_make_the_catalogue_that_they_are():
    upload = read_upload(list(demo_files().items()))
    assert upload.problems == () and upload.unclear() == ()
    read, catalogue = load_catalogue(DEMO_FOLDER), checked(upload).catalogue
    assert catalogue is not None and catalogue.ids == read.ids and catalogue.currency == read.currency
    for name, rows in read.tables().items():
        for one, other in zip(catalogue.tables()[name], rows, strict=True):
            for column, value in other.model_dump().items():
                was = pytest.approx(value, rel=1e-12) if isinstance(value, float | tuple) else value
                assert getattr(one, column) == was


def test_one_table_alone_is_no_fault_where_the_others_are_kept():
    ropes = [("ropes.csv", demo_files()["ropes.csv"])]
    assert [one.problems != () for one in (read_upload(ropes), read_upload(ropes, may_lack=True))] == [
        True,
        False,
    ]
    assert list(read_upload(ropes, may_lack=True).rows()) == ["catalogue/ropes"]


@pytest.mark.parametrize("system", ["metric", "us"])
def test_blank_tables_come_back_as_a_catalogue(system):
    book = read_upload([("Catalogue.XLSX", template_workbook(system))])
    assert book.problems == () and checked(book).catalogue is not None
    with zipfile.ZipFile(io.BytesIO(template_archive(system))) as archive:
        folder = read_upload([(name, archive.read(name)) for name in archive.namelist()])
    assert folder.problems == ()
    for one, other in zip(folder.rows().values(), book.rows().values(), strict=True):
        for left, right in zip(one, other, strict=True):
            assert left == {
                name: pytest.approx(cell) if isinstance(cell, float) else cell for name, cell in right.items()
            }


def test_a_broken_cell_comes_along_as_it_was_written():
    files = demo_files()
    files["connectors.csv"] = files["connectors.csv"].replace(b"carabiner,30,", b"carabiner,thirty,", 1)
    upload = read_upload(list(files.items()))
    assert upload.problems == () and upload.unclear() == ()
    assert upload.rows()["catalogue/connectors"][0]["min_break"] == "thirty"
    found = checked(upload)
    assert [(one.file, one.line, one.value) for one in found.problems] == [("connectors", 2, "thirty")]


HEADER = b"id,name,kind,min_break [kN],price"
ROW = b"S1,shackle,shackle,80,9"


def connectors(header: bytes, row: bytes = ROW) -> Upload:
    return read_upload([*((n, d) for n, d in demo_files().items() if n != "connectors.csv"),
                        ("connectors.csv", header + b"\n" + row + b"\n")])  # fmt: skip


@pytest.mark.parametrize(
    ("header", "row", "place", "choice", "kept"),
    [
        (b"id,name,kind,breaking load,price", ROW, 3, "min_break [kN]", {"min_break": 80_000.0}),
        (b"id,name,kind,min_break,price", ROW, 3, "min_break [kN]", {"min_break": 80_000.0}),
        (
            b"id,name,kind,min_break [kN],min_break [lbf]",
            ROW,
            4,
            "price",
            {"min_break": 80_000.0, "price": 9.0},
        ),
        (b"id,name,kind,min_break [kg],price", ROW, 3, "min_break [kN]", {"min_break": 80_000.0}),
        (HEADER + b",colour", ROW + b",red", 5, LEFT_OUT, {"price": 9.0}),
        (HEADER, ROW + b",,red", 6, "note", {"note": "red"}),
    ],
)
def test_an_unclear_heading_is_settled_and_nothing_is_guessed(header, row, place, choice, kept):
    upload = connectors(header, row)
    (one,) = upload.unclear()
    assert (one.table, one.place) == ("connectors", place) and choice in one.options
    with pytest.raises(ValueError, match="settled"):
        upload.rows()
    (made,) = upload.rows({(one.table, one.place): choice})["catalogue/connectors"]
    assert {name: made[name] for name in kept} == kept
    assert checked(upload, {(one.table, one.place): choice}).catalogue is not None


def test_missing_tables_are_told_without_a_place_on_the_disk():
    upload = read_upload([("ropes.csv", demo_files()["ropes.csv"])])
    told = " ".join(map(str, upload.problems))
    assert {problem.file for problem in upload.problems} == {"redirects.csv", "slings.csv", "brakes.csv"}
    assert "tmp" not in told and "empty here" in told
    assert len(upload.rows()["catalogue/ropes"]) == len(load_catalogue(DEMO_FOLDER).ropes)


def test_names_of_files_cannot_leave_their_folder():
    files = [(f"../../{name}", data) for name, data in demo_files().items()]
    assert len(read_upload(files).grids) == len(TABLES)
    windows = [(f"C:\\gear\\{name}", data) for name, data in demo_files().items()]
    assert len(read_upload(windows).grids) == len(TABLES)


@pytest.mark.parametrize(
    "names",
    [[], ["a.csv"] * 2, ["a.xlsx", "ropes.csv"], [f"{k}.csv" for k in range(30)], ["..."], ["x\x00.csv"]],
)
def test_odd_sets_of_files_are_refused_in_words(names):
    upload = read_upload([(name, b"id,name\n") for name in names])
    assert upload.problems and (not upload.grids or names == ["a.xlsx", "ropes.csv"])


def test_a_file_that_is_no_table_is_not_passed_over():
    upload = read_upload([*demo_files().items(), ("prices 2.csv", b"a,b\n1,2\n")])
    assert [problem.file for problem in upload.problems] == ["prices 2.csv"]


def test_a_workbook_that_is_none_is_told():
    upload = read_upload([("gear.xlsx", b"not a workbook")])
    assert not upload.grids and upload.problems[0].file == "gear.xlsx"
