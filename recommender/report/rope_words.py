"""What a comparison of ropes says, in words with its figures, and exercises made of the same numbers."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from catalog_schema.units import UnitSystem, show
from recommender.explain.rope_match import RopeFigures, RopeMatch
from recommender.kit.result import Typed
from recommender.report.figures import force, length_needed, mass, money, percent, words
from recommender.sourced import DERIVED, Sourced

TIE = Sourced(
    0.03, "-", DERIVED, note="figures closer than this are called even: inside what a sheet can promise"
)

WITHIN = f"within {100 * float(TIE):.0f} %"

NOT_ALLOWED = "not to be used here"
HARDEST = "load on its hardest-working part"


class Verdict(Typed):
    """Who does best in one respect, less being better. ``best`` holds several ropes where they are even.

    ``least`` and ``most`` are the figures of the best and of the worst rope, ``last`` of the last that is still even
    with the best, as text with units.
    """

    respect: str
    best: tuple[str, ...]
    worst: str
    least: str
    last: str
    most: str

    @property
    def even(self) -> bool:
        """Whether no rope is better than another."""
        return not self.worst

    @property
    def why_even(self) -> str:
        """Behind the names of ropes that are even though their figures do not read the same."""
        return "" if self.least == self.last else f", {WITHIN}"


@dataclass(frozen=True)
class _Respect:
    name: str
    value: Callable[[RopeFigures], float]
    text: Callable[[RopeFigures], str]


def _respects(match: RopeMatch, system: UnitSystem) -> list[_Respect]:
    state = "with the line locked" if match.technique == "catch" else "at its peak"

    def drop(rope: RopeFigures) -> float:
        return rope.drop_below_cut_m or 0.0

    def per_season(rope: RopeFigures) -> float:
        return rope.price_per_season or 0.0

    respects = [
        _Respect(
            f"force on the redirect and its sling {state}",
            lambda rope: rope.hardest_n,
            lambda rope: force(rope.hardest_n, system),
        ),
        _Respect(
            HARDEST,
            lambda rope: rope.highest[1],
            lambda rope: percent(rope.highest[1]),
        ),
    ]
    if match.technique == "catch":
        respects.append(
            _Respect("drop of the piece below the cut", drop, lambda rope: length_needed(drop(rope), system))
        )
    respects += [
        _Respect("wet mass to carry", lambda rope: rope.mass_wet_kg, lambda rope: _wet_mass(rope, system)),
        _Respect(
            "price per length",
            lambda rope: rope.price_per_m,
            lambda rope: price_per_length(rope, match.currency, system),
        ),
    ]
    if _carrying(match):
        respects.append(
            _Respect(
                "price per season of life",
                per_season,
                lambda rope: money(per_season(rope), match.currency) if rope.seasons else "-",
            )
        )
    return respects


def _wet_mass(rope: RopeFigures, system: UnitSystem) -> str:
    return f"{mass(rope.mass_wet_kg, system)} ({show(rope.length_m, 'length', system, 0)})"


def price_per_length(rope: RopeFigures, currency: str, system: UnitSystem) -> str:
    """The price of a rope per metre or foot."""
    value, unit = show(rope.price_per_m, "price_per_length", system).split(" ", 1)
    return f"{currency} {value} per {unit.removeprefix('1/')}".strip()


def verdicts(match: RopeMatch, system: UnitSystem) -> tuple[Verdict, ...]:
    """Who does best in each respect, among the ropes that carry the job; among all where none does.

    Parameters
    ----------
    match : RopeMatch
    system : {'metric', 'us'}

    Returns
    -------
    tuple of Verdict
    """
    ropes = _carrying(match) or match.ropes
    return tuple(_verdict(one, ropes) for one in _respects(match, system))


def _carrying(match: RopeMatch) -> tuple[RopeFigures, ...]:
    return tuple(rope for rope in match.ropes if rope.carries)


def _verdict(respect: _Respect, ropes: Sequence[RopeFigures]) -> Verdict:
    ranked = sorted(ropes, key=respect.value)
    least, most = ranked[0], ranked[-1]
    limit = respect.value(least) * (1 + float(TIE))
    best = tuple(rope.id for rope in ranked if respect.value(rope) <= limit)
    return Verdict(
        respect=respect.name,
        best=best,
        worst="" if len(best) == len(ropes) else most.id,
        least=respect.text(least),
        last=respect.text(ranked[len(best) - 1]),
        most=respect.text(most),
    )


def in_words(match: RopeMatch, system: UnitSystem) -> str:
    """The comparison as a paragraph: who carries, who is best in what, why, and which to take.

    Parameters
    ----------
    match : RopeMatch
    system : {'metric', 'us'}

    Returns
    -------
    str
    """
    return " ".join(
        [*_who_carries(match, system), *_who_is_best(match, system), *_why(match, system), _advice(match)]
    )


def _who_carries(match: RopeMatch, system: UnitSystem) -> Iterator[str]:
    piece, carrying = mass(match.piece_mass_kg, system), _carrying(match)
    done = {"lower": "lowered", "lift": "lifted", "catch": "caught"}[match.technique]
    over = f"over {match.parts['redirect']}"
    if len(carrying) == len(match.ropes):
        who = "Both ropes carry" if len(match.ropes) == 2 else f"All {len(match.ropes)} ropes carry"
        yield f"{who} the piece of {piece}, {done} {over}."
    elif carrying:
        yield f"Only {listed([rope.id for rope in carrying])} may be used for the piece of {piece}, {done} {over}."
    else:
        yield f"None of these ropes may be used for the piece of {piece}, {done} {over}."
    for rope in match.ropes:
        if not rope.carries:
            part, share = rope.highest
            how = f" (hardest part: {words(part)}, {percent(share)})" if share > 1 else ""
            yield f"{rope.id} fails: {'; '.join(rope.faults)}{how}."


def _who_is_best(match: RopeMatch, system: UnitSystem) -> Iterator[str]:
    found = verdicts(match, system)
    if len(_carrying(match)) == 1:
        rope = _carrying(match)[0]
        figures = "; ".join(f"{one.respect} {one.least}" for one in found)
        yield f"Its figures: {figures}. Stretch of the line at work: {_percent_of(rope.stretch)}."
        return
    for one in found:
        if one.even:
            yield f"In {one.respect} they are even ({_span(one)})."
        else:
            verb = "is" if len(one.best) == 1 else "are"
            best = f"Best in {one.respect} {verb} {listed(one.best)} with {_span(one)}"
            yield f"{best}, against {one.most} for {one.worst}."


def _span(one: Verdict) -> str:
    """The figure of the best, or of those that are even."""
    return f"{one.least} to {one.last}{one.why_even}" if one.why_even else one.least


def _why(match: RopeMatch, system: UnitSystem) -> Iterator[str]:
    """The reason in a catch: the rope that stretches more stops the piece over a longer way."""
    ropes = _carrying(match) or match.ropes
    softest, stiffest = max(ropes, key=_softness), min(ropes, key=_softness)
    if match.technique != "catch" or softest is stiffest:
        return
    gentle, hard = softest.line_jam_n or 0.0, stiffest.line_jam_n or 0.0
    if gentle >= hard * (1 - float(TIE)):
        return
    yield (
        f"With the line locked {softest.id} stops the piece with {force(gentle, system)} on the line and {stiffest.id} "
        f"with {force(hard, system)}, because the same fall is taken up by more stretch; it ends "
        f"{length_needed(softest.drop_below_cut_m or 0.0, system)} below the cut instead of "
        f"{length_needed(stiffest.drop_below_cut_m or 0.0, system)}."
    )


def _softness(rope: RopeFigures) -> float:
    """Stretch at work over tension at work. [1/N]"""
    return rope.stretch / rope.line_n


def _advice(match: RopeMatch) -> str:
    carrying, best = _carrying(match), least_loaded(match)
    if not carrying:
        return "Take none of them for this job: plan a smaller piece, a longer run or a stronger setup."
    if len(carrying) == 1:
        return f"For this job: {carrying[0].id}."
    if len(best) > 1:
        cheapest = min(best, key=lambda rope: rope.price_per_season or 0.0)
        return (
            f"For this job the loads do not decide between {listed([rope.id for rope in best])}; "
            f"{cheapest.id} costs least per season of life."
        )
    tight = " if there is free height for its longer stop" if _stops_lowest(best[0], carrying) else ""
    return f"For this job: {best[0].id}{tight}; it leaves its hardest-working part the most in reserve."


def least_loaded(match: RopeMatch) -> list[RopeFigures]:
    """The ropes that carry the job with the most in reserve at their hardest-working part; several where they tie."""
    ranked = _by_reserve(match)
    return [rope for rope in ranked if rope.highest[1] <= ranked[0].highest[1] * (1 + float(TIE))]


def _by_reserve(match: RopeMatch) -> list[RopeFigures]:
    return sorted(_carrying(match), key=lambda rope: rope.highest[1])


MOST_GROUNDS = 3


def verdict_sentence(match: RopeMatch, system: UnitSystem) -> str:
    """Which rope wins in one sentence, with the figures that say so: all of them against the next best.

    Parameters
    ----------
    match : RopeMatch
    system : {'metric', 'us'}

    Returns
    -------
    str
    """
    best, carrying = least_loaded(match), _carrying(match)
    if not carrying:
        return "None of these ropes may be used here."
    if len(carrying) == 1:
        fails = "; ".join(f"{rope.id}: {rope.faults[0]}" for rope in match.ropes if not rope.carries)
        return f"Only {best[0].id} may be used here ({fails})."
    if len(best) > 1:
        return f"The loads do not decide between {listed([rope.id for rope in best])}."
    winner, other = _by_reserve(match)[:2]
    wins = {one.respect for one in verdicts(match, system) if one.best == (winner.id,)}
    grounds = [
        f"{one.name} {one.text(winner)} instead of {one.text(other)}"
        for one in _respects(match, system)
        if one.name in wins
    ]
    found = "the better choice here" if len(carrying) == 2 else f"the best choice here, before {other.id}"
    return f"{winner.id} is {found}: {'; '.join(grounds[:MOST_GROUNDS])}."


def respects_by_rope(match: RopeMatch, system: UnitSystem) -> dict[str, dict[str, str]]:
    """For each respect what it is for each rope, as text with units; ropes that may not be used are marked."""
    found = {}
    for one in _respects(match, system):
        found[one.name] = {heading_of(rope): one.text(rope) for rope in match.ropes}
    return found


def heading_of(rope: RopeFigures) -> str:
    """A rope over its figures; marked where it may not be used."""
    return rope.id + ("" if rope.carries else f" ({NOT_ALLOWED})")


def _stops_lowest(rope: RopeFigures, ropes: Sequence[RopeFigures]) -> bool:
    drops = [one.drop_below_cut_m for one in ropes if one.drop_below_cut_m is not None]
    return bool(drops) and rope.drop_below_cut_m == max(drops) > min(drops) * (1 + float(TIE))


def _percent_of(share: float) -> str:
    return f"{100 * share:.1f} %"


def listed(names: Sequence[str]) -> str:
    """Names in a sentence.

    >>> listed(["A"]), listed(["A", "B", "C"])
    ('A', 'A, B and C')
    """
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
