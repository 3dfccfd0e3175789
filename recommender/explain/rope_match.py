"""Two to four ropes in one job: what each does to line, redirect, slings and brake, and what it costs and weighs.

*Rated* figures are those that the kit is chosen by: largest piece, stiff rope, worse end of the friction, all energy
into the rope. *Usual* ones come from a simulation over time with the usual piece, the stretch of the rope's sheet and
the middle of the friction: they are for understanding, never for choosing gear.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from catalog_schema.catalogue import Catalogue, RopeLength, lengths_of, unknown_id
from catalog_schema.gear import Rope
from recommender.explain.rope_courses import Course, usual_courses
from recommender.explain.rope_gear import gear_beside, takes_rope
from recommender.kit.cover import covered_cases
from recommender.kit.fits import Fits
from recommender.kit.problem import KitProblem
from recommender.kit.result import CAUTIONS, KitResult, Typed
from recommender.kit.setups import Setup, SetupRater
from recommender.kit.stock import StockItem, stock
from recommender.kit.wear import textile_lives
from recommender.loads import LineType
from recommender.physics import effective_length, strain_at_tension
from recommender.work.cases import LoadCase, load_case
from recommender.work.plan import Plan
from recommender.work.tables import Technique

FEWEST, MOST = 2, 4
STATES = ("working", "jam")


class UnknownName(ValueError):
    """A rope or job type that the plan does not have; the message says what to write instead."""


class RopeFigures(Typed):
    """One rope in the job. [N], [m], [kg]; ``*_jam_n`` and what belongs to a catch are None elsewhere.

    ``stretch`` is that of the whole line at its highest rated working tension, a share of its length. ``price`` is of
    the length ``length_m``, the shortest on offer that reaches. ``seasons`` is how long the policy's rule of wear and
    the age limit let it last if it does all pieces of this job type and nothing else; None where it may not be used.
    """

    id: str
    name: str
    fibre: str
    construction: str
    diameter_m: float
    min_break_n: float
    carries: bool
    faults: tuple[str, ...]
    line_n: float
    reaction_n: float
    brake_n: float
    line_jam_n: float | None
    reaction_jam_n: float | None
    brake_jam_n: float | None
    usual_n: float | None
    usual_jam_n: float | None
    usual_stop_m: float | None
    drop_below_cut_m: float | None
    stretch: float
    utilisation: dict[str, float]
    governing: dict[str, str]
    length_m: float
    mass_dry_kg: float
    mass_wet_kg: float
    price: float
    seasons: float | None
    course: Course | None
    course_jam: Course | None

    @property
    def price_per_m(self) -> float:
        """Price of one metre."""
        return self.price / self.length_m

    @property
    def price_per_season(self) -> float | None:
        """Price over the seasons of life; None where it may not be used."""
        return self.price / self.seasons if self.seasons else None

    @property
    def highest(self) -> tuple[str, float]:
        """The part that works hardest, and its utilisation."""
        part = max(self.utilisation, key=lambda name: self.utilisation[name])
        return part, self.utilisation[part]

    @property
    def hardest_n(self) -> float:
        """Highest rated force on the redirect: of the jam in a catch. [N]"""
        return self.reaction_n if self.reaction_jam_n is None else self.reaction_jam_n


class RopeMatch(Typed):
    """Ropes side by side in one job, over the same redirect and brake. ``parts`` names the gear beside the rope."""

    plan: str
    notice: str
    job: str
    technique: Technique
    currency: str
    piece_mass_kg: float
    piece_mass_typical_kg: float
    drop_m: float
    run_m: float
    clearance_m: float | None
    rigging_height_m: float
    line_needed_m: float
    wet: bool
    friction_low: float
    friction_high: float
    leg_angle_rad: float
    parts: dict[str, str]
    ropes: tuple[RopeFigures, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...] = CAUTIONS


def compare_ropes(
    plan: Plan, rope_ids: Sequence[str], job: str, parts: Mapping[str, str] | KitResult | None = None
) -> RopeMatch:
    """Ropes side by side in one job of a plan.

    Parameters
    ----------
    plan : Plan
    rope_ids : sequence of str
        Two to four ids of ropes, or of ropes in a length (``R1/45m``).
    job : str
        Name of a job type.
    parts : mapping of str to str, or KitResult, optional
        The gear beside the rope: part to item id as in :class:`recommender.kit.result.Assignment`, or a kit whose
        setup for the job is taken. Without it, and where the kit has no setup, the strongest of the plan's gear that
        takes most of the ropes.

    Returns
    -------
    RopeMatch

    Raises
    ------
    UnknownName
        If the catalogue has no such rope, or the plan no such job type.
    ValueError
        If there are not two to four ropes, one is named twice, or a part is not in the catalogue.
    """
    if not FEWEST <= len(rope_ids) <= MOST or len(set(rope_ids)) != len(rope_ids):
        raise ValueError(f"rope_ids must be {FEWEST} to {MOST} different ropes, not {list(rope_ids)!r}")
    chosen = next((one for one in plan.jobs if one.job == job), None)
    if chosen is None:
        raise UnknownName(
            f"the plan has no job type '{job}'; it has: {', '.join(one.job for one in plan.jobs)}"
        )
    case = load_case(chosen, plan.settings.line, plan.settings.pieces_per_season)
    ropes = [_sold(plan.catalogue, id, case.line_needed) for id in rope_ids]
    everything, _ = stock(plan.catalogue, plan.owned, plan.policy)
    case, beside, note = gear_beside(plan, case, [one.rope for one in ropes], parts, everything)
    by_id = {item.id: item for item in everything}
    missing = sorted(set(beside.values()) - by_id.keys())
    if missing:
        raise ValueError(f"parts must be gear of the plan, not {missing!r}")
    items = [by_id[id] for id in dict.fromkeys([*(one.id for one in ropes), *beside.values()])]
    fits = Fits([case], items, plan.policy, plan.settings.crew)
    kind = fits.frictions[SetupRater(fits).friction(_at(items, beside["redirect"]))]
    return RopeMatch(
        plan=plan.settings.name,
        notice=plan.settings.notice,
        job=case.job,
        technique=case.technique,
        currency=plan.catalogue.currency,
        piece_mass_kg=float(case.mass.design),
        piece_mass_typical_kg=float(case.mass.typical),
        drop_m=case.drop,
        run_m=case.run,
        clearance_m=None if np.isinf(case.clearance) else case.clearance,
        rigging_height_m=chosen.rigging_height,
        line_needed_m=case.line_needed,
        wet=case.wet,
        friction_low=kind.r_low,
        friction_high=kind.r_high,
        leg_angle_rad=0.0 if case.swing_angle else case.leg_angle,
        parts=beside,
        ropes=tuple(_figures(plan, fits, id, sold, beside) for id, sold in zip(rope_ids, ropes, strict=True)),
        notes=(*plan.policy.notes, *note),
    )


def _at(items: Sequence[StockItem], id: str) -> int:
    return next(k for k, item in enumerate(items) if item.id == id)


def _sold(catalogue: Catalogue, id: str, needed: float) -> RopeLength:
    """A rope in the length that was named, else in the shortest on offer that reaches, else in the longest."""
    known = id in catalogue.ids
    found = catalogue.item(id) if known else None
    if isinstance(found, Rope):
        lengths = sorted(lengths_of(found), key=lambda one: one.length)
        return next((one for one in lengths if one.length >= needed), lengths[-1])
    if isinstance(found, RopeLength):
        return found
    why = "is no rope" if known else "is not in the catalogue"
    raise UnknownName(f"'{id}' {why}. {unknown_id(id, catalogue)}")


def _figures(plan: Plan, fits: Fits, id: str, sold: RopeLength, beside: Mapping[str, str]) -> RopeFigures:
    case, rater, rope = fits.cases[0], SetupRater(fits), sold.rope
    positions = {part: _at(fits.items, item) for part, item in {"line": sold.id, **beside}.items()}
    setup = rater.rate(0, positions)
    force = {
        name: rater.demand(name, 0, setup.line, setup.friction) for name in ("line", "reaction", "brake")
    }
    catching = case.technique == "catch"
    jam = {name: values[1] if catching else None for name, values in force.items()}
    kind = fits.frictions[setup.friction]
    courses = usual_courses(case, LineType(rope), (kind.r_low + kind.r_high) / 2, plan)
    carries = _carried(fits, positions)
    drop = float(fits.demands.drop[0, setup.line, setup.friction]) if catching else None
    return RopeFigures(
        id=sold.id if id not in (rope.id, sold.id) else id,
        name=rope.name,
        fibre=rope.fibre,
        construction=rope.construction,
        diameter_m=rope.diameter,
        min_break_n=rope.min_break,
        carries=carries,
        faults=()
        if carries
        else tuple(_faults(fits, setup.line, setup.friction, sold, positions, setup.utilisation)),
        line_n=force["line"][0],
        reaction_n=force["reaction"][0],
        brake_n=force["brake"][0],
        line_jam_n=jam["line"],
        reaction_jam_n=jam["reaction"],
        brake_jam_n=jam["brake"],
        usual_n=None if courses.working is None else courses.working.peak_n,
        usual_jam_n=None if courses.jam is None else courses.jam.peak_n,
        usual_stop_m=None if courses.working is None else courses.working.stop_distance_m,
        drop_below_cut_m=drop,
        stretch=_stretch(case, LineType(rope), kind.r_high, force["line"][0]),
        utilisation=setup.utilisation,
        governing=setup.state,
        length_m=sold.length,
        mass_dry_kg=sold.mass,
        mass_wet_kg=sold.mass * (1 + rope.wet_uptake),
        price=sold.price,
        seasons=_seasons(fits, setup) if carries else None,
        course=courses.working,
        course_jam=courses.jam,
    )


def _stretch(case: LoadCase, line: LineType, r: float, tension: float) -> float:
    """Stretch of both legs over their length, at the stretch of the sheet. [-]"""
    strain = float(strain_at_tension(tension, line.constant, line.exponent))
    return strain * float(effective_length(case.lead, case.fall, r, line.exponent)) / (case.lead + case.fall)


def _seasons(fits: Fits, setup: Setup) -> float:
    """Seasons that the rope lasts if it does every piece of the job type."""
    rope = fits.items[setup.parts["line"]].id
    return next(life.seasons for life in textile_lives(fits, [setup]) if life.item == rope)


def _carried(fits: Fits, positions: Mapping[str, int]) -> bool:
    """Whether the kit model takes this setup."""
    counts = np.zeros(len(fits.items), dtype=np.int64)
    for item in positions.values():
        counts[item] += 1
    nothing = np.zeros_like(counts)
    problem = KitProblem(
        tuple(item.id for item in fits.items), nothing, nothing, counts, (fits.cases[0].job,), fits
    )
    return bool(covered_cases(problem, counts)[0])


def _faults(
    fits: Fits,
    line: int,
    friction: int,
    sold: RopeLength,
    positions: Mapping[str, int],
    utilisation: Mapping[str, float],
) -> list[str]:
    """Why a setup is refused, in words."""
    case = fits.cases[0]
    found = [
        f"the {part} does not take a rope of this thickness"
        for part in ("redirect", "brake", "lifter")
        if part in positions and not takes_rope(fits.items[positions[part]].gear, sold.rope.diameter)
    ]
    if sold.length < case.line_needed:
        found.append("no length on offer reaches")
    lifter = fits.items[positions["lifter"]].gear if "lifter" in positions else None
    if getattr(lifter, "laid_rope_only", False) and sold.rope.construction != "three_strand":
        found.append("the lifter grips laid rope only")
    travel = getattr(lifter, "travel", None)
    if travel is not None and float(fits.demands.travel[0, line, friction]) > travel:
        found.append("it stretches further than the lifter travels")
    if not fits.demands.valid[0, line, friction]:
        found.append(
            "the catch is outside the range of the formulas: too hard on this rope, or too far a fall"
        )
    if float(fits.demands.drop[0, line, friction]) > case.clearance:
        found.append("it stops the piece lower than the free height")
    overloaded = [part for part, share in utilisation.items() if share > 1 + 1e-9]
    found += [f"{part.replace('_', ' ')} over its rating" for part in overloaded]
    return found or ["another part of the setup does not fit this job"]
