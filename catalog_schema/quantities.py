"""Quantities in cells -> SI: the unit of the header, a unit behind the number, several in one cell."""

from __future__ import annotations

import re
from functools import cache

from catalog_schema.numbers import (
    LONGEST_NUMBER,
    POINT,
    CellError,
    Marks,
    not_a_number,
    parse_number,
    split_unit,
    tidy,
)
from catalog_schema.problems import ProblemCode
from catalog_schema.units import KINDS, UnitError, scale_to_si, unit_label

_LIST_ENTRY = re.compile(r"([0-9][0-9.,]*[0-9]|[0-9])\s*([^\d\s.,;/]*)(?:\s*[;/]\s*|\s*,\s+|\s+|$)")
_UNIT_WORD = re.compile(r"(?:1|[^\W\d_]+|[\"'″′]{1,2})(?:[²³]|(?:\^|\*\*)[23])?")
_LIST_HINT = "Write the numbers with spaces or semicolons between them, such as 30 45 60"
_IN_INCHES = ("size", "stem")
"""Kinds that the trade writes as fractions of an inch."""
_CURRENCY = re.compile(r"[^\d/]*?(?:1\s*)?/")


def read_quantity(text: str, kind: str, unit: str = "", marks: Marks = POINT) -> float:
    """A cell of a quantity column in SI; its own unit goes before the header's.

    Parameters
    ----------
    text : str
        The cell.
    kind : str
        A name of :data:`catalog_schema.units.KINDS`.
    unit : str
        The header's unit; empty if it has none.

    Raises
    ------
    CellError
        If it is no number, may be read in two ways (a fraction of a millimetre is taken for a forgotten
        ``in``), or has no unit or a wrong one.

    Examples
    --------
    >>> round(read_quantity("9/16 in", "size", "mm"), 7), round(read_quantity("12.7", "size", "mm"), 7)
    (0.0142875, 0.0127)
    """
    number, own_unit = split_unit(text)
    value = parse_number(number, marks)
    scale = unit_scale(own_unit or unit, kind)
    if "/" in number and kind in _IN_INCHES and scale not in (unit_scale("in", kind), unit_scale("ft", kind)):
        raise CellError(
            ProblemCode.AMBIGUOUS_NUMBER,
            f"this is a fraction, but the unit is {own_unit or unit}",
            f"Write {number} in, or a decimal number",
        )
    return value * scale


def read_list(text: str, kind: str, unit: str = "", marks: Marks = POINT) -> tuple[float, ...]:
    """Several quantities in one cell, separated by spaces, semicolons or slashes, in SI.

    A unit behind every number goes before the header's; one behind the last alone counts for all of them, if
    the header has none.

    Raises
    ------
    CellError
        As :func:`read_quantity`.

    Examples
    --------
    >>> read_list("30 45 60", "length", "m"), read_list("30 m; 45 m", "length")
    ((30.0, 45.0, 60.0), (30.0, 45.0))
    """
    plain = tidy(text)
    entries = list(_LIST_ENTRY.finditer(plain[: LONGEST_NUMBER + 1]))
    if "".join(entry[0] for entry in entries) != plain:
        raise not_a_number(text, _LIST_HINT)
    units = [entry[2] for entry in entries]
    if units[-1] and not any(units[:-1]) and unit in ("", units[-1]):
        units = units[-1:] * len(units)
    if any(units) and not all(units):
        raise CellError(
            ProblemCode.UNIT_MISSING,
            "some of the numbers have a unit and some have none",
            f"Write the unit behind every number, or only in the header, as [{KINDS[kind].metric}]",
        )
    scales = [unit_scale(own or unit, kind) for own in units]
    try:
        numbers = [parse_number(entry[1], marks) for entry in entries]
    except CellError as error:
        raise (not_a_number(text, _LIST_HINT) if error.code is ProblemCode.NOT_A_NUMBER else error) from None
    return tuple(number * scale for number, scale in zip(numbers, scales, strict=True))


@cache
def unit_scale(unit: str, kind: str) -> float:
    """Factor from a unit as written by people to the SI unit of ``kind``.

    Before the slash of a price per length any currency may stand (``EUR/m``, ``$/ft``): it is not read.

    Raises
    ------
    CellError
        If there is no unit, or it is unknown or measures something else.

    Examples
    --------
    >>> unit_scale("EUR/100 m", "price_per_length"), unit_scale("KN", "force")
    (0.01, 1000.0)
    """
    offered = " or ".join(dict.fromkeys(map(unit_label, (KINDS[kind].metric, KINDS[kind].us))))
    if not unit.strip():
        raise CellError(
            ProblemCode.UNIT_MISSING,
            "neither the header nor the cell has a unit",
            f"Write it into the header, as [{unit_label(KINDS[kind].metric)}], or behind the number: {offered}",
        )
    written = unit.strip()
    if kind == "price_per_length":
        written = _CURRENCY.sub("1/", written, count=1)
    for spelling in (written, written.lower(), _UPPER_CASE.get(written.lower(), written)):
        if _may_be_a_unit(spelling, kind):
            try:
                return scale_to_si(spelling, kind)
            except UnitError:
                continue
    raise CellError(
        ProblemCode.UNIT_WRONG,
        f"'{unit.strip()[:40]}' is not a unit of {kind.replace('_', ' ')}",
        f"Write {offered}{_other_unit_hint(kind, written)}",
    )


_UPPER_CASE = {"kn": "kN", "n": "N", "dan": "daN", "mn": "MN"}
_DIMENSIONLESS = {
    "share": ("%", "percent", "1"),
    "angle": ("deg", "°", "degree", "degrees", "rad", "radian"),
}


def _may_be_a_unit(text: str, kind: str) -> bool:
    """Whether it has the shape of a unit: keeps arithmetic such as ``9**9**9`` from being worked out."""
    if kind in _DIMENSIONLESS:
        return text in _DIMENSIONLESS[kind]
    words = re.split(r"/|·|(?<!\*)\*(?!\*)", re.sub(r"/\s*100\s*(?=m|ft)", "/h", text.replace(" ", "")))
    return len(text) <= 24 and all(_UNIT_WORD.fullmatch(word) for word in words)


def _other_unit_hint(kind: str, unit: str) -> str:
    """A tag that is stamped in kg, t or lb means the weight of that mass."""
    tag = {"kg": "kgf", "t": "tf", "lb": "lbf", "lbs": "lbf"}.get(unit.lower()) if kind == "force" else None
    return f"; '{unit}' is a mass: for a tag in {unit} write {tag}" if tag else ""
