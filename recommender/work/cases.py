"""From a job type to its load case: the design piece, the geometry of the rope, and the length of line needed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from recommender.physics import STANDARD_GRAVITY, fall_height, lead_length
from recommender.sourced import COMMON_PRACTICE, Sourced
from recommender.wood import LogSize, PieceWeight, density_band, find_species, frustum_centroid, log_mass
from recommender.work.settings import LineAllowances
from recommender.work.tables import JobType, Technique

BRAKE_HEIGHT = Sourced(
    1.0, "m", COMMON_PRACTICE, note="brake and lifter sit at working height above the ground"
)
SHORT_LEAD = Sourced(
    1.0, "m", COMMON_PRACTICE, note="line above the piece where none is stated: short is stiff, safe"
)
WRAP_DIAMETER = Sourced(
    0.1, "m", COMMON_PRACTICE, note="drum on which the line is wrapped, for its length only"
)


@dataclass(frozen=True)
class LoadCase:
    """One job type with its design piece and geometry, in SI.

    Attributes
    ----------
    job : str
        Name of the job type.
    technique : {'lower', 'lift', 'catch'}
    mass : PieceWeight
        Usual and design mass; gear is chosen by the design mass. [kg]
    piece_length : float
        Longest piece to plan for. [m]
    lead, fall : float
        Unstretched line from redirect to piece, and from redirect to brake. [m]
    drop : float
        Fall of the centre of mass before the line stretches: slack when lowering, the turn-over when catching. [m]
    run : float
        Line let run in the working state of a catch. [m]
    swing_angle, leg_angle : float
        Line from the vertical at release; angle between the legs at the redirect. [rad]
    lift_height : float
        How far the piece is pulled up. [m]
    lift_manner : {'smooth', 'jerky', 'snatched'}
    stem_at_redirect, stem_at_brake : float
        Diameters. [m]
    line_needed : float
        Shortest line that will do. [m]
    clearance : float
        Free height under the cut, infinite where none is stated. [m]
    centre_above_cut : float
        Centre of mass of the standing piece above the cut. [m]
    wet, from_ground : bool
    pieces : float
        Pieces a season.
    moves : float
        How far the redirect moves down with the cuts: so much longer is the fall leg at its highest place. [m]
    stem_narrows : float
        How much thinner the stem is at the highest place of the redirect. [m]
    """

    job: str
    technique: Technique
    mass: PieceWeight
    piece_length: float
    lead: float
    fall: float
    drop: float
    run: float
    swing_angle: float
    leg_angle: float
    lift_height: float
    lift_manner: str
    stem_at_redirect: float
    stem_at_brake: float
    line_needed: float
    clearance: float
    centre_above_cut: float
    wet: bool
    from_ground: bool
    pieces: float
    moves: float = 0.0
    stem_narrows: float = 0.0

    @property
    def thinnest_at_redirect(self) -> float:
        """The stem at the highest place of the redirect. [m]"""
        return self.stem_at_redirect - self.stem_narrows

    @property
    def longest_fall(self) -> float:
        """The fall leg at the highest place of the redirect. [m]"""
        return self.fall + self.moves

    @property
    def weight(self) -> float:
        """Weight of the design piece. [N]"""
        return float(self.mass.design) * float(STANDARD_GRAVITY)


def allowance_length(line: LineAllowances) -> float:
    """Line that is used up beside the way of the piece: tail, knot and wraps. [m]"""
    return line.tail + line.tie + line.wraps * pi * float(WRAP_DIAMETER)


def load_case(job: JobType, line: LineAllowances, pieces: float) -> LoadCase:
    """The load case of a job type taken whole.

    Parameters
    ----------
    job : JobType
    line : LineAllowances
    pieces : float
        Pieces of all job types in a season; the job type's share of it counts unless it states its own.

    Returns
    -------
    LoadCase

    Raises
    ------
    UnknownSpecies
        If the wood table has no such species and the job type states no masses of its own.
    """
    high_diameter = job.diameter_high or job.diameter
    high_length = job.length_high or job.length
    high_small = high_diameter * small_share(job)
    centre = float(frustum_centroid(high_diameter, high_small, high_length))
    if job.branches:
        centre = max(centre, high_length / 2)
    catching = job.technique == "catch"
    tie = job.tie_above_cut or 0.0
    to_redirect = job.cut_to_redirect if job.cut_to_redirect is not None else float(SHORT_LEAD)
    fall = job.rigging_height - float(BRAKE_HEIGHT)
    highest = job.highest_redirect or job.rigging_height
    moves = highest - job.rigging_height
    return LoadCase(
        job=job.job,
        technique=job.technique,
        mass=piece_mass(job),
        piece_length=high_length,
        lead=float(lead_length(to_redirect, tie if catching else 0.0, job.slack)),
        fall=fall,
        drop=float(fall_height(to_redirect, centre, tie, job.slack)) if catching else job.slack,
        run=job.run,
        swing_angle=job.swing_angle,
        leg_angle=job.leg_angle,
        lift_height=job.lift_height or 0.0,
        lift_manner=job.lift_manner,
        stem_at_redirect=job.stem_at_redirect,
        stem_at_brake=job.stem_at_brake,
        line_needed=fall + moves + (job.lowering_distance or highest) + allowance_length(line),
        clearance=float("inf") if job.clearance is None else job.clearance,
        centre_above_cut=centre,
        wet=job.wet,
        from_ground=job.from_ground,
        pieces=job.pieces_per_season if job.pieces_per_season is not None else pieces * job.share,
        moves=moves,
        stem_narrows=0.0 if job.stem_at_highest is None else job.stem_at_redirect - job.stem_at_highest,
    )


def small_share(job: JobType) -> float:
    """Small-end over big-end diameter; the largest piece is taken to taper alike."""
    return 1.0 if job.small_diameter is None else job.small_diameter / job.diameter


def piece_mass(job: JobType) -> PieceWeight:
    """Usual and design mass of a job type's piece: stated, or from the wood table with branches added. [kg]"""
    if job.mass is not None and job.mass_high is not None:
        return PieceWeight(job.mass, job.mass_high)
    species = find_species(job.species)
    band = density_band(species, young_conifer=job.young_conifer)
    if job.mass is not None:
        return PieceWeight(job.mass, job.mass * band.high / band.typical)
    share, high = small_share(job), job.diameter_high or job.diameter
    largest = LogSize(high, high * share, job.length_high or job.length)
    wood = log_mass(
        species,
        job.diameter,
        job.diameter * share,
        job.length,
        high_size=largest,
        young_conifer=job.young_conifer,
    )
    return wood.scaled(1.0 + job.branches)


def load_cases(jobs: Iterable[JobType], line: LineAllowances, pieces: float) -> tuple[LoadCase, ...]:
    """The load cases of a work mix, in its order."""
    return tuple(load_case(job, line, pieces) for job in jobs)


def column(cases: Iterable[LoadCase], name: str) -> NDArray[np.float64]:
    """One attribute of all load cases as an array of shape (cases,)."""
    return np.array([getattr(case, name) for case in cases], dtype=float)
