"""PDF files: read again and compared with the result; whatever the texts hold, they are made."""

from __future__ import annotations

import datetime
import io
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from recommender.diagrams.scene import WIDTH
from recommender.diagrams.setup import DONE
from recommender.diagrams.svg import cut_to
from recommender.explain.crews import by_crew
from recommender.files.letters import MISSING, MISSING_NOTE, as_markup, printable
from recommender.files.order_list import order_groups
from recommender.files.reasons_tables import items_why_table
from recommender.files.report_pdf import hardest_setups, order_pdf, report_pdf
from recommender.report.figures import amount, force, percent
from recommender.report.kit_text import TECHNIQUE_WORDS
from recommender.report.specification import catalogue_id
from recommender.sourced import citations

DAY = datetime.date(2025, 3, 1)


def pages_of(data: bytes) -> list[str]:
    """The text of every page, without blanks: lines break anywhere."""
    return ["".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(data)).pages]


_MADE: dict[tuple[Any, ...], bytes] = {}


def report(case: Any, system: Any, date: datetime.date | None = None, make: Any = report_pdf) -> bytes:
    """A file of one of the plans that all tests share, made once."""
    key = (make, id(case.result), system, date)
    if key not in _MADE:
        _MADE[key] = make(case.result, case.plan, system, date=date)
    return _MADE[key]


def squeezed(text: str) -> str:
    return "".join(printable(text).split())


def test_everything_of_the_kit_is_on_paper(case: Any) -> None:
    foot = squeezed(case.result.cautions[-1])  # head and foot of a page are drawn before what stands on it
    text = "".join(page.split(foot, 1)[1] for page in pages_of(report(case, case.system, DAY)))
    for item in case.result.items:
        assert squeezed(catalogue_id(item.id)) in text and squeezed(item.name) in text
        if not item.owned:
            assert amount(item.price) in text
    assert squeezed(f"Total to buy: {case.result.currency} {amount(case.result.purchase_cost)}") in text
    for one in case.result.assignments:
        assert squeezed(one.job) in text
        assert force(one.line_tension_n, case.system).split()[0] in text
        for part, used in one.utilisation.items():
            assert squeezed(percent(used) + (" locked" if one.governing[part] == "jam" else "")) in text
    for note in (*by_crew(case.plan, case.result).notes, case.result.notice):
        assert squeezed(note) in text
    whole = "".join(pages_of(report(case, case.system, DAY)))
    for technique in {one.technique for one in case.result.assignments}:
        assert f"{TECHNIQUE_WORDS[technique]}jobtype" in whole, "no heading is alone at the end of a page"
    for group in order_groups(case.result, case.plan, case.system):
        masses = [float(line.mass.split()[0].replace(",", "")) for line in group.lines if line.mass]
        assert f"{sum(masses):,.1f}{'lb' if case.system == 'us' else 'kg'}" in text, (
            "the sum of what is read above it"
        )
    for one in hardest_setups(case.result):
        assert squeezed(cut_to(f"{one.job}: {DONE[one.technique]}", WIDTH - 16, 16)) in text
    hour = f"Crew's hour [{case.result.currency}] {case.plan.settings.money.crew_rate:g} Price of one hour"
    assert squeezed(hour) in text and squeezed("Discount rate [%]") in text


@pytest.mark.parametrize("make", [report_pdf, order_pdf])
def test_every_page_has_cautions_name_date_and_number(company: Any, make: Any) -> None:
    pages = pages_of(report(company, "us", DAY, make))
    for number, text in enumerate(pages, start=1):
        assert all(squeezed(caution) in text for caution in company.result.cautions)
        assert squeezed(company.plan.settings.name) in text
        assert f"2025-03-01page{number}of{len(pages)}" in text


def test_sources_are_cited_in_full(company: Any) -> None:
    text = "".join(pages_of(report(company, "us", DAY)))
    for key in ("ci_1401", "asse_a10_48", "miles_smith_2009", "donzelli_1999"):
        assert squeezed(citations()[key]) in text
    assert squeezed(citations()["jenkins_2003"]) not in text, "no tree is described in this plan"


def test_reasons_are_printed_if_there_are_any(company: Any, why: Any) -> None:
    with_them = "".join(pages_of(report_pdf(company.result, company.plan, "us", why=why)))
    without = "".join(pages_of(report(company, "us", DAY)))
    assert "DB16-45atEUR310.00:lineat118%inmapleleaders" in with_them
    assert "searchwasstopped" not in with_them and "notproven:thesolver" in with_them
    assert "-1doublebraid(DB22-45)" in with_them and "pieceslonger:EUR99.50dearer(+1x(<b>X</b>))" in with_them
    assert "Whyeachitem" not in without


