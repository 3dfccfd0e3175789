"""From a kind of standing tree to the job types that it gives: limbs, top, and stem logs by classes of mass."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import pi, sqrt

from recommender.sourced import COMMON_PRACTICE, Sourced
from recommender.wood import CutPlan, StemPiece, Tree, TreePieces, cut_to_pieces, density_band, find_species
from recommender.wood.trees import diameter_at
from recommender.work.cases import BRAKE_HEIGHT
from recommender.work.tables import JobType
from recommender.work.tree_table import TreeRow

LARGEST_LIMB = Sourced(
    2.0, "-", COMMON_PRACTICE, note="mass of the largest limb piece over the mean of all of them"
)
CLASSES = (("heavy stem logs", 0.5), ("stem logs", 0.25), ("light stem logs", 0.0))
"""Classes of stem logs, each with the share of the heaviest log's mass from which a log belongs to it."""
SHORTEST_LOG = Sourced(
    0.5, "-", COMMON_PRACTICE, note="of the stated length: a shorter rest under the top comes down with it"
)
SHORT_TIE = 0.5
"""On logs that are too short for the stated knot it sits at half their length."""


@dataclass(frozen=True)
class _Cut:
    """A tree, usual or largest, and the pieces that it comes apart into."""

    tree: Tree
    pieces: TreePieces


def jobs_of_tree(row: TreeRow) -> tuple[JobType, ...]:
    """The job types of a kind of tree; their shares are 0, their pieces a season are stated.

    Parameters
    ----------
    row : TreeRow

    Returns
    -------
    tuple of JobType
        Usual masses are means over the usual tree's pieces, design masses are those of the heaviest piece in the
        class, of the usual or the largest tree. A redirect moves down with the cuts: the lowest place gives the
        shortest and stiffest line, the highest the line that is needed.

    Raises
    ------
    UnknownSpecies
        If the wood table has no such species.
    ValueError
        If the tree can't be cut so.

    Examples
    --------
    >>> row = TreeRow(tree="maples", count=10, species="red maple", diameter=0.4, height=18.0, crown_base=6.0,
    ...               piece_length=1.2, top_diameter=0.15)
    >>> for job in jobs_of_tree(row):
    ...     print(job.job, job.technique, round(job.pieces_per_season), round(job.mass), round(job.mass_high))
    maples: limbs lower 120 17 49
    maples: top catch 10 147 213
    maples: heavy stem logs catch 50 70 105
    maples: stem logs catch 20 34 43
    maples: light stem logs catch 10 22 25
    """
    usual = _cut(row, row.diameter, row.height)
    largest = _cut(row, row.diameter_high or row.diameter, row.height_high or row.height)
    return tuple(_jobs(row, usual, largest))


def _jobs(row: TreeRow, usual: _Cut, largest: _Cut) -> Iterator[JobType]:
    if row.limbs in ("lower", "lift") and float(usual.pieces.limbs.typical) > 0:
        yield _limbs(row, usual, largest)
    if row.top == "catch":
        yield _caught(row, "top", [usual.pieces.top], [largest.pieces.top], largest.tree, with_limbs=True)
    if row.stem == "catch":
        on_stem = row.limbs == "on_stem"
        small, large = (_by_class(row, one.pieces.pieces, on_stem) for one in (usual, largest))
        for name in (name for name, _ in CLASSES if name in small or name in large):
            typical, high = small.get(name, []), large.get(name, [])
            yield _caught(row, name, typical, high, largest.tree, with_limbs=on_stem)


def _cut(row: TreeRow, diameter: float, height: float) -> _Cut:
    state = {"in_leaf": row.in_leaf, "young_conifer": row.young_conifer}
    tree = Tree(find_species(row.species), diameter, height, row.crown_base, **state)
    return _Cut(
        tree,
        _without_stub(cut_to_pieces(tree, CutPlan(row.piece_length, row.top_diameter)), row.piece_length),
    )


def _without_stub(cut: TreePieces, piece_length: float) -> TreePieces:
    """A remainder under the top that is too short for a piece of its own comes down with the top."""
    if not cut.pieces or cut.pieces[-1].length >= SHORTEST_LOG.value * piece_length:
        return cut
    stub, top = cut.pieces[-1], cut.top
    longer = replace(
        top,
        level=stub.level,
        length=stub.length + top.length,
        big_diameter=stub.big_diameter,
        stem=stub.stem + top.stem,
        limbs=stub.limbs + top.limbs,
    )
    return replace(cut, pieces=cut.pieces[:-1], top=longer)


