"""What an item of gear is: one declared table per kind of gear; reading, templates and schema follow."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import model_validator

from catalog_schema.fields import Row, Word, YesNo, column, quantity

Fibre = Annotated[
    Literal["polyester", "nylon", "nylon_core", "hmpe", "polypropylene", "aramid", "natural"], Word
]
Construction = Annotated[
    Literal["double_braid", "three_strand", "kernmantle", "twelve_strand", "sixteen_strand"], Word
]
Termination = Annotated[Literal["cut_end", "spliced_eye", "sewn_eye"], Word]
BreakBasis = Annotated[Literal["minimum", "average"], Word]
Bearing = Annotated[Literal["roller", "plain", "none"], Word]


class Gear(Row):
    """What every item of gear has."""

    id: str = column(
        "Short name of your own, different in every row of the catalogue", example="A1", min_length=1
    )
    name: str = column("What the shopping list calls it", example="invented item", min_length=1)
    mass: float = quantity("mass", "Mass of one piece, dry", example="1.0", default=0.0, ge=0)
    currency: str = column(
        "Currency of the price; the same in the whole catalogue", example="EUR", default="", max_length=8
    )
    note: str = column("Anything you want to remember", default="")


class Priced(Gear):
    """Gear that is sold by the piece."""

    price: float = column("Price of one piece, with everything you pay", example="100", ge=0)


class Rated(Priced):
    """Gear with a breaking strength, a working load limit, or both."""

    min_break: float | None = quantity(
        "force",
        "Breaking strength; for a redirect: as load on the redirect, both legs together",
        example="100",
        default=None,
        gt=0,
    )
    wll: float | None = quantity(
        "force", "Working load limit on the tag; no further design factor is taken", default=None, gt=0
    )

    @model_validator(mode="after")
    def _has_a_strength(self) -> Self:
        if self.min_break is None and self.wll is None:
            raise ValueError("give min_break, wll, or both: without a rating an item can't be chosen")
        if self.min_break is not None and self.wll is not None and self.wll > self.min_break:
            raise ValueError("wll is above min_break: check which is which")
        return self


class Rope(Gear):
    """A rope: one row a length with its price, or a price per length and the lengths on offer, or a spool."""

    mass: float = quantity("mass", "Not asked of a rope: mass_per_length counts", default=0.0, ge=0)
    fibre: Fibre = column(
        "Load-bearing fibre; nylon_core = polyester cover over a nylon core", example="polyester"
    )
    construction: Construction = column("How the rope is made", example="double_braid")
    diameter: float = quantity("size", "Nominal diameter", example="12.7", gt=0.004, le=0.06)
    min_break: float = quantity("force", "Breaking strength of the new, dry rope", example="39", gt=0)
    break_basis: BreakBasis = column("Whether the sheet says minimum or average strength", example="minimum")
    elongation: float = quantity(
        "share", "Stretch at the share of the breaking strength in elongation_at", example="4.5", gt=0, lt=0.6
    )
    elongation_at: float = quantity(
        "share", "Share of the breaking strength at which elongation was measured", example="30", gt=0, lt=1
    )
    elongation_2: float | None = quantity(
        "share", "Stretch at a second, higher share, if the sheet gives one", default=None, gt=0, lt=0.6
    )
    elongation_2_at: float | None = quantity("share", "The second share", default=None, gt=0, lt=1)
    mass_per_length: float = quantity("line_mass", "Mass of the dry rope per length", example="122", gt=0)
    wet_uptake: float = quantity(
        "share",
        "Water taken up when soaked, as a share of the dry mass",
        example="30",
        default=0.3,
        ge=0,
        le=2,
    )
    termination: Termination = column("End as sold", example="cut_end", default="cut_end")
    length: float | None = quantity("length", "Length of this row's rope", example="45", default=None, gt=0)
    price: float | None = column("Price of this length, or of the spool", example="180", default=None, ge=0)
    price_per_length: float | None = quantity(
        "price_per_length", "Price per length, with lengths_on_offer", default=None, ge=0
    )
    lengths_on_offer: tuple[float, ...] = quantity(
        "length", "Lengths sold at price_per_length, separated by spaces or semicolons", default=()
    )
    spool_length: float | None = quantity(
        "length",
        "Rope on the spool, sold whole at price and cut to the lines that are needed",
        default=None,
        gt=0,
    )
    shortest_cut: float | None = quantity(
        "length", "Shortest line that you would cut from the spool; empty = any", default=None, gt=0
    )

    @model_validator(mode="after")
    def _is_sold_in_one_way(self) -> Self:
        priced = self.price is not None
        ways = {
            "length and price": priced and self.length is not None,
            "price_per_length and lengths_on_offer": self.price_per_length is not None
            and bool(self.lengths_on_offer),
            "spool_length and price": priced and self.spool_length is not None,
        }
        sold = [way for way, given in ways.items() if given]
        if not sold:
            raise ValueError(f"say how the rope is sold: give {', or '.join(ways)}")
        if len(sold) > 1:
            raise ValueError(f"the rope is sold in two ways, {'; '.join(sold)}: keep one of them")
        if any(value <= 0 for value in self.lengths_on_offer):
            raise ValueError("lengths_on_offer must be above 0")
        return self

    @model_validator(mode="after")
    def _spool_can_be_cut(self) -> Self:
        if self.shortest_cut is not None and self.spool_length is None:
            raise ValueError("shortest_cut is for rope on a spool: give spool_length too, or leave it empty")
        if self.spool_length is None:
            return self
        if self.shortest_cut is not None and self.shortest_cut > self.spool_length:
            raise ValueError("shortest_cut is above spool_length: check which is which")
        if self.termination != "cut_end":
            raise ValueError("a line cut from a spool has cut ends: write cut_end in termination")
        return self

    @model_validator(mode="after")
    def _stretch_points_rise(self) -> Self:
        if (self.elongation_2 is None) != (self.elongation_2_at is None):
            raise ValueError("elongation_2 and elongation_2_at belong together: give both or neither")
        if (
            self.elongation_2 is not None
            and self.elongation_2_at is not None
            and (self.elongation_2 <= self.elongation or self.elongation_2_at <= self.elongation_at)
        ):
            raise ValueError("the second stretch point must lie above the first in both columns")
        if (
            self.elongation_2 is not None
            and self.elongation_2_at is not None
            and self.elongation_2_at / self.elongation_at < self.elongation_2 / self.elongation
        ):
            raise ValueError(
                "the two stretch points say that the rope gets softer under load: check them, or give the higher one"
            )
        return self


class Redirect(Rated):
    """What the line runs over at the rigging point."""

    kind: Annotated[Literal["block", "pulley", "ring", "multi_hole_ring"], Word] = column(
        "Kind of redirect", example="block"
    )
    rope_min: float = quantity("size", "Thinnest rope allowed", example="10", gt=0)
    rope_max: float = quantity("size", "Thickest rope allowed", example="16", gt=0)
    sheave_diameter: float = quantity(
        "size", "Diameter the rope bends round: sheave tread, or the ring's thickness", example="80", gt=0
    )
    bearing: Bearing = column("Bearing of the sheave; for a ring write none", example="roller")
    takes_catch: YesNo = column("The maker allows catching (shock) with it", example="yes")
    impact_guard: YesNo = column(
        "Has a guard that keeps the rope in and the cheeks from the stem", default=False
    )
    opens_at_side: YesNo = column("Opens so that the rope's middle can be put in", default=False)
    swivel: YesNo = column("Has a swivel", default=False)
    set_from_ground: YesNo = column("Can be set and taken back from the ground", default=False)
    own_sling: YesNo = column("Comes with its own sling, so that no redirect sling is needed", default=False)
    stem_min: float | None = quantity("stem", "Thinnest stem for the own sling", default=None, gt=0)
    stem_max: float | None = quantity("stem", "Thickest stem for the own sling", default=None, gt=0)
    connectors: int = column("Connectors needed to hang it in a sling", example="0", default=0, ge=0, le=2)

    @model_validator(mode="after")
    def _kind_and_bearing_agree(self) -> Self:
        _require_range(self.rope_min, self.rope_max, "rope_min", "rope_max")
        if self.kind in ("ring", "multi_hole_ring") and self.bearing != "none":
            raise ValueError("a ring has no bearing: write none, or choose block or pulley")
        if self.kind in ("block", "pulley") and self.bearing == "none":
            raise ValueError("a block or pulley has a bearing: write roller or plain, or choose ring")
        _require_own_stem_range(self.own_sling, self.stem_min, self.stem_max)
        return self


class Sling(Priced):
    """What holds a redirect, a brake or a lifter at the stem."""

    kind: Annotated[Literal["dead_eye", "whoopie", "loopie", "pocketed", "round"], Word] = column(
        "Kind of sling", example="whoopie"
    )
    fibre: Fibre = column("Load-bearing fibre", example="polyester")
    diameter: float = quantity("size", "Rope diameter, or thickness of the round sling", example="16", gt=0)
    min_break: float | None = quantity(
        "force", "Breaking strength in a straight pull", example="70", default=None, gt=0
    )
    break_basis: BreakBasis = column("Whether the sheet says minimum or average strength", default="minimum")
    hitch_break: float | None = quantity(
        "force", "Breaking strength in the hitch it is used in, if the sheet says so", default=None, gt=0
    )
    wll: float | None = quantity(
        "force", "Working load limit of the tag in a straight pull", default=None, gt=0
    )
    stem_min: float = quantity("stem", "Thinnest stem it can hold on", example="15", gt=0)
    stem_max: float = quantity("stem", "Thickest stem it can go round", example="60", gt=0)
    needs_knot: YesNo = column("Has to be tied (a dead-eye sling), not only adjusted or choked", example="no")

    @model_validator(mode="after")
    def _has_a_strength(self) -> Self:
        if self.min_break is None and self.hitch_break is None and self.wll is None:
            raise ValueError("give min_break, hitch_break or wll: without a rating a sling can't be chosen")
        if (
            self.min_break is not None
            and self.hitch_break is not None
            and self.hitch_break > 2 * self.min_break
        ):
            raise ValueError("hitch_break is above twice min_break: no hitch gives that")
        _require_range(self.stem_min, self.stem_max, "stem_min", "stem_max")
        return self


class Brake(Rated):
    """The friction device that lowers and holds."""

    kind: Annotated[Literal["portable_bollard", "stem_bollard"], Word] = column(
        "Tied to the stem with a sling, or mounted on it", example="portable_bollard"
    )
    rope_min: float = quantity("size", "Thinnest rope allowed", example="10", gt=0)
    rope_max: float = quantity("size", "Thickest rope allowed", example="16", gt=0)
    drum_diameter: float = quantity("size", "Diameter of the drum the rope is wrapped on", example="60", gt=0)
    wraps_max: float = column("Most wraps that fit", example="4", gt=0, le=20)
    takes_catch: YesNo = column("The maker allows catching (shock) with it", example="yes")
    stem_min: float | None = quantity("stem", "Thinnest stem (stem-mounted only)", default=None, gt=0)
    stem_max: float | None = quantity("stem", "Thickest stem (stem-mounted only)", default=None, gt=0)
    connectors: int = column("Connectors needed to hang it in its sling", example="0", default=0, ge=0, le=2)

    @property
    def own_sling(self) -> bool:
        """A stem-mounted bollard brings its own strap."""
        return self.kind == "stem_bollard"

    @model_validator(mode="after")
    def _kind_and_stem_agree(self) -> Self:
        _require_range(self.rope_min, self.rope_max, "rope_min", "rope_max")
        _require_own_stem_range(self.kind == "stem_bollard", self.stem_min, self.stem_max)
        return self


class Lifter(Priced):
    """What pulls the line when a piece is lifted."""

    kind: Annotated[Literal["tackle_set", "lever_hoist", "rope_puller", "stem_winch"], Word] = column(
        "Kind of lifter", example="tackle_set"
    )
    wll: float = quantity("force", "Largest pull on the line that it may give or hold", example="10", gt=0)
    travel: float | None = quantity("length", "Travel in one go; leave empty for endless", default=None, gt=0)
    rope_min: float = quantity("size", "Thinnest line it takes", example="10", gt=0)
    rope_max: float = quantity("size", "Thickest line it takes", example="16", gt=0)
    laid_rope_only: YesNo = column("Grips three-strand (laid) rope only", default=False)
    own_brake: YesNo = column(
        "Can lower the piece by itself, so that no separate brake is needed", default=False
    )
    tackle_parts: int | None = column("Parts of line of a tackle set", example="5", default=None, ge=1, le=12)
    sheave_efficiency: float | None = quantity(
        "share", "Efficiency of one sheave of a tackle set", example="90", default=None, gt=0, le=1
    )
    hand_effort: float | None = quantity(
        "force", "Hand force at the wll that the maker states", default=None, gt=0
    )
    own_sling: YesNo = column("Has its own strap, so that no lifter sling is needed", default=False)
    stem_min: float | None = quantity("stem", "Thinnest stem for the own strap", default=None, gt=0)
    stem_max: float | None = quantity("stem", "Thickest stem for the own strap", default=None, gt=0)
    connectors: int = column(
        "Connectors needed to hang it in its sling and to the line", default=0, ge=0, le=3
    )

    @model_validator(mode="after")
    def _kind_agrees(self) -> Self:
        _require_range(self.rope_min, self.rope_max, "rope_min", "rope_max")
        _require_own_stem_range(self.own_sling, self.stem_min, self.stem_max)
        if self.kind == "rope_puller" and not self.laid_rope_only:
            raise ValueError("a rope puller grips laid rope only: write yes in laid_rope_only")
        if self.kind == "tackle_set" and (self.tackle_parts is None or self.sheave_efficiency is None):
            raise ValueError(
                "a tackle set needs tackle_parts and sheave_efficiency: the hand force follows from them"
            )
        return self


class Connector(Rated):
    """A shackle or carabiner that joins a redirect, brake or lifter to its sling."""

    kind: Annotated[Literal["shackle", "carabiner"], Word] = column("Kind of connector", example="shackle")


class Extra(Priced):
    """What goes with the gear: protection, throw line, bags, training."""

    kind: Annotated[
        Literal[
            "head_protection", "eye_protection", "ear_protection", "leg_protection", "boots", "gloves",
            "throw_line", "rope_bag", "first_aid", "training_day", "other",
        ],
        Word,
    ] = column("What it is for; the cheapest of a kind is bought", example="head_protection")  # fmt: skip
    per: Annotated[Literal["climber", "ground_worker", "person", "crew", "kit"], Word] = column(
        "Who or what needs it", example="person"
    )
    count: int = column("How many each of them needs", example="1", default=1, ge=1, le=100)


def _require_range(low: float, high: float, low_name: str, high_name: str) -> None:
    if low > high:
        raise ValueError(f"{low_name} is above {high_name}: swap them")


def _require_own_stem_range(own: bool, low: float | None, high: float | None) -> None:
    if own and (low is None or high is None):
        raise ValueError("its own strap needs stem_min and stem_max")
    if low is not None and high is not None:
        _require_range(low, high, "stem_min", "stem_max")


TABLES: dict[str, type[Gear]] = {
    "ropes": Rope,
    "redirects": Redirect,
    "slings": Sling,
    "brakes": Brake,
    "lifters": Lifter,
    "connectors": Connector,
    "extras": Extra,
}