def test_paper_follows_the_units(company: Any) -> None:
    def size(data: bytes) -> tuple[float, float]:
        box = PdfReader(io.BytesIO(data)).pages[0].mediabox
        return round(float(box.width)), round(float(box.height))

    assert size(report(company, "us", DAY)) == (612, 792)
    assert size(order_pdf(company.result, company.plan, "metric")) == (595, 842)


def test_the_same_again_gives_the_same_bytes(company: Any) -> None:
    first = report(company, "us", DAY, order_pdf)
    assert first == order_pdf(company.result, company.plan, "us", date=DAY)
    assert first != order_pdf(company.result, company.plan, "us", date=DAY.replace(day=2))


def test_the_order_list_alone_has_boxes_and_no_loads(company: Any) -> None:
    text = "".join(pages_of(report(company, "us", DAY, order_pdf)))
    assert text.count("☐") == len(company.result.items)
    assert "Utilisation" not in text and amount(company.result.purchase_cost) in text


def test_texts_of_other_people_are_printed_as_text(hostile: Any) -> None:
    data = report_pdf(hostile.result, hostile.plan, hostile.system)
    text = "".join(pages_of(data))
    for wanted in ("=cmd|'/ccalc'!A0", "<b>bold</b>&<para>", "%s{0}\\n"):
        assert wanted in text
    assert squeezed(MISSING_NOTE) in text and "ёőș" in text
    assert b"/JavaScript" not in data and b"/URI" not in data


def test_without_a_kit_it_says_what_falls_short(no_kit: Any) -> None:
    text = "".join(pages_of(report_pdf(no_kit.result, no_kit.plan, "us")))
    assert "Nokit:" in text and "needs40kN" in text and "=cutit" in text and "Totaltobuy" not in text
    stopped = no_kit.result.model_copy(update={"status": "stopped", "uncovered": ()})
    assert "solverstopped" in "".join(pages_of(report_pdf(stopped, no_kit.plan, "us")))


def test_a_kit_that_is_not_proven_says_so(company: Any) -> None:
    changes = {"status": "planned, optimum not proven", "bound": 5000.0, "gap": 0.12}
    text = "".join(pages_of(report_pdf(company.result.model_copy(update=changes), company.plan, "us")))
    assert "notproven:nokitcostslessthanEUR5,000.00" in text


def test_letters_of_many_tongues_and_a_box_for_the_rest() -> None:
    assert printable("Dąb, dub, tölgy, дуб, δρυς, meşe") == "Dąb, dub, tölgy, дуб, δρυς, meşe"
    assert printable("e\u0301") == "é" and printable("縄x") == f"{MISSING}x"
    assert printable("a\nb\x00") == "a b?" and printable("x" * 50, 20) == "x" * 16 + " ..."
    assert as_markup("<a & b>") == "&lt;a &amp; b&gt;"


@settings(max_examples=12, deadline=None)
@given(name=st.text(max_size=400), job=st.text(max_size=3000))
def test_no_text_stops_the_report(name: str, job: str) -> None:
    from recommender.files.pages import Paper, drawn, paragraph, printed
    from recommender.files.tables import Heading, Table, texts

    paper = Paper(name, (job,), "metric")
    table = Table(name, tuple(Heading(name, width) for width in (3, 20, 9)), (texts(job, name, job),) * 3)
    assert printed(lambda: [paragraph(job), drawn(table, paper.room)], paper).startswith(b"%PDF")


def test_a_table_wider_than_its_page_is_still_drawn(company: Any) -> None:
    job = company.result.assignments[0]
    parts = {**job.parts, **{f"line_connector_{k}": "SH-13" for k in range(30)}}
    used = dict.fromkeys(parts, 0.5)
    states = dict.fromkeys(parts, "working")
    wide = job.model_copy(update={"parts": parts, "utilisation": used, "governing": states, "holding": None})
    result = company.result.model_copy(update={"assignments": (wide,)})
    assert report_pdf(result, replace(company.plan, jobs=company.plan.jobs[:1]), "us").startswith(b"%PDF")


def test_an_item_that_all_work_needs_does_not_name_each_job_type(why: Any) -> None:
    jobs = tuple(why.jobs[0].model_copy(update={"job": f"job {number}"}) for number in range(6))
    names = tuple(one.job for one in jobs)
    for needed, told in ((names, "all 6 job types"), (names[:5], ", ".join(names[:5]))):
        item = why.items[0].model_copy(update={"forced_by": needed})
        table = items_why_table(why.model_copy(update={"jobs": jobs, "items": (item,)}))
        assert table.rows[0][2].text == told
