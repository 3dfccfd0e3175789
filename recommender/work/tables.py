"""The tables of a plan: job types of the work mix, and gear that is owned already."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import model_validator

from catalog_schema.fields import Row, Word, YesNo, column, quantity

Technique = Literal["lower", "lift", "catch"]
TECHNIQUES: tuple[Technique, ...] = ("lower", "lift", "catch")


class JobType(Row):
    """One row of the work mix: a kind of piece that is taken down in one way."""

    job: str = column("Short name of the job type", example="maple limbs", min_length=1)
    technique: Annotated[Technique, Word] = column(
        "lower: tied below a redirect; lift: pulled up first; catch: cut above the redirect, then stopped",
        example="lower",
    )
    share: float = quantity(
        "share", "Share of all pieces; the shares add up to 100 %", example="100", ge=0, le=1
    )
    species: str = column("Common or Latin name", example="red maple", min_length=1)
    diameter: float = quantity("stem", "Usual diameter over bark at the big end", example="25", gt=0, le=3)
    small_diameter: float | None = quantity(
        "stem",
        "Usual diameter at the small end; empty = as the big end. The largest piece is taken to taper alike",
        default=None,
        gt=0,
        le=3,
    )
    length: float = quantity("length", "Usual length of the piece", example="2.5", gt=0, le=30)
    diameter_high: float | None = quantity(
        "stem", "Largest big-end diameter to plan for; empty = usual", default=None, gt=0, le=3
    )
    length_high: float | None = quantity(
        "length", "Longest piece to plan for; empty = usual", default=None, gt=0, le=30
    )
    mass: float | None = quantity(
        "mass",
        "Usual mass of the piece, if you know it: then it counts instead of the wood table",
        default=None,
        gt=0,
    )
    mass_high: float | None = quantity(
        "mass", "Largest mass to plan for; empty = mass plus the wood table's upper band", default=None, gt=0
    )
    branches: float = quantity(
        "share",
        "Mass of side branches and leaves on top of the wood, as a share of it",
        example="0",
        default=0.0,
        ge=0,
        le=3,
    )
    young_conifer: YesNo = column("A small or young conifer: mostly sapwood, much heavier", default=False)
    rigging_height: float = quantity(
        "length", "Height of the redirect above the ground", example="12", ge=1.5, le=100
    )
    highest_redirect: float | None = quantity(
        "length",
        "Catch: highest place of a redirect that moves down with the cuts; then rigging_height is its lowest",
        default=None,
        ge=1.5,
        le=100,
    )
    lowering_distance: float | None = quantity(
        "length", "How far the piece goes down; empty = down to the ground", default=None, gt=0, le=100
    )
    stem_at_redirect: float = quantity(
        "stem", "Stem or limb diameter where the redirect hangs", example="25", gt=0, le=3
    )
    stem_at_highest: float | None = quantity(
        "stem",
        "Catch: stem diameter at highest_redirect; empty = as stem_at_redirect",
        default=None,
        gt=0,
        le=3,
    )
    stem_at_brake: float = quantity(
        "stem", "Stem diameter where the brake and the lifter sit", example="45", gt=0, le=3
    )
    leg_angle: float = quantity(
        "angle",
        "Angle between the two legs of the line at the redirect; 0 = side by side",
        example="0",
        default=0.0,
        ge=0,
        lt=3.1416,
    )
    slack: float = quantity(
        "length", "Slack in the line when the piece comes off", example="0", default=0.0, ge=0, le=10
    )
    swing_angle: float = quantity(
        "angle", "Line from the vertical when a side limb lets go", example="0", default=0.0, ge=0, le=1.5708
    )
    cut_to_redirect: float | None = quantity(
        "length",
        "Line from the cut to the redirect: downwards in a catch; else above the piece, empty = 1 m",
        default=None,
        gt=0,
        le=5,
    )
    tie_above_cut: float | None = quantity(
        "length", "Catch: from the cut up to the knot on the piece", default=None, gt=0, le=10
    )
    run: float = quantity(
        "length",
        "Catch: how far the line is let run in the working state; 0 = locked",
        default=0.0,
        ge=0,
        le=20,
    )
    clearance: float | None = quantity(
        "length", "Catch: free height under the cut that the piece may use up", default=None, gt=0, le=100
    )
    lift_height: float | None = quantity(
        "length", "Lift: how far the piece is pulled up", default=None, gt=0, le=20
    )
    lift_manner: Annotated[Literal["smooth", "jerky", "snatched"], Word] = column(
        "Lift: smooth hand winch; jerky or freeing from a crown; snatched by hand", default="jerky"
    )
    from_ground: YesNo = column("The redirect has to be set and taken back from the ground", default=False)
    wet: YesNo = column("Gear may be wet", default=True)
    pieces_per_season: float | None = column(
        "Pieces of this kind in a season; empty = the plan's pieces times the share", default=None, ge=0
    )
    most_pieces: int = column(
        "The piece may be cut into up to this many shorter pieces instead", default=1, ge=1, le=6
    )
    cut_minutes: float = column("Crew time of each extra cut, in minutes", default=0.0, ge=0, le=600)
    hire_price: float | None = column(
        "Price per piece of giving the job type away; empty = not wanted", default=None, ge=0
    )
    crews_at_once: int | None = column(
        "Crews that do this at the same time; empty = all of them", default=None, ge=1, le=100
    )
    systems: int = column("Setups that one crew has up at once", default=1, ge=1, le=4)
    note: str = column("Anything you want to remember", default="")

    @model_validator(mode="after")
    def _sizes_agree(self) -> Self:
        for low, high in (("diameter", "diameter_high"), ("length", "length_high"), ("mass", "mass_high")):
            usual, largest = getattr(self, low), getattr(self, high)
            if largest is not None and usual is None:
                raise ValueError(f"{high} needs {low}: give the usual value too")
            if largest is not None and largest < usual:
                raise ValueError(f"{high} is below {low}: the largest can't be smaller than the usual")
        if self.small_diameter is not None and self.small_diameter > self.diameter:
            raise ValueError("small_diameter is above diameter: swap them")
        if self.lowering_distance is not None and self.lowering_distance > self.rigging_height:
            raise ValueError("lowering_distance is above rigging_height: the piece can't go below the ground")
        if self.highest_redirect is not None and self.highest_redirect < self.rigging_height:
            raise ValueError("highest_redirect is below rigging_height: swap them")
        if self.stem_at_highest is not None and self.stem_at_highest > self.stem_at_redirect:
            raise ValueError("stem_at_highest is above stem_at_redirect: a stem gets thinner upwards")
        return self

    @model_validator(mode="after")
    def _technique_has_its_columns(self) -> Self:
        needed = {"catch": ("cut_to_redirect", "tie_above_cut"), "lift": ("lift_height",), "lower": ()}
        missing = [name for name in needed[self.technique] if getattr(self, name) is None]
        if missing:
            raise ValueError(f"technique {self.technique} needs {' and '.join(missing)}")
        if self.technique != "catch" and self.run:
            raise ValueError("run belongs to technique catch: leave it empty or 0")
        if self.technique != "catch" and self.highest_redirect is not None:
            raise ValueError("highest_redirect belongs to technique catch: leave it empty")
        if self.stem_at_highest is not None and self.highest_redirect is None:
            raise ValueError("stem_at_highest needs highest_redirect: give it, or leave both empty")
        if self.tie_above_cut is not None and self.tie_above_cut > self.length:
            raise ValueError("tie_above_cut is above length: the knot must be on the piece")
        return self


class OwnedGear(Row):
    """One row of gear that is on the truck already."""

    item: str = column("The item's id in the catalogue", example="A1", min_length=1)
    count: int = column("How many of them", example="1", default=1, ge=1, le=1000)
    length: float | None = quantity(
        "length", "Ropes: its length today; empty = as in the catalogue", default=None, gt=0
    )
    age: float = quantity("age", "Age since first use", example="2", default=0.0, ge=0)
    condition: Annotated[Literal["new", "sound", "worn"], Word] = column(
        "new, sound (used but sound) or worn (not used for loads)", example="sound", default="sound"
    )
    note: str = column("Serial number, place, anything", default="")


class SeasonRow(Row):
    """One budget period of a plan, in order."""

    season: str = column("Name of the season, different in every row", example="2027", min_length=1)
    budget: float | None = column(
        "Most that may be spent on purchases; empty = no limit", example="2000", default=None, ge=0
    )
    work: float = quantity(
        "share", "Work of the season against the work mix", example="100", default=1.0, ge=0, le=100
    )
    note: str = column("Anything you want to remember", default="")


class SeasonWork(Row):
    """Pieces of one job type in one season, where they differ from the work mix."""

    season: str = column("Name of the season", example="2027", min_length=1)
    job: str = column("Name of the job type", example="maple limbs", min_length=1)
    pieces: float = column("Pieces of the job type in this season", example="100", ge=0)
