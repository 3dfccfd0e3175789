"""Files of a planned kit to take home, each built when it is asked for."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass

from catalog_schema.units import UnitSystem
from recommender.kit.result import KitResult
from recommender.work.plan import Plan

WORKBOOK_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@dataclass(frozen=True)
class Takeaway:
    """A file by its label; ``build`` makes its content."""

    label: str
    name: str
    media_type: str
    build: Callable[[], bytes]


def takeaways(result: KitResult, plan: Plan, system: UnitSystem) -> tuple[Takeaway, ...]:
    """The files of a kit.

    Parameters
    ----------
    result : KitResult
    plan : Plan
        What it was planned with.
    system : {'metric', 'us'}

    Returns
    -------
    tuple of Takeaway
    """

    def order() -> bytes:
        from recommender.files.workbooks import order_workbook

        return order_workbook(result, plan, system)

    def everything() -> bytes:
        from recommender.files.workbooks import plan_workbook

        return plan_workbook(result, plan, system)

    def report() -> bytes:
        from recommender.files.report_pdf import report_pdf

        return report_pdf(result, plan, system, date=datetime.date.today())

    def saved() -> bytes:
        from recommender.work.plan_json import plan_to_json

        return plan_to_json(plan).encode()

    def text() -> bytes:
        from recommender.report.kit_text import kit_text

        return kit_text(result, plan.catalogue, system).encode()

    return (
        Takeaway("Order list (XLSX)", "order.xlsx", WORKBOOK_TYPE, order),
        Takeaway("Full plan (XLSX)", "plan.xlsx", WORKBOOK_TYPE, everything),
        Takeaway("Report (PDF)", "report.pdf", "application/pdf", report),
        Takeaway("Plan to be read again (JSON)", "plan.json", "application/json", saved),
        Takeaway("The whole result as text", "kit.txt", "text/plain", text),
    )
