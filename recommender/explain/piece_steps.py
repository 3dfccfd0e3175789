"""From species and size to the weight of the design piece, and from heights to the lengths of its line."""

from __future__ import annotations

from collections.abc import Iterator

from recommender.explain.steps import (
    Step,
    Value,
    constant,
    made,
    require_same,
    source_of_constant,
    source_text,
    value,
    values,
)
from recommender.physics import STANDARD_GRAVITY, fall_height, lead_length
from recommender.sourced import COMMON_PRACTICE, DERIVED
from recommender.wood import DensityBand, Species, density_band, find_species, frustum_centroid
from recommender.wood.band import BAND_HIGH
from recommender.wood.volume import smalian
from recommender.work.cases import BRAKE_HEIGHT, SHORT_LEAD, LoadCase, small_share
from recommender.work.settings import LineAllowances
from recommender.work.tables import JobType

PLAN = "plan"
"""The source of what the plan states."""


def piece_steps(job: JobType, case: LoadCase) -> Iterator[Step]:
    """How the design piece's weight comes about."""
    if job.mass is not None and job.mass_high is not None:
        yield _piece(
            "largest mass to plan for", "as stated", (), value("design mass", job.mass_high, "mass"), PLAN
        )
    elif job.mass is not None:
        yield from _stated_mass(job)
    else:
        yield from _mass_of_wood(job)
    design = require_same("the design mass", _design_mass(job), float(case.mass.design))
    weight = value("weight", case.weight, "force")
    inputs = (value("design mass", design, "mass"), constant("g", STANDARD_GRAVITY))
    source = source_of_constant(STANDARD_GRAVITY)
    yield _piece("weight of the largest piece", "weight = mass * g", inputs, weight, source)


def _design_mass(job: JobType) -> float:
    """The design mass by the steps that are shown. [kg]"""
    if job.mass is not None and job.mass_high is not None:
        return job.mass_high
    band = _band(job)
    if job.mass is not None:
        return job.mass * band.high / band.typical
    return band.high * _design_volume(job) * (1.0 + job.branches)


def _band(job: JobType) -> DensityBand:
    return density_band(find_species(job.species), young_conifer=job.young_conifer)


def _design_volume(job: JobType) -> float:
    return float(smalian(*_design_size(job)))


def _design_size(job: JobType) -> tuple[float, float, float]:
    """Big end, small end and length of the largest piece. [m]"""
    high = job.diameter_high or job.diameter
    return high, high * small_share(job), job.length_high or job.length


def _density_steps(job: JobType, species: Species) -> Iterator[Step]:
    band = _band(job)
    table = value("usual density", band.typical, "density")
    confidence = "" if species.is_species_level else f"not species-level: {species.confidence}"
    yield _piece(
        f"green density of {species.common_name} with its bark",
        "wood table",
        (),
        table,
        source_text(species.source, species.place, confidence),
    )
    rule = BAND_HIGH[species.wood_type]
    formula = "density * (1 + upper side of the band)"
    if job.young_conifer:
        formula = "the largest of the band, all-sapwood wood and the mean of a softwood harvest"
    inputs = (table, value("upper side of the band", band.high / band.typical - 1, "share"))
    high = value("high density", band.high, "density")
    yield _piece("density on the safe side", formula, inputs, high, source_of_constant(rule))


def _stated_mass(job: JobType) -> Iterator[Step]:
    yield from _density_steps(job, find_species(job.species))
    band, mass = _band(job), job.mass or 0.0
    inputs = (
        value("usual mass", mass, "mass"),
        *values("density", {"high": band.high, "usual": band.typical}),
    )
    result = value("design mass", mass * band.high / band.typical, "mass")
    yield _piece("largest mass to plan for", "mass * high / usual density", inputs, result, DERIVED)


