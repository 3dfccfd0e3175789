"""The table of standing trees: an owner may describe trees instead of the pieces that they come apart into."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import model_validator

from catalog_schema.fields import Row, Word, YesNo, column, quantity

LOWEST_REDIRECT = 1.5
"""Least height of a redirect that a job type may have. [m]"""


class TreeRow(Row):
    """One row of ``trees``: a kind of tree that is taken down in pieces, and how it is cut."""

    tree: str = column("Short name of the kind of tree", example="garden maples", min_length=1)
    count: float = column("Trees of this kind in a season", example="10", gt=0, le=100_000)
    species: str = column("Common or Latin name", example="red maple", min_length=1)
    diameter: float = quantity("stem", "Usual diameter over bark at breast height", example="35", gt=0, le=3)
    diameter_high: float | None = quantity(
        "stem", "Largest diameter at breast height to plan for; empty = usual", default=None, gt=0, le=3
    )
    height: float = quantity("length", "Usual height of the tree", example="16", gt=0, le=100)
    height_high: float | None = quantity(
        "length", "Greatest height to plan for; empty = usual", default=None, gt=0, le=100
    )
    crown_base: float = quantity("length", "Height of the lowest living limbs", example="5", ge=0, le=100)
    in_leaf: YesNo = column("Leaves or needles are on it", default=True)
    young_conifer: YesNo = column("A small or young conifer: mostly sapwood, much heavier", default=False)
    limbs: Annotated[Literal["lower", "lift", "on_stem", "free"], Word] = column(
        "Limbs below the top: lowered, lifted, left on the stem pieces, or cut free without rigging",
        example="lower",
        default="lower",
    )
    limb_pieces: int = column("Pieces that the limbs below the top come down in", default=12, ge=1, le=1000)
    limb_length: float = quantity("length", "Usual length of a limb piece", default=3.0, gt=0, le=30)
    top: Annotated[Literal["catch", "free"], Word] = column(
        "The top: caught over a redirect under its cut, or cut free without rigging",
        example="free",
        default="catch",
    )
    stem: Annotated[Literal["catch", "free"], Word] = column(
        "Stem pieces: caught over a redirect under the cut, or cut free without rigging",
        example="free",
        default="catch",
    )
    piece_length: float = quantity("length", "Length of the stem pieces", example="1.2", gt=0, le=10)
    top_diameter: float = quantity(
        "stem", "Diameter over bark at which the top is cut off", example="12", gt=0, le=3
    )
    fell_below: float = quantity(
        "length",
        "Height of the lowest cut that is rigged; below it the stem is felled",
        default=3.0,
        gt=0,
        le=100,
    )
    limb_redirect: float = quantity(
        "share",
        "Height of the redirect for limbs, as a share of the tree's height",
        example="50",
        default=0.6,
        gt=0,
        lt=1,
    )
    swing_angle: float = quantity(
        "angle", "Line from the vertical when a limb lets go", default=0.0, ge=0, le=1.5708
    )
    lift_height: float = quantity(
        "length", "Limbs that are lifted: how far they are pulled up", default=1.0, gt=0, le=20
    )
    lift_manner: Annotated[Literal["smooth", "jerky", "snatched"], Word] = column(
        "Limbs that are lifted: smooth, jerky or snatched", default="jerky"
    )
    cut_to_redirect: float = quantity(
        "length", "Catch: line from the cut down to the redirect", default=0.3, gt=0, le=5
    )
    tie_above_cut: float = quantity(
        "length", "Catch: from the cut up to the knot on the piece", default=0.3, gt=0, le=10
    )
    slack: float = quantity(
        "length", "Catch: slack in the line when the piece comes off", default=0.1, ge=0, le=10
    )
    run: float = quantity(
        "length",
        "Catch: how far the line is let run in the working state; 0 = locked",
        default=1.0,
        ge=0,
        le=20,
    )
    keep_clear: float = quantity(
        "length", "Catch: height above the ground that nothing may come below", default=0.0, ge=0, le=100
    )
    wet: YesNo = column("Gear may be wet", default=True)
    note: str = column("Anything you want to remember", default="")

    @model_validator(mode="after")
    def _heights_agree(self) -> Self:
        for low, high in (("diameter", "diameter_high"), ("height", "height_high")):
            largest = getattr(self, high)
            if largest is not None and largest < getattr(self, low):
                raise ValueError(f"{high} is below {low}: the largest can't be smaller than the usual")
        if self.crown_base >= self.height:
            raise ValueError("crown_base is not below height: the crown needs some length")
        if self.tie_above_cut > self.piece_length:
            raise ValueError("tie_above_cut is above piece_length: the knot must be on the piece")
        if self.limb_redirect * self.height < LOWEST_REDIRECT and self.limbs in ("lower", "lift"):
            raise ValueError(f"limb_redirect puts the redirect below {LOWEST_REDIRECT:g} m")
        if self.fell_below - self.cut_to_redirect < LOWEST_REDIRECT and "catch" in (self.top, self.stem):
            raise ValueError(f"fell_below must be {LOWEST_REDIRECT:g} m and cut_to_redirect, or more")
        if self.keep_clear >= self.fell_below and "catch" in (self.top, self.stem):
            raise ValueError("keep_clear must be below fell_below: a caught piece needs room under its cut")
        return self
