"""Every table that can be edited on the screen: its declared columns, and what it is called there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from pydantic import BaseModel

from catalog_schema import gear
from catalog_schema.columns import Column, columns_of
from catalog_schema.units import UnitSystem
from catalog_schema.writing import header_of
from recommender.store import TABLES, gear_table

LAST_COLUMNS = ("currency", "note")
"""What stands behind all other columns, wherever rows are shown."""


@dataclass(frozen=True)
class Sheet:
    """A declared table as it is edited.

    Attributes
    ----------
    name : str
        Of its document in a saved plan.
    title : str
        In plain words.
    one : str
        What a row is.
    key : str
        The column that names a row.
    first : tuple of str
        Columns that come first on the screen, where it is not the declared order.
    """

    name: str
    title: str
    one: str
    key: str
    first: tuple[str, ...] = ()

    @property
    def on_screen(self) -> tuple[str, ...]:
        """The columns in the order in which they are shown."""
        rest = [one for one in self.columns if one not in LAST_COLUMNS]
        return tuple(dict.fromkeys((*self.first, *rest, *self.columns)))

    @property
    def names_itself(self) -> bool:
        """Whether the name of a row is its own, and not that of a row elsewhere."""
        return self.name not in ("owned", "season_work", "inspections")

    @property
    def model(self) -> type[BaseModel]:
        """The declaration."""
        return TABLES[self.name]

    @property
    def file(self) -> str:
        """The name that its problems are told under."""
        return self.name.rsplit("/", 1)[-1]

    @cached_property
    def columns(self) -> Mapping[str, Column]:
        """The columns by name, in declared order."""
        return columns_of(self.model)

    @cached_property
    def defaults(self) -> Mapping[str, Any]:
        """What a column holds where nothing is written; None where something must be."""
        return {
            name: None if field.is_required() else field.default
            for name, field in self.model.model_fields.items()
        }

    def headings(self, system: UnitSystem) -> dict[str, str]:
        """Every column with its heading, as tables are written: ``diameter [cm]``."""
        return dict(zip(self.columns, header_of(self.model, system), strict=True))


WORK_FIRST = ("job", "technique", "diameter", "length", "rigging_height", "share", "species")
"""What a piece is, and how high it hangs: what is changed most is in sight on a small desk; the rest says more."""

GEAR_SHEETS: Mapping[str, Sheet] = {
    name: Sheet(gear_table(name), title, one, "id")
    for name, title, one in (
        ("ropes", "Ropes", "rope"),
        ("redirects", "Redirects", "redirect"),
        ("slings", "Slings", "sling"),
        ("brakes", "Brakes", "brake"),
        ("lifters", "Lifters", "lifter"),
        ("connectors", "Connectors", "connector"),
        ("extras", "Extras", "extra"),
    )
}
"""The tables of the catalogue by their own names."""

SHEETS: Mapping[str, Sheet] = {
    sheet.name: sheet
    for sheet in (
        Sheet("work", "Work", "job type", "job", WORK_FIRST),
        Sheet("trees", "Trees", "kind of tree", "tree"),
        Sheet("owned", "Owned gear", "item", "item"),
        Sheet("seasons", "Seasons", "season", "season"),
        Sheet("season_work", "Work by season", "row", "job"),
        Sheet("register", "Register", "piece", "id"),
        Sheet("inspections", "Inspections", "inspection", "piece"),
        *GEAR_SHEETS.values(),
    )
}
"""Every table of a plan, by the name of its document."""

assert SHEETS.keys() == TABLES.keys() and GEAR_SHEETS.keys() == gear.TABLES.keys()