def _mass_of_wood(job: JobType) -> Iterator[Step]:
    yield from _density_steps(job, find_species(job.species))
    big, small, length = _design_size(job)
    size = (*values("stem", {"big end": big, "small end": small}), value("length", length, "length"))
    volume, high = _design_volume(job), _band(job).high
    solid = value("volume", volume, "volume")
    yield _piece(
        "volume of the largest piece", "Smalian: L * (A1 + A2) / 2", size, solid, source_text("goulding")
    )
    inputs: tuple[Value, ...] = (value("high density", high, "density"), solid)
    mass = value("mass of wood and bark", high * volume, "mass")
    yield _piece("mass of the largest piece, bare", "mass = density * volume", inputs, mass, DERIVED)
    if job.branches:
        inputs = (mass, value("side branches and leaves", job.branches, "share"))
        whole = value("design mass", high * volume * (1.0 + job.branches), "mass")
        yield _piece("with side branches and leaves", "mass * (1 + share)", inputs, whole, PLAN)


def geometry_steps(job: JobType, case: LoadCase, line: LineAllowances) -> Iterator[Step]:
    """Lengths of the legs, the drop of a catch, and the line that is needed."""
    above = job.cut_to_redirect if job.cut_to_redirect is not None else float(SHORT_LEAD)
    tie = job.tie_above_cut or 0.0 if case.technique == "catch" else 0.0
    lead = require_same("the lead leg", float(lead_length(above, tie, job.slack)), case.lead)
    stated = PLAN if job.cut_to_redirect is not None else source_of_constant(SHORT_LEAD)
    inputs = values("length", {"s, cut to redirect": above, "a_t, cut to knot": tie, "slack": job.slack})
    lead_leg = value("lead leg", lead, "length")
    yield _geometry("line from the redirect to the piece", "lead = s + a_t + slack", inputs, lead_leg, stated)
    heights = (
        value("rigging height", job.rigging_height, "length"),
        constant("brake", BRAKE_HEIGHT, "length"),
    )
    fall = value(
        "fall leg",
        require_same("the fall leg", case.fall, job.rigging_height - float(BRAKE_HEIGHT)),
        "length",
    )
    place = source_of_constant(BRAKE_HEIGHT)
    yield _geometry(
        "line from the redirect to the brake", "rigging height - brake height", heights, fall, place
    )
    if case.technique == "catch":
        yield from _fall_steps(job, case, above, tie)
    used = (
        case.line_needed
        - case.longest_fall
        - (job.lowering_distance or job.highest_redirect or job.rigging_height)
    )
    needed = values(
        "length",
        {
            "to the redirect": case.longest_fall,
            "down again": job.lowering_distance or job.highest_redirect or job.rigging_height,
            f"tail, knot and {line.wraps:g} wraps": used,
        },
    )
    total = value("line needed", case.line_needed, "length")
    yield _geometry("shortest line that will do", "sum", needed, total, source_text(COMMON_PRACTICE))


def _fall_steps(job: JobType, case: LoadCase, above: float, tie: float) -> Iterator[Step]:
    big, small, length = _design_size(job)
    centre = float(frustum_centroid(big, small, length))
    formula = "L / 4 * (D^2 + 2 D d + 3 d^2) / (D^2 + D d + d^2)"
    if job.branches:
        centre, formula = max(centre, length / 2), "at least half the length: branches at the small end"
    height = value(
        "a_c, centre of mass above the cut",
        require_same("the centre", centre, case.centre_above_cut),
        "length",
    )
    size = (*values("stem", {"D": big, "d": small}), value("L", length, "length"))
    yield _geometry("centre of mass of the standing piece above the cut", formula, size, height, DERIVED)
    drop = require_same("the fall", float(fall_height(above, centre, tie, job.slack)), case.drop)
    inputs = values("length", {"s": above, "a_c": centre, "a_t": tie, "slack": job.slack})
    yield _geometry(
        "fall of the centre of mass before the line is taut",
        "h = 2 * (s + max(a_c, a_t)) + slack",
        inputs,
        value("h", drop, "length"),
        "derived: upper bound for a piece that turns over completely",
    )


def _piece(what: str, formula: str, inputs: tuple[Value, ...], result: Value, source: str) -> Step:
    return made("piece", what, formula, inputs, result, source)


def _geometry(what: str, formula: str, inputs: tuple[Value, ...], result: Value, source: str) -> Step:
    return made("geometry", what, formula, inputs, result, source)
