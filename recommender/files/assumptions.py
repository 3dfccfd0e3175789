"""What a plan rests on: its settings, the values of its policy with their sources, and the publications used."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from pydantic import BaseModel

from catalog_schema.fields import kind_of
from catalog_schema.units import UnitSystem, from_si, unit_of
from recommender.charts.words import setting_label
from recommender.files.tables import Cell, Heading, Table, texts
from recommender.kit.way_builder import friction_name
from recommender.physics.redirect import friction_classes
from recommender.ratings.policy import source_of
from recommender.ratings.policy_words import label, leaves, value_at
from recommender.ratings.settings import Policy
from recommender.report.figures import as_listed, words
from recommender.sourced import citations
from recommender.wood import find_species
from recommender.work.plan import Plan

SHOWN_ELSEWHERE = ("name", "notice", "units", "catalog")
UNLISTED = ("floor", "source", "basis", "reason", "notes")


@dataclass(frozen=True)
class PolicyValue:
    """One value of the policy: what it is of, its own name there, the value in words, the floor, the source."""

    group: str
    name: str
    value: Cell
    floor: Cell
    source: str


def settings_table(plan: Plan, system: UnitSystem) -> Table:
    """The settings of the plan, in the words that they have on the screen."""
    rows = [texts(*row) for row in _settings(plan.settings, system, plan.catalogue.currency)]
    headings = (Heading("setting", 32), Heading("value", 14, True), Heading("what it is", 70))
    return Table("Settings of the plan", headings, tuple(rows), "")


def _settings(table: BaseModel, system: UnitSystem, currency: str) -> Iterator[tuple[str, str, str]]:
    for name, field in type(table).model_fields.items():
        value = getattr(table, name)
        if isinstance(value, BaseModel):
            yield from _settings(value, system, currency)
        elif name not in SHOWN_ELSEWHERE:
            label = setting_label(name, field, system, currency)
            yield label, _setting(value, kind_of(field), system), field.description or ""


def _setting(value: object, kind: str | None, system: UnitSystem) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not isinstance(value, int | float):
        return str(value)
    number = float(value) if kind is None else from_si(float(value), unit_of(kind, system), kind)
    return f"{number:,.6g}" if kind is None else f"{number:,.3g}"


def policy_values(policy: Policy, system: UnitSystem) -> list[PolicyValue]:
    """Every value of a policy that ratings and loads are made of."""
    found = []
    for path, value in leaves(policy.model_dump(exclude={"notes"})):
        if path[-1] in UNLISTED or value is None:
            continue
        if len(path) == 1:  # a choice outside any group has no source of its own
            found.append(PolicyValue(label(path), "", Cell(str(value)), Cell(""), "a choice, not a figure"))
            continue
        floor = getattr(value_at(policy, path[:-1]), "floor", None)
        name = path[-1].replace("_", " ")
        shown = _policy_figure(path, value, system)
        least = Cell("") if floor is None else _number(floor)
        found.append(PolicyValue(_group(path), name, shown, least, source_of(policy, *path)))
    return found


def _group(path: tuple[str, ...]) -> str:
    """The name of the group that a value stands in."""
    name = label(path).rpartition(" for ")[0] if len(path) == 3 else label(path[:1])
    return name.removesuffix(" in newton")  # it is shown in the user's units


def _policy_figure(path: tuple[str, ...], value: object, system: UnitSystem) -> Cell:
    if isinstance(value, tuple):
        return Cell(", ".join(f"{one:g}" for one in value))
    number = float(str(value))
    if path[0] == "hand":
        return Cell(f"{number:g} N" if system == "metric" else as_listed(number, "force", system))
    if path[0] == "retirement":
        return Cell(f"{number:g} years")
    return _number(number)


def _number(value: float) -> Cell:
    return Cell(f"{value:g}", value, "General")


def policy_table(policy: Policy, system: UnitSystem) -> Table:
    """Every value of the policy in a row of its own."""
    headings = (
        Heading("what", 44), Heading("of", 16), Heading("value", 12, True), Heading("never below", 11, True),
        Heading("source and basis", 90),
    )  # fmt: skip
    rows = tuple(
        (Cell(one.group), Cell(one.name), one.value, one.floor, Cell(one.source))
        for one in policy_values(policy, system)
    )
    about = (
        "Design factors, factors of strength and other values that every rating and every load is made of."
    )
    return Table("Policy", headings, rows, about)


def short_policy_table(policy: Policy, system: UnitSystem) -> Table:
    """The values of the policy that share a source in one row."""
    rows = []
    for (group, source), values in groupby(
        policy_values(policy, system), lambda one: (one.group, one.source)
    ):
        together = list(values)
        floor = f" (never below {together[0].floor.text})" if together[0].floor.text else ""
        alone = len(together) == 1 and together[0].name in ("", "factor")
        shown = "; ".join(one.value.text if alone else f"{one.name} {one.value.text}" for one in together)
        rows.append(texts(group, shown + floor, source))
    headings = (Heading("what", 26), Heading("value", 34), Heading("source and basis", 56))
    return Table("Policy: what ratings and loads are made of", headings, tuple(rows))


def sources_table(plan: Plan) -> Table:
    """The publications that the policy, the weights of the work's species and the friction of redirects rest on."""
    used: dict[str, list[str]] = {}
    for key, what in _uses(plan):
        if key in citations() and what not in used.setdefault(key, []):
            used[key].append(what)
    headings = (Heading("publication", 80), Heading("used for", 50))
    rows = tuple(texts(citations()[key], "; ".join(what)) for key, what in used.items())
    about = "What has no publication is marked 'common practice' or 'from memory' where it is listed."
    return Table("Sources", headings, rows, about)


def _uses(plan: Plan) -> Iterator[tuple[str, str]]:
    groups = plan.policy.model_dump(exclude={"notes"})
    for path, value in leaves(groups):
        if path[-1] == "source":
            yield str(value), _group(path)
    for job in plan.jobs:
        if job.mass is None or job.mass_high is None:
            species = find_species(job.species)
            yield species.source, f"green weight of {species.common_name}"
    for redirect in plan.catalogue.redirects:
        friction = friction_classes()[friction_name(redirect)]
        yield friction.source, f"friction of redirects ({words(friction.name)})"
