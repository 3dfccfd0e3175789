"""Files handed in on the screen, and blank tables handed out."""

import io
import zipfile

import pytest

from catalog_schema.gear import TABLES
from recommender.dashboard.draft import DEMO_FOLDER
from recommender.dashboard.templates import template_archive, template_workbook
from recommender.dashboard.uploads import read_upload


def demo_files() -> dict[str, bytes]:
    return {f"{name}.csv": (DEMO_FOLDER / f"{name}.csv").read_bytes() for name in TABLES}


def test_csv_files_make_a_catalogue():
    upload = read_upload(list(demo_files().items()))
    assert upload.problems == ()
    assert upload.catalogue is not None and upload.catalogue.currency == "EUR"


@pytest.mark.parametrize("system", ["metric", "us"])
def test_blank_tables_come_back_as_a_catalogue(system):
    book = read_upload([("Catalogue.XLSX", template_workbook(system))])
    assert book.problems == () and book.catalogue is not None
    with zipfile.ZipFile(io.BytesIO(template_archive(system))) as archive:
        files = [(name, archive.read(name)) for name in archive.namelist()]
    folder = read_upload(files)
    assert folder.problems == () and folder.catalogue is not None
    assert folder.catalogue.tables() == book.catalogue.tables()


def test_a_broken_cell_is_told_with_its_place():
    files = demo_files()
    files["connectors.csv"] = files["connectors.csv"].replace(b"carabiner,30,", b"carabiner,thirty,", 1)
    upload = read_upload(list(files.items()))
    assert upload.catalogue is None
    (problem,) = upload.problems
    assert (problem.file, problem.line, problem.value) == ("connectors.csv", 2, "thirty")


def test_missing_tables_are_told_without_a_place_on_the_disk():
    upload = read_upload([("ropes.csv", demo_files()["ropes.csv"])])
    told = " ".join(map(str, upload.problems))
    assert {problem.file for problem in upload.problems} == {"redirects.csv", "slings.csv", "brakes.csv"}
    assert "tmp" not in told and "Choose it together" in told


def test_names_of_files_cannot_leave_their_folder():
    files = [(f"../../{name}", data) for name, data in demo_files().items()]
    assert read_upload(files).catalogue is not None
    windows = [(f"C:\\gear\\{name}", data) for name, data in demo_files().items()]
    assert read_upload(windows).catalogue is not None


@pytest.mark.parametrize(
    "names",
    [[], ["a.csv"] * 2, ["a.xlsx", "ropes.csv"], [f"{k}.csv" for k in range(30)], ["..."], ["x\x00.csv"]],
)
def test_odd_sets_of_files_are_refused_in_words(names):
    upload = read_upload([(name, b"id,name\n") for name in names])
    assert upload.catalogue is None and upload.problems


def test_a_file_that_is_no_table_is_not_passed_over():
    upload = read_upload([*demo_files().items(), ("prices 2.csv", b"a,b\n1,2\n")])
    assert upload.catalogue is None
    assert [problem.file for problem in upload.problems] == ["prices 2.csv"]


def test_a_workbook_that_is_none_is_told():
    upload = read_upload([("gear.xlsx", b"not a workbook")])
    assert upload.catalogue is None and upload.problems[0].file == "gear.xlsx"
