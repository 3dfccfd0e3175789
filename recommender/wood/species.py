"""The species table: green densities with their sources, and finding a species by any of its names."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Literal, cast

from recommender.sourced import data_rows
from recommender.wood.density import density_over_bark, green_density
from recommender.wood.units import PERCENT, POUND_PER_CUBIC_FOOT

WoodType = Literal["hardwood", "softwood"]
SPECIES_LEVEL = "species-level"
NEAR_MISSES = 3
NAMES_SHOWN = 12
CLOSENESS = 0.7
SHORTEST_WORD = 3
_WORD = re.compile(r"[^\W_]+")
_UNIT = {"lb/ft3": POUND_PER_CUBIC_FOOT, "kg/m3": 1.0}


@dataclass(frozen=True)
class Species:
    """One row of ``recommender/data/wood_green_density.csv`` in SI units.

    Densities are of green (freshly felled) material; shares and moisture contents are fractions: water over
    oven-dry mass, bark volume over wood volume. ``None`` means that no figure was found. Where no bark
    figures were found, ``green_log_over_bark_density`` is that of the wood: over the 156 species with bark
    figures the two differ by -9 to +10 %. ``all_sapwood_density`` is the bound for small, young or
    fast-grown stems. ``jenkins_group`` is the group of the biomass equations; ``group_basis`` says if it is
    published for this species. ``source`` is a key of ``recommender/data/sources.csv`` and ``place`` the
    place there.
    """

    species_id: str
    common_name: str
    other_names: tuple[str, ...]
    latin_name: str
    region: str
    wood_type: WoodType
    basic_specific_gravity: float | None
    moisture_content: float | None
    heartwood_moisture: float | None
    sapwood_moisture: float | None
    green_wood_density: float
    green_bark_density: float | None
    bark_share_of_wood_volume: float | None
    confidence: str
    jenkins_group: int
    group_basis: str
    source: str
    place: str

    @cached_property
    def green_log_over_bark_density(self) -> float:
        """Mean density of a log with its bark on; of the wood where no bark figures are known. [kg/m3]"""
        if self.green_bark_density is None or self.bark_share_of_wood_volume is None:
            return self.green_wood_density
        return float(
            density_over_bark(
                self.green_wood_density, self.green_bark_density, self.bark_share_of_wood_volume
            )
        )

    @cached_property
    def all_sapwood_density(self) -> float | None:
        """Density of the wood if all of it were sapwood. [kg/m3]"""
        if self.sapwood_moisture is None or self.basic_specific_gravity is None:
            return None
        return float(green_density(self.basic_specific_gravity, self.sapwood_moisture))

    @property
    def is_species_level(self) -> bool:
        """Whether the green density was published for this very species, by one source."""
        return self.confidence == SPECIES_LEVEL


class UnknownSpecies(ValueError):
    """No species, or more than one, goes by the name; ``suggestions`` are names that are known."""

    def __init__(self, name: str, suggestions: tuple[str, ...], reason: str) -> None:
        self.name = name
        self.suggestions = suggestions
        self.reason = reason
        super().__init__(self._message())

    def __reduce__(self) -> tuple[type[UnknownSpecies], tuple[str, tuple[str, ...], str]]:
        return (UnknownSpecies, (self.name, self.suggestions, self.reason))

    def _message(self) -> str:
        if not self.suggestions:
            return f"species {self.name!r} {self.reason}"
        listed = ", ".join(self.suggestions[:NAMES_SHOWN])
        rest = len(self.suggestions) - NAMES_SHOWN
        more = f" and {rest} more" if rest > 0 else ""
        return f"species {self.name!r} {self.reason}; did you mean {listed}{more}?"


@cache
def species_table() -> tuple[Species, ...]:
    """Every species of the table, in file order.

    Examples
    --------
    >>> len(species_table())
    186
    """
    return tuple(_species(row) for row in data_rows("wood_green_density.csv"))


def find_species(name: str) -> Species:
    """The species that goes by this id, common name, other name or Latin name, in any case, with or without
    hyphens.

    Parameters
    ----------
    name : str
        ``NA0316``, ``red maple``, ``maple, red`` or ``Acer rubrum``.

    Returns
    -------
    Species

    Raises
    ------
    UnknownSpecies
        If none, or more than one, goes by that name; ``suggestions`` lists the ones it may be.

    Examples
    --------
    >>> find_species("Maple, red").latin_name
    'Acer rubrum'
    >>> find_species("soft maple")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    recommender.wood.species.UnknownSpecies: species 'soft maple' is ambiguous; did you mean red maple, ...
    """
    index = _name_index()
    plain = _plain(name)
    found = index.exact.get(plain) or index.other.get(plain, ())
    if len(found) == 1:
        return found[0]
    if found:
        raise UnknownSpecies(name, tuple(one.common_name for one in found), "is ambiguous")
    wider = _sharing_words(plain)
    if wider:
        raise UnknownSpecies(name, wider, "is not the name of one species")
    raise UnknownSpecies(name, _near_misses(plain), "is not in the table")


@dataclass(frozen=True)
class _NameIndex:
    """Plain name -> species: ``exact`` for ids and common names (unique), ``other`` for the rest.

    A one-word other name that is also a word of the names of more species (``juniper``) leads to all of them.
    """

    exact: dict[str, tuple[Species, ...]]
    other: dict[str, tuple[Species, ...]]


@cache
def _name_index() -> _NameIndex:
    exact: dict[str, tuple[Species, ...]] = {}
    other: defaultdict[str, dict[Species, None]] = defaultdict(dict)
    holders: defaultdict[str, dict[Species, None]] = defaultdict(dict)
    for species in species_table():
        common = _plain(species.common_name)
        for name in (_plain(species.species_id), common, common.removesuffix(" spp")):
            exact[name] = (species,)
        names = [common, *map(_plain, species.other_names)]
        for name in (*names[1:], _plain(species.latin_name)):
            other[name][species] = None
        for word in " ".join(names).split():
            holders[word][species] = None
    return _NameIndex(exact, {name: tuple({**found, **holders[name]}) for name, found in other.items()})


def _sharing_words(plain: str) -> tuple[str, ...]:
    """Common names of the species of which one name holds every word; ``cedar`` counts in ``redcedar``."""
    words = [word for word in plain.split() if len(word) >= SHORTEST_WORD and word != "spp"]
    if not words:
        return ()
    return tuple(
        species.common_name
        for species in species_table()
        if any(_holds(_plain(name), words) for name in (species.common_name, *species.other_names))
        or set(words) <= set(_plain(species.latin_name).split())
    )


def _holds(name: str, words: list[str]) -> bool:
    """Whether each word, or its singular, is a word of the name or ends one."""
    return all(
        any(
            word in (token, token + "s") or (len(word) > SHORTEST_WORD and token.endswith(word))
            for token in name.split()
        )
        for word in words
    )


def _near_misses(plain: str) -> tuple[str, ...]:
    from difflib import get_close_matches

    index = _name_index()
    spellings = {**index.other, **index.exact}
    names: dict[str, None] = {}
    for near in get_close_matches(plain, spellings, n=2 * NEAR_MISSES, cutoff=CLOSENESS):
        names.update((one.common_name, None) for one in spellings[near])
    if names:
        return tuple(names)[:NEAR_MISSES]
    words = {word for spelling in spellings for word in spelling.split()}
    return tuple(name for word in get_close_matches(plain, words, n=1) for name in _sharing_words(word))


def _plain(name: str) -> str:
    """Lower case, words parted by one blank, ``maple, red`` turned round."""
    turned = " ".join(reversed(name.split(",")))
    return " ".join(_WORD.findall(turned.casefold()))


def _species(row: dict[str, str]) -> Species:
    return Species(
        species_id=row["species_id"],
        common_name=row["common_name"],
        other_names=tuple(name.strip() for name in row["other_names"].split(";") if name.strip()),
        latin_name=row["latin_name"],
        region=row["region"],
        wood_type=cast(WoodType, row["wood_type"]),
        basic_specific_gravity=_number(row["basic_specific_gravity"]),
        moisture_content=_number(row["moisture_content [%]"], PERCENT),
        heartwood_moisture=_number(row["heartwood_moisture [%]"], PERCENT),
        sapwood_moisture=_number(row["sapwood_moisture [%]"], PERCENT),
        green_wood_density=float(row["green_wood"]) * _UNIT[row["green_wood_unit"]],
        green_bark_density=_number(row["green_bark [lb/ft3]"], POUND_PER_CUBIC_FOOT),
        bark_share_of_wood_volume=_number(row["bark_share_of_wood_volume [%]"], PERCENT),
        confidence=row["confidence"],
        jenkins_group=int(row["jenkins_group"]),
        group_basis=row["group_basis"],
        source=row["source"],
        place=row["place"],
    )


def _number(text: str, unit: float = 1.0) -> float | None:
    return float(text) * unit if text else None