def _mass(piece: StemPiece, with_limbs: bool) -> tuple[float, float]:
    """Usual and design mass of a piece, with or without its limbs. [kg]"""
    weight = piece.unlimbed if with_limbs else piece.stem
    return float(weight.typical), float(weight.design)


def _by_class(row: TreeRow, pieces: Sequence[StemPiece], with_limbs: bool) -> dict[str, list[StemPiece]]:
    """The stem pieces that are rigged, by classes of mass."""
    rigged = [piece for piece in pieces if piece.level >= row.fell_below]
    heaviest = max((_mass(piece, with_limbs)[1] for piece in rigged), default=0.0)
    classes: dict[str, list[StemPiece]] = {}
    for name, _ in CLASSES:
        found = [piece for piece in rigged if _class_of(_mass(piece, with_limbs)[1] / heaviest) == name]
        if found:
            classes[name] = found
    return classes


def _class_of(share: float) -> str:
    return next(name for name, least in CLASSES if share >= least)


def _caught(
    row: TreeRow,
    name: str,
    usual: Sequence[StemPiece],
    largest: Sequence[StemPiece],
    tree: Tree,
    *,
    with_limbs: bool,
) -> JobType:
    """A job type for pieces that are caught over a redirect under their own cuts; either tree may have none of them."""
    every = (*usual, *largest)  # the largest tree's top is cut higher up and may be the lighter one
    heaviest = max(every, key=lambda piece: _mass(piece, with_limbs)[1])
    masses = [_mass(piece, with_limbs)[0] for piece in usual or largest]
    levels = [piece.level for piece in every]
    low, high = min(levels) - row.cut_to_redirect, max(levels) - row.cut_to_redirect
    length = sum(piece.length for piece in usual or largest) / len(usual or largest)
    return JobType(
        job=f"{row.tree}: {name}",
        technique="catch",
        share=0.0,
        species=row.species,
        diameter=heaviest.big_diameter,
        small_diameter=None if with_limbs else heaviest.small_diameter,
        length=length,
        length_high=max(length, *(piece.length for piece in every)),
        mass=sum(masses) / len(masses),
        mass_high=_mass(heaviest, with_limbs)[1],
        rigging_height=low,
        highest_redirect=high,
        stem_at_redirect=float(diameter_at(tree, low)),
        stem_at_highest=float(diameter_at(tree, high)),
        stem_at_brake=float(diameter_at(tree, float(BRAKE_HEIGHT))),
        slack=row.slack,
        cut_to_redirect=row.cut_to_redirect,
        tie_above_cut=row.tie_above_cut if row.tie_above_cut <= length else SHORT_TIE * length,
        run=row.run,
        clearance=min(levels) - row.keep_clear,
        wet=row.wet,
        pieces_per_season=row.count * len(usual),
        note=row.note,
    )


def _limbs(row: TreeRow, usual: _Cut, largest: _Cut) -> JobType:
    """A job type for the limbs below the top, lowered or lifted over a redirect in the crown."""
    mean = float(usual.pieces.limbs.typical) / row.limb_pieces
    all_limbs = max(float(one.pieces.limbs.design) for one in (usual, largest))
    design = float(LARGEST_LIMB) * all_limbs / row.limb_pieces
    density = density_band(usual.tree.species, young_conifer=row.young_conifer).typical
    place = row.limb_redirect * row.height
    return JobType(
        job=f"{row.tree}: limbs",
        technique="lift" if row.limbs == "lift" else "lower",
        share=0.0,
        species=row.species,
        diameter=sqrt(4 * mean / (pi * density * row.limb_length)),
        length=row.limb_length,
        mass=mean,
        mass_high=design,
        rigging_height=place,
        stem_at_redirect=float(diameter_at(usual.tree, place)),
        stem_at_brake=float(diameter_at(largest.tree, float(BRAKE_HEIGHT))),
        swing_angle=row.swing_angle if row.limbs == "lower" else 0.0,
        lift_height=row.lift_height if row.limbs == "lift" else None,
        lift_manner=row.lift_manner,
        wet=row.wet,
        pieces_per_season=row.count * row.limb_pieces,
        note=row.note,
    )
