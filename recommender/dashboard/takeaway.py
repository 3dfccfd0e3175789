"""Files of a planned kit to take home, each built when it is asked for."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from catalog_schema.units import UnitSystem
from recommender.explain.answers import FirstResult, WhyResult
from recommender.kit.result import KitResult
from recommender.seasons.result import SeasonsResult
from recommender.work.plan import Plan

WORKBOOK_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@dataclass(frozen=True)
class Takeaway:
    """A file by its label; ``build`` makes its content."""

    label: str
    name: str
    media_type: str
    build: Callable[[], bytes]


@dataclass(frozen=True)
class More:
    """Answers that were worked out already and go into the files too."""

    why: WhyResult | None = None
    seasons: SeasonsResult | None = None
    first: FirstResult | None = None


def saved_plan(plan: Plan) -> bytes:
    """A plan as a file that can be read again."""
    from recommender.work.plan_json import plan_to_json

    return plan_to_json(plan).encode()


def takeaways(
    result: KitResult, plan: Plan, system: UnitSystem, more: More | None = None
) -> tuple[Takeaway, ...]:
    """The files of a kit.

    Parameters
    ----------
    result : KitResult
    plan : Plan
        What it was planned with.
    system : {'metric', 'us'}
    more : More, optional
        For the full plan and the report.

    Returns
    -------
    tuple of Takeaway
    """

    with_more = vars(more or More())

    def order() -> bytes:
        from recommender.files.workbooks import order_workbook

        return order_workbook(result, plan, system)

    def everything() -> bytes:
        from recommender.files.workbooks import plan_workbook

        return plan_workbook(result, plan, system, **with_more)

    def report() -> bytes:
        from recommender.files.report_pdf import report_pdf

        return report_pdf(result, plan, system, date=datetime.date.today(), **with_more)

    def on_paper() -> bytes:
        from recommender.files.report_pdf import order_pdf

        return order_pdf(result, plan, system, date=datetime.date.today())

    def limits() -> bytes:
        from recommender.explain.limits import limits_sheet
        from recommender.files.limits_pdf import limits_pdf

        return limits_pdf(limits_sheet(plan, result), system, date=datetime.date.today())

    def text() -> bytes:
        from recommender.explain.crews import by_crew
        from recommender.report.kit_text import kit_text

        return kit_text(result, plan.catalogue, system, by_crew(plan, result)).encode()

    return (
        Takeaway("Order list (XLSX)", "order.xlsx", WORKBOOK_TYPE, order),
        Takeaway("Order list (PDF)", "order.pdf", "application/pdf", on_paper),
        Takeaway("Full plan (XLSX)", "plan.xlsx", WORKBOOK_TYPE, everything),
        Takeaway("Report (PDF)", "report.pdf", "application/pdf", report),
        Takeaway("Limits for the truck (PDF)", "limits.pdf", "application/pdf", limits),
        Takeaway(
            "Plan to be read again (JSON)",
            "plan.json",
            "application/json",
            partial(saved_plan, plan),
        ),
        Takeaway("The whole result as text", "kit.txt", "text/plain", text),
    )
