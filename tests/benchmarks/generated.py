"""Generated catalogues and work mixes of any size, seeded: invented gear along smooth curves of size and price."""

from __future__ import annotations

import random

from catalog_schema.catalogue import Catalogue
from catalog_schema.gear import Brake, Connector, Lifter, Redirect, Rope, Sling
from recommender.work.tables import JobType

SHARES = {
    "ropes": 0.55,
    "redirects": 0.15,
    "slings": 0.15,
    "brakes": 0.05,
    "lifters": 0.05,
    "connectors": 0.05,
}
FIBRES = ("polyester", "nylon_core", "nylon", "hmpe", "polypropylene")
STRENGTH = {"polyester": 0.24, "nylon_core": 0.24, "nylon": 0.16, "hmpe": 0.55, "polypropylene": 0.10}
STRETCH = {"polyester": 0.045, "nylon_core": 0.10, "nylon": 0.16, "hmpe": 0.012, "polypropylene": 0.08}
COST = {"polyester": 1.0, "nylon_core": 1.1, "nylon": 0.8, "hmpe": 3.5, "polypropylene": 0.5}
LENGTHS = (30.0, 45.0, 60.0, 90.0)


def catalogue(items: int, seed: int = 0) -> Catalogue:
    """A catalogue of about ``items`` items to buy."""
    rng = random.Random(seed)
    count = {table: round(items * share) for table, share in SHARES.items()}
    makers = {
        "ropes": _rope, "redirects": _redirect, "slings": _sling, "brakes": _brake, "lifters": _lifter,
        "connectors": _connector,
    }  # fmt: skip
    tables = {table: tuple(makers[table](rng, k) for k in range(count[table])) for table in count}
    return Catalogue(**tables, currency="EUR")  # type: ignore[arg-type]


def _rope(rng: random.Random, number: int) -> Rope:
    kind, length = number // 4, LENGTHS[number % 4]
    own = random.Random(kind * 7919 + 1)
    fibre = own.choice(FIBRES)
    diameter = own.choice((10, 11, 12, 12.7, 13, 14, 16, 18, 19, 20, 22, 24)) / 1000
    strong = own.uniform(0.9, 1.1)
    return Rope(
        id=f"R{number}", name=f"rope {number}", fibre=fibre,
        construction=own.choice(("double_braid", "kernmantle", "three_strand")),
        diameter=diameter, min_break=STRENGTH[fibre] * 1e9 * diameter**2 * strong, break_basis="minimum",
        elongation=STRETCH[fibre] * own.uniform(0.9, 1.1), elongation_at=0.3,
        mass_per_length=750 * diameter**2, length=length,
        price=round(length * COST[fibre] * 25e3 * diameter**2 * strong * rng.uniform(0.9, 1.1), 2),
    )  # fmt: skip


def _sizes(rng: random.Random) -> tuple[float, float]:
    low = rng.choice((8, 10, 12, 14)) / 1000
    return low, low + rng.choice((3, 5, 8, 12)) / 1000


def _redirect(rng: random.Random, number: int) -> Redirect:
    ring = rng.random() < 0.4
    bearing = "none" if ring else rng.choice(("roller", "plain"))
    kind = rng.choice(("ring", "multi_hole_ring")) if ring else rng.choice(("block", "pulley"))
    strength = rng.uniform(30e3, 250e3)
    low, high = _sizes(rng)
    return Redirect(
        id=f"D{number}", name=f"redirect {number}", kind=kind, rope_min=low, rope_max=high,
        sheave_diameter=high * rng.uniform(2, 6), bearing=bearing, takes_catch=rng.random() < 0.6,
        min_break=strength, connectors=0 if ring else rng.choice((0, 1)), mass=strength / 50e3,
        price=round(strength / 1e3 * rng.uniform(1.0, 3.0) * (0.6 if ring else 1.0), 2),
    )  # fmt: skip


def _sling(rng: random.Random, number: int) -> Sling:
    strength, stem = rng.uniform(30e3, 300e3), rng.uniform(0.3, 1.5)
    return Sling(
        id=f"S{number}", name=f"sling {number}", kind=rng.choice(("dead_eye", "whoopie", "loopie", "round")),
        fibre=rng.choice(("polyester", "nylon", "hmpe")), diameter=0.016, min_break=strength, stem_min=0.1,
        stem_max=stem, needs_knot=False, mass=strength / 80e3,
        price=round(strength / 1e3 * rng.uniform(0.4, 0.9) * (0.5 + stem), 2),
    )  # fmt: skip


def _brake(rng: random.Random, number: int) -> Brake:
    strength, portable = rng.uniform(50e3, 300e3), rng.random() < 0.7
    low, high = _sizes(rng)
    return Brake(
        id=f"B{number}", name=f"brake {number}", kind="portable_bollard" if portable else "stem_bollard",
        rope_min=low, rope_max=high, drum_diameter=high * 4, wraps_max=4, takes_catch=True, min_break=strength,
        stem_min=None if portable else 0.15, stem_max=None if portable else 1.2, mass=strength / 30e3,
        price=round(strength / 1e3 * rng.uniform(1.5, 3.0) * (1.0 if portable else 2.0), 2),
    )  # fmt: skip


def _lifter(rng: random.Random, number: int) -> Lifter:
    pull = rng.uniform(4e3, 25e3)
    return Lifter(
        id=f"L{number}", name=f"lifter {number}", kind="lever_hoist", wll=pull,
        travel=rng.choice((1.5, 3.0, 6.0, None)),
        rope_min=0.008, rope_max=0.026, own_brake=rng.random() < 0.3, connectors=rng.choice((1, 2)),
        mass=pull / 1e3, price=round(pull / 1e3 * rng.uniform(20, 60), 2),
    )  # fmt: skip


def _connector(rng: random.Random, number: int) -> Connector:
    strength = rng.uniform(30e3, 250e3)
    return Connector(
        id=f"C{number}", name=f"shackle {number}", kind="shackle", min_break=strength, mass=strength / 300e3,
        price=round(strength / 1e3 * rng.uniform(0.1, 0.3), 2),
    )  # fmt: skip


def work_mix(jobs: int, seed: int = 0) -> tuple[JobType, ...]:
    """A work mix of ``jobs`` job types: half lowering, three in ten catching, the rest lifting."""
    rng = random.Random(seed + 1)
    return tuple(_job(rng, k, 1.0 / jobs) for k in range(jobs))


def _job(rng: random.Random, number: int, share: float) -> JobType:
    technique = rng.choices(("lower", "catch", "lift"), (5, 3, 2))[0]
    high = rng.uniform(5, 30)
    values: dict[str, object] = {
        "job": f"job {number}", "technique": technique, "share": share, "wet": rng.random() < 0.5,
        "species": rng.choice(("red maple", "white oak", "eastern white pine", "American beech")),
        "diameter": rng.uniform(0.12, 0.35), "length": rng.uniform(1.0, 3.0), "rigging_height": high,
        "stem_at_redirect": rng.uniform(0.2, 0.6), "stem_at_brake": rng.uniform(0.3, 0.9),
    }  # fmt: skip
    if technique == "catch":
        values |= {
            "diameter": rng.uniform(0.12, 0.28), "length": rng.uniform(0.8, 1.4), "run": rng.uniform(0.8, 1.5),
            "cut_to_redirect": rng.uniform(0.3, 0.5), "tie_above_cut": 0.3,
        }  # fmt: skip
    if technique == "lift":
        values |= {"lift_height": rng.uniform(0.5, 1.2)}
    return JobType.model_validate(values)
