"""What a plan's jobs and owned gear were made of: trees beside the work mix, and a register of pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from catalog_schema.catalogue import Catalogue
from recommender.ratings.settings import Policy
from recommender.work.inspections import Register
from recommender.work.register import Inspection, RegisterItem
from recommender.work.tables import JobType, OwnedGear
from recommender.work.tree_table import TreeRow


@dataclass(frozen=True)
class Origins:
    """What stands behind a plan as it was written.

    ``notes`` are those of the plan that tell of it, ``pieces`` those of the register behind each row of what the plan
    takes as owned.

    With trees, the plan's job types are those of ``work``, the work mix beside them, and the pieces of the trees. With
    a register, its sound pieces are what the plan takes as owned.
    """

    work: tuple[JobType, ...] = ()
    trees: tuple[TreeRow, ...] = ()
    register: tuple[RegisterItem, ...] = ()
    inspections: tuple[Inspection, ...] = ()
    notes: tuple[str, ...] = ()
    pieces: tuple[tuple[RegisterItem, ...], ...] = ()


AS_WRITTEN = Origins()
"""Of a plan whose job types and owned gear were written themselves."""
LIST_UNUSED = "The register says what is owned; the plain list of owned gear is not counted."


def counted_gear(
    listed: Sequence[OwnedGear], origins: Origins, catalogue: Catalogue, policy: Policy, today: date
) -> tuple[tuple[OwnedGear, ...], Origins]:
    """What is owned and may be planned with: the sound pieces of the register, without one the plain list.

    Returns
    -------
    tuple of OwnedGear
    Origins
        With the pieces behind it, and notes on what is left out and why.
    """
    if not origins.register:
        return tuple(listed), origins
    register = Register(origins.register, origins.inspections, catalogue)
    owned, left_out = register.owned_gear(policy, today)
    notes = (*origins.notes, *((LIST_UNUSED,) if listed else ()), *left_out)
    return owned, replace(origins, notes=notes, pieces=register.alike(policy, today))
