"""Figures as text, rounded to the safe side: loads and masses up, ratings and lengths down, utilisation up."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, inf, log10

from catalog_schema.units import Rounding, UnitSystem, from_si, show, to_si, unit_of

_ROUNDING_NOISE = 1e-7
"""Of a percent: a demand that equals its rating but for the last bits is 100 %, not 101 %."""


def force(newtons: float, system: UnitSystem) -> str:
    """A load, rounded up.

    >>> force(3_110.0, "metric"), force(3_110.0, "us")
    ('3.2 kN', '700 lbf')
    """
    return show(newtons, "force", system, rounding="up")


def mass(kilograms: float, system: UnitSystem) -> str:
    """A mass, rounded up; below ten with one decimal.

    >>> mass(58.2, "metric"), mass(4.91, "metric")
    ('59 kg', '5.0 kg')
    """
    return show(kilograms, "mass", system, 1 if kilograms < 10 else 0, rounding="up")


_HALF_A_GRAM = 0.5e-3
"""In kg. Masses of the catalogue are kept in whole grams: what a gram adds is not rounded up to a tenth of a pound."""


def mass_of_gear(kilograms: float, pieces: int, system: UnitSystem, decimals: int = 1) -> str:
    """What pieces of gear weigh together, rounded up, to one decimal if no other number is named.

    >>> mass_of_gear(3 * 0.454, 3, "us"), mass_of_gear(4.763, 1, "us"), mass_of_gear(1.0, 1, "metric")
    ('3.0 lb', '10.5 lb', '1.0 kg')
    """
    return show(max(0.0, kilograms - pieces * _HALF_A_GRAM), "mass", system, decimals, rounding="up")


def mass_allowed(kilograms: float, system: UnitSystem) -> str:
    """A mass that may be carried, rounded down; below ten with one decimal.

    >>> mass_allowed(393.6, "metric"), mass_allowed(4.99, "metric")
    ('393 kg', '4.9 kg')
    """
    decimals = 1 if from_si(kilograms, unit_of("mass", system), "mass") < 10 else 0
    return show(kilograms, "mass", system, decimals, rounding="down")


def length_needed(metres: float, system: UnitSystem) -> str:
    """A length that something takes up, rounded up.

    >>> length_needed(23.11, "metric")
    '23.2 m'
    """
    return show(metres, "length", system, rounding="up")


def as_listed(value: float, kind: str, system: UnitSystem, rounding: Rounding = "nearest") -> str:
    """A figure of the catalogue, without zeros at its end; a force in pounds to the pound, as it stands on a tag.

    >>> as_listed(0.0127, "size", "metric"), as_listed(39e3, "force", "metric", "down")
    ('12.7 mm', '39 kN')
    >>> as_listed(24_020.4, "force", "us", "down")
    '5,400 lbf'
    """
    decimals = 0 if (kind, system) == ("force", "us") else None
    number, unit = show(value, kind, system, decimals, rounding).split(" ", 1)
    return f"{number.rstrip('0').rstrip('.') if '.' in number else number} {unit}"


@dataclass(frozen=True)
class Printed:
    """A figure as it is printed, and the same as a number in SI: for those who reckon on from what they read."""

    text: str
    value: float

    def __str__(self) -> str:
        return self.text


DIGITS = 3


def printed(value: float, kind: str, system: UnitSystem, rounding: Rounding = "up") -> Printed:
    """A figure with three digits that count.

    Parameters
    ----------
    value : float
        In SI.
    kind : str
        As in :data:`catalog_schema.units.KINDS`.
    system : {'metric', 'us'}
    rounding : {'up', 'down', 'nearest'}

    Returns
    -------
    Printed

    >>> printed(3_112.4, "force", "metric"), str(printed(3_112.4, "force", "us"))
    (Printed(text='3.12 kN', value=3120.0), '700 lbf')
    """
    unit = unit_of(kind, system)
    shown = from_si(value, unit, kind)
    places = max(0, DIGITS - 1 - floor(log10(shown))) if shown > 0 else 0
    text = show(value, kind, system, places, rounding)
    return Printed(text, to_si(float(text.split(" ", 1)[0].replace(",", "")), unit, kind))


def percent(ratio: float) -> str:
    """A utilisation in whole percents, rounded up.

    >>> percent(0.9701), percent(1.0 + 1e-10), percent(1.0001)
    ('98 %', '100 %', '101 %')
    """
    return "over" if ratio == inf else f"{ceil(100 * ratio - _ROUNDING_NOISE):d} %"


def amount(value: float) -> str:
    """An amount of money without its currency.

    >>> amount(3086.0)
    '3,086.00'
    """
    return f"{value:,.2f}"


def money(value: float, currency: str) -> str:
    """An amount of money with its currency, if there is one.

    >>> money(12.5, "EUR"), money(12.5, "")
    ('EUR 12.50', '12.50')
    """
    return f"{currency} {amount(value)}".strip()


def counted(number: int, one: str, more: str = "") -> str:
    """A number of things or people.

    >>> counted(1, "climber"), counted(3, "person", "people")
    ('1 climber', '3 people')
    """
    return f"{number} {one if number == 1 else more or one + 's'}"


LOCKED = "locked"
"""As people say it of the state that is computed as ``jam``."""


def state_words(state: str) -> str:
    """A state of a line as people read it.

    >>> state_words("jam"), state_words("working")
    ('locked', 'working')
    """
    return LOCKED if state == "jam" else state


def mark_if_locked(state: str, before: str = "") -> str:
    """What stands behind a figure or a part that decides with the line locked, and behind no other.

    >>> mark_if_locked("jam"), mark_if_locked("jam", ","), mark_if_locked("working")
    (' locked', ', locked', '')
    """
    return f"{before} {LOCKED}" if state == "jam" else ""


def words(name: str) -> str:
    """A name of the program as words.

    >>> words("redirect_connector_2")
    'redirect connector 2'
    """
    return name.replace("_", " ")


def ended(sentence: str) -> str:
    """A sentence with one mark at its end.

    >>> ended("Write yes or no"), ended("Did you mean 'R1'?")
    ('Write yes or no.', "Did you mean 'R1'?")
    """
    return sentence if sentence.endswith((".", "?", "!")) else f"{sentence}."
