"""What a policy is made of: design factors with their floors, factors of strength, and planning values."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, Strict, ValidationInfo, field_validator, model_validator
from pydantic_core import PydanticCustomError

from catalog_schema.gear import Fibre

Technique = Literal["lower", "lift", "catch"]

Number = Annotated[float, Strict(), Field(allow_inf_nan=False)]
Share = Annotated[Number, Field(gt=0, le=1)]
Positive = Annotated[Number, Field(gt=0)]
AtLeastOne = Annotated[Number, Field(ge=1, le=100)]


class Setting(BaseModel):
    """A group of values with one basis.

    Attributes
    ----------
    source : str
        Key of ``data/sources.csv``, or one of its reserved words.
    basis : str
        Place in the source, and how the values were taken from it.
    reason : str
        Why a plan's own policy changed them.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str
    basis: str
    reason: str = ""


def _not_below_floor(value: float, info: ValidationInfo) -> float:
    floor = info.data.get("floor")
    if floor is not None and value < floor:
        raise PydanticCustomError("below_floor", "must not be below {floor}", {"floor": f"{floor:g}"})
    return value


class ByTechnique(Setting):
    """Design factor of a part per technique; no value may lie below ``floor``. [-]"""

    floor: AtLeastOne
    lower: AtLeastOne
    lift: AtLeastOne
    catch: AtLeastOne

    _floor = field_validator("lower", "lift", "catch")(_not_below_floor)

    def at(self, technique: Technique) -> float:
        """The design factor of a technique."""
        return {"lower": self.lower, "lift": self.lift, "catch": self.catch}[technique]


class Floored(Setting):
    """One factor that may not lie below ``floor``. [-]"""

    floor: Positive
    factor: Annotated[Number, Field(gt=0, le=100)]

    _floor = field_validator("factor")(_not_below_floor)


class OneShare(Setting):
    """One share of the strength that is left. [-]"""

    factor: Share


class ByFibre(Setting):
    """Share of the strength that is left, per fibre; ``others`` where a fibre has no value of its own. [-]"""

    others: Share
    polyester: Share | None = None
    nylon: Share | None = None
    nylon_core: Share | None = None
    hmpe: Share | None = None
    polypropylene: Share | None = None
    aramid: Share | None = None
    natural: Share | None = None

    def key(self, fibre: Fibre) -> str:
        """The name of the value that holds for a fibre."""
        return fibre if getattr(self, fibre) is not None else "others"

    def of(self, fibre: Fibre) -> float:
        """The share that holds for a fibre."""
        return float(getattr(self, self.key(fibre)))


class BendTable(Setting):
    """Share of the strength left over a bend, against bend diameter over rope diameter. [-]"""

    ratio: tuple[Positive, ...]
    factor: tuple[Share, ...]

    @model_validator(mode="after")
    def _rises(self) -> Self:
        if len(self.ratio) != len(self.factor) or len(self.ratio) < 2:
            raise ValueError("ratio and factor need as many values each, and at least two")
        if any(low >= high for low, high in pairwise(self.ratio)):
            raise ValueError("ratio must rise from value to value")
        if any(low > high for low, high in pairwise(self.factor)):
            raise ValueError("factor must not fall as ratio rises")
        return self


class Condition(Setting):
    """Share of the strength that is left in a textile, per condition; worn ones are refused. [-]"""

    bought: Share
    new: Share
    sound: Share


class Retirement(Setting):
    """Years of use after which a textile is retired."""

    textile_years: Annotated[Number, Field(gt=0, le=20)]


class Wear(Setting):
    """Planning rule for the life of a textile in loads: ``lifts * (load_share / share)^exponent``.

    ``share`` is the load over the strength that is left at the weakest spot; [-]. ``seasons_per_year`` turns the years
    of ``Retirement`` into seasons.
    """

    lifts: Annotated[Number, Field(ge=1, le=1e6)]
    load_share: Share
    exponent: Annotated[Number, Field(ge=1, le=20)]
    seasons_per_year: Annotated[Number, Field(gt=0, le=12)]


class TagBreak(Setting):
    """Breaking strength over working load limit, assumed where a part has a tag only. [-]"""

    redirect: AtLeastOne
    brake: AtLeastOne
    sling: AtLeastOne
    connector: AtLeastOne


class Stiffness(Setting):
    """Stiffness of the rope in use over the one from its sheet: high for peaks, low for clearance. [-]"""

    high: Annotated[Number, Field(ge=1, le=5)]
    low: Share


class HandForce(Setting):
    """Force that one person gives on the line or a crank. [N]"""

    hold: Annotated[Number, Field(gt=0, le=225)]
    pull: Annotated[Number, Field(gt=0, le=225)]
    crank: Annotated[Number, Field(gt=0, le=250)]


class DesignFactors(BaseModel):
    """Design factors of the parts. [-]"""

    model_config = ConfigDict(frozen=True, extra="forbid")

    rope_explicit: ByTechnique
    rope_all_in: ByTechnique
    sling: ByTechnique
    redirect: ByTechnique
    connector: ByTechnique
    brake: ByTechnique


class Policy(BaseModel):
    """All values that ratings and load calculation take from a policy, and notes on what was changed.

    ``notes`` has one sentence for every value that differs from the default policy.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    line_tie: Literal["knot", "eye"] = Field(description="how the line holds the piece")
    design_factor: DesignFactors = Field(description="design factor")
    survival: Floored = Field(description="survival factor of a jammed catch")
    knot: ByFibre = Field(description="strength left in a knot")
    eye_splice: OneShare = Field(description="strength left in a spliced or sewn eye")
    hitch: ByFibre = Field(description="strength left in a sling tied round a stem")
    choker: OneShare = Field(description="choker factor of a tagged sling")
    bend: BendTable = Field(description="strength left over a bend")
    wet: ByFibre = Field(description="strength left when wet")
    condition: Condition = Field(description="strength left by condition")
    average_strength: OneShare = Field(description="minimum over average breaking strength")
    retirement: Retirement = Field(description="retirement")
    wear: Wear = Field(description="wear of textiles")
    tag_break: TagBreak = Field(description="breaking strength over working load limit")
    stiffness: Stiffness = Field(description="stiffness factor of the rope")
    catch_peak: Floored = Field(description="calculation factor on the peak of a catch")
    hand: HandForce = Field(description="hand force in newton")
    notes: tuple[str, ...] = ()
