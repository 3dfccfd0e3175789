"""The gear beside ropes that are compared: that of a kit, or the strongest that takes them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from catalog_schema.catalogue import Catalogue
from catalog_schema.gear import Rope
from recommender.kit.fits import Fits
from recommender.kit.result import KitResult
from recommender.kit.stock import StockItem
from recommender.work.cases import LoadCase
from recommender.work.plan import Plan

STRONGEST = "Redirect, slings and brake are the strongest of the catalogue that take most of these ropes."
FROM_ALOFT = (
    "No redirect that is set from the ground takes all of these ropes: this one has to be put up by somebody."
)


def gear_beside(
    plan: Plan,
    case: LoadCase,
    ropes: Sequence[Rope],
    parts: Mapping[str, str] | KitResult | None,
    everything: Sequence[StockItem],
) -> tuple[LoadCase, dict[str, str], list[str]]:
    """The gear beside ropes in a job.

    Parameters
    ----------
    plan : Plan
    case : LoadCase
    ropes : sequence of Rope
    parts : mapping of str to str, KitResult or None
        As :func:`recommender.explain.rope_match.compare_ropes` takes it.
    everything : sequence of StockItem
        What there is.

    Returns
    -------
    LoadCase
        The same, but for a redirect that need not be set from the ground where none such takes the ropes.
    dict of str to str
        Part to item id.
    list of str
        How it was chosen.
    """
    if isinstance(parts, KitResult):
        parts = next((one.parts for one in parts.assignments if one.job == case.job), None)
    if parts is not None:
        return case, {part: id for part, id in parts.items() if part != "line"}, []
    notes = [STRONGEST]
    if case.from_ground and not any(_set_from_ground(item, ropes) for item in everything):
        case, notes = replace(case, from_ground=False), [STRONGEST, FROM_ALOFT]
    return case, _strongest(plan, case, ropes, everything), notes


def _set_from_ground(item: StockItem, ropes: Sequence[Rope]) -> bool:
    return bool(getattr(item.gear, "set_from_ground", False)) and all(
        takes_rope(item.gear, rope.diameter) for rope in ropes
    )


def kit_takes(catalogue: Catalogue, kit: KitResult, job: str, ropes: Sequence[Rope]) -> bool:
    """Whether what the line runs over in a kit's setup for a job takes ropes of these thicknesses.

    Parameters
    ----------
    catalogue : Catalogue
    kit : KitResult
    job : str
    ropes : sequence of Rope

    Returns
    -------
    bool
        False where the kit has no setup for the job.
    """
    setup = next((one for one in kit.assignments if one.job == job), None)
    if setup is None:
        return False
    ids = [setup.parts[part] for part in ("redirect", "brake", "lifter") if part in setup.parts]
    gear = [catalogue.item(_bare(id)) for id in ids]
    return all(takes_rope(one, rope.diameter) for one in gear for rope in ropes)


def _bare(id: str) -> str:
    """The id in the catalogue: without the mark and the number of owned gear."""
    return id.removeprefix("owned:").partition("#")[0] if id.startswith("owned:") else id


def _strongest(
    plan: Plan, case: LoadCase, ropes: Sequence[Rope], everything: Sequence[StockItem]
) -> dict[str, str]:
    """For each part the item with the highest rating among those that take most of the ropes and fit the stem."""
    fits = Fits([case], everything, plan.policy, plan.settings.crew)
    parts: dict[str, str] = {}

    def choose(name: str, table: str, stem: float | None) -> None:
        source = getattr(fits, table)

        def rank(row: int) -> tuple[int, float]:
            gear = everything[source.positions[row]].gear
            taken = sum(takes_rope(gear, rope.diameter) for rope in ropes)
            return taken, float(source.capacity[0, 0, row])

        rows = [
            row
            for row, position in enumerate(source.positions)
            if stem is None or _round_stem(everything[position].gear, stem)
        ]
        if case.from_ground and table == "redirects":
            rows = [row for row in rows if everything[source.positions[row]].gear.set_from_ground]
        if case.technique == "lift" and table == "redirects":
            rows = [row for row in rows if everything[source.positions[row]].gear.bearing != "none"]
        if not rows:
            raise ValueError(
                f"parts must be given: the catalogue has no {name.replace('_', ' ')} for this stem"
            )
        item = everything[source.positions[max(rows, key=rank)]]
        parts[name] = item.id
        if table in ("redirects", "brakes", "lifters"):
            if not item.gear.own_sling:
                choose(f"{name}_sling", "slings", stem)
            for number in range(item.gear.connectors):
                choose(f"{name}_connector" + (f"_{number + 1}" if number else ""), "connectors", None)

    choose("redirect", "redirects", case.stem_at_redirect)
    own_brake = False
    if case.technique == "lift":
        choose("lifter", "lifters", case.stem_at_brake)
        own_brake = next(item for item in everything if item.id == parts["lifter"]).gear.own_brake  # type: ignore[attr-defined]
    if not own_brake:
        choose("brake", "brakes", case.stem_at_brake)
    return parts


def takes_rope(gear: object, diameter: float) -> bool:
    """Whether a redirect, brake or lifter takes a rope of this thickness. [m]"""
    low, high = getattr(gear, "rope_min", 0.0), getattr(gear, "rope_max", float("inf"))
    return bool(low - 1e-9 <= diameter <= high + 1e-9)


def _round_stem(gear: object, stem: float) -> bool:
    low, high = getattr(gear, "stem_min", None), getattr(gear, "stem_max", None)
    return (low is None or low <= stem) and (high is None or stem <= high)
