"""The invented plans with their kits, and a plan whose texts try to be more than text."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from itertools import cycle
from pathlib import Path

import pytest

from catalog_schema.units import UnitSystem
from recommender.explain.answers import Change, CheaperItem, ItemReason, JobReason, WhatIf, WhyResult
from recommender.kit.planning import plan_kit
from recommender.kit.result import KitResult, Uncovered
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"
HOSTILE = (
    "=1+1", "=cmd|'/c calc'!A0", "+1", "-2+3", "@SUM(A1)", "'=x", "\t=1+1", "=HYPERLINK(\"http://x.invalid\")",
    "<b>bold</b> & <para>", "&P &[File] &D", "\x00\x1b[31mred\x07", "\ud83e\udeb5", "🪵 縄 عربي ё ő ș", "x" * 6000,
    "word " * 2000, "", " ", "﻿", "e\u0301", "%s {0} \\n",
)  # fmt: skip


@dataclass(frozen=True)
class Planned:
    """A plan, its kit, and the units that it is shown in."""

    plan: Plan
    result: KitResult
    system: UnitSystem


@cache
def planned(name: str) -> Planned:
    plan = load_plan(DEMO / name)
    return Planned(plan, plan_kit(plan), plan.settings.units)


@pytest.fixture(params=["new_owner", "company", "training_ground"])
def case(request: pytest.FixtureRequest) -> Planned:
    return planned(str(request.param))


@pytest.fixture
def company() -> Planned:
    return planned("company")


@pytest.fixture
def no_kit(company: Planned) -> Planned:
    """A job type that nothing carries."""
    fault = Uncovered(
        job="oak stem logs", technique="catch", part="line", shortfall="needs 40 kN", remedy="=cut it",
        other_remedies=("shorter", "thinner"),
    )  # fmt: skip
    empty = {
        "status": "no kit",
        "items": (),
        "assignments": (),
        "purchase_cost": 0.0,
        "lives": (),
        "uncovered": (fault,),
    }
    return replace(company, result=company.result.model_copy(update=empty))


@pytest.fixture
def training() -> Planned:
    return planned("training_ground")


@pytest.fixture(
    params=["=1+1", "<b>&P &[File]</b>", "🪵 縄 \x00\ud83e"], ids=["formula", "markup", "letters"]
)
def hostile(request: pytest.FixtureRequest) -> Planned:
    """Texts that try to be more, wherever a person may write one; the name of the plan is one of them too."""
    company, texts = planned("company"), cycle(HOSTILE)
    plan, result, name = company.plan, company.result, str(request.param)
    items = tuple(one.model_copy(update={"name": next(texts)}) for one in result.items)
    called = {job.job: f"{next(texts)} {number}" for number, job in enumerate(plan.jobs)}
    jobs = tuple(one.model_copy(update={"job": called[one.job]}) for one in result.assignments)
    changes = {"plan": name, "notice": name, "notes": HOSTILE, "items": items, "assignments": jobs}
    tables = {
        table: tuple(row.model_copy(update={"name": next(texts), "note": next(texts)}) for row in rows)
        for table, rows in plan.catalogue.tables().items()
    }
    changed = replace(
        plan,
        settings=plan.settings.model_copy(update={"name": name, "notice": name}),
        catalogue=replace(plan.catalogue, **tables),
        jobs=tuple(job.model_copy(update={"job": called[job.job], "note": next(texts)}) for job in plan.jobs),
        owned=tuple(one.model_copy(update={"note": next(texts)}) for one in plan.owned),
    )
    return Planned(changed, result.model_copy(update=changes), company.system)


@pytest.fixture
def why() -> WhyResult:
    """Reasons as the questions asked of a kit give them."""
    cheaper = CheaperItem(
        id="DB16-45", name="thinner", unit_price=310.0, jobs=("maple leaders",), job="maple leaders", part="line",
        utilisation=1.172,
    )  # fmt: skip
    misfit = CheaperItem(
        id="DB8", name="thin", unit_price=9.0, jobs=("a",), job="a", part="line", misfit="=too thin"
    )
    line = ItemReason(
        id="DB22-45", table="ropes", name="double braid", quantity=1, unit_price=612.0, owned=False,
        forced_by=("maple leaders",), saves=40.0, next_cheaper=cheaper, nearest=misfit,
    )  # fmt: skip
    bag = ItemReason(
        id="owned:BAG",
        table="extras",
        name="bag",
        quantity=2,
        unit_price=0,
        owned=True,
        for_crew="1 per crew",
    )
    longer = WhatIf(
        change="pieces longer",
        cost_change=99.5,
        items=(Change(id="<b>X</b>", name="x", pieces=1, price=99.5),),
    )
    job = JobReason(
        job="maple leaders", technique="lower", pieces_per_season=10, adds=300.0,
        without=(Change(id="DB22-45", name="double braid", pieces=-1, price=-612.0),),
        what_ifs=(longer, WhatIf(change="no slack", cost_change=0.0), WhatIf(change="=1", cost_change=None)),
    )  # fmt: skip
    return WhyResult(
        plan="", notice="", currency="EUR", proven=False, purchase_cost=5689.0, items=(line, bag), jobs=(job,)
    )
