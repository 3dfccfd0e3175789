"""The words of a comparison follow its figures: who carries, who is best, ties, and when none will do."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from recommender.explain.rope_match import RopeMatch, compare_ropes
from recommender.kit.planning import plan_kit
from recommender.kit.result import CAUTIONS, KitResult
from recommender.report.rope_exercises import exercises
from recommender.report.rope_words import in_words, least_loaded, respects_by_rope, verdict_sentence, verdicts
from recommender.report.ropes_text import ropes_text
from recommender.work.plan import Plan, load_plan

DEMO = Path(__file__).parents[2] / "demo_catalog"


@cache
def plan() -> Plan:
    return load_plan(DEMO / "new_owner")


@cache
def kit() -> KitResult:
    return plan_kit(plan())


@cache
def match(*ropes: str, job: str = "pine butt logs") -> RopeMatch:
    return compare_ropes(plan(), ropes, job, kit())


def test_only_one_carries() -> None:
    text = in_words(match("DB127-60", "NL16"), "metric")
    assert text.startswith("Only NL16 may be used")
    assert "DB127-60 fails: line over its rating" in text and text.endswith("For this job: NL16.")


def test_both_fail() -> None:
    text = in_words(match("DB127-60", "KN11"), "metric")
    assert text.startswith("None of these ropes may be used") and "Take none of them" in text
    assert "season" not in text  # no life is given to a rope that may not be used


def test_the_same_rope_twice_is_even_in_its_loads() -> None:
    found = match("DB127-45", "DB127-60", job="maple limbs")
    by_name = {one.respect: one for one in verdicts(found, "metric")}
    assert by_name["load on its hardest-working part"].even
    assert by_name["wet mass to carry"].best == ("DB127-45",)
    assert "the loads do not decide between DB127-45 and DB127-60" in in_words(found, "metric")


def test_the_best_has_the_least_figure_of_those_that_carry() -> None:
    found = match("NL16", "NC16")
    assert all(rope.carries for rope in found.ropes)
    best = {one.respect: one.best for one in verdicts(found, "metric")}
    assert best["force on the redirect and its sling with the line locked"] == ("NL16",)
    assert best["drop of the piece below the cut"] == ("NC16",)
    text = in_words(found, "metric")
    assert "Both ropes carry" in text and "because the same fall is taken up by more stretch" in text
    assert "NL16 if there is free height for its longer stop" in text


def test_units() -> None:
    metric, us = in_words(match("NL16", "NC16"), "metric"), in_words(match("NL16", "NC16"), "us")
    assert " kN" in metric and " lbf" not in metric
    assert " lbf" in us and " kN" not in us and " per ft" in us


@pytest.mark.parametrize("job", ["pine butt logs", "maple limbs", "maple limbs lifted off a shed"])
def test_exercises_come_with_and_without_answers(job: str) -> None:
    found = match("DB127-60", "NL127", job=job)
    asked, solved = (exercises(found, "metric", answers=answers) for answers in (False, True))
    assert len(asked) >= 5
    assert [one.question for one in asked] == [one.question for one in solved]
    assert not any(one.answer for one in asked) and all(one.answer for one in solved)


def figures(text: str, unit: str) -> list[float]:
    """The numbers in a text that stand before a unit."""
    return [float(one.replace(",", "")) for one in re.findall(rf"([\d.,]+) {re.escape(unit)}", text)]


@pytest.mark.parametrize(
    ("system", "force", "mass", "gravity"), [("metric", "kN", "kg", 9.80665e-3), ("us", "lbf", "lb", 1)]
)
@pytest.mark.parametrize("job", ["pine butt logs", "maple limbs"])
def test_answers_follow_from_the_printed_figures(system, force, mass, gravity, job) -> None:  # type: ignore[no-untyped-def]
    found = match("DB127-60", "NL16", job=job)
    solved = exercises(found, system, answers=True)
    heaviest = figures(solved[0].question, mass)[-1]
    weight = figures(solved[0].answer, force)[0]
    assert weight == pytest.approx(heaviest * gravity, rel=0.01) and weight >= heaviest * gravity - 1e-9
    line = figures(solved[1].question, force)[0]
    assert f"about {line / weight:.1f} times" in solved[1].answer
    if job == "pine butt logs":
        running, locked, other_running, other_locked = figures(solved[2].question, force)
        assert f"DB127-60: about {locked / running:.1f} times" in solved[2].answer
        assert f"NL16: about {other_locked / other_running:.1f} times" in solved[2].answer
    soaked = next(one for one in solved if "Soaked" in one.question)
    dry, taken = figures(soaked.question, f"{mass} dry")[0], figures(soaked.question, "%")[0]
    wet = figures(soaked.answer, mass)[-1]
    assert wet == pytest.approx(dry * (1 + taken / 100), rel=0.01) and wet >= dry * (1 + taken / 100) - 1e-9


@pytest.mark.parametrize("job", ["pine butt logs", "maple limbs lifted off a shed"])
@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_text_is_narrow_and_ends_with_the_cautions(job: str, system: str) -> None:
    found = match("DB127-60", "NL16", "NC16", "NL127", job=job)
    text = ropes_text(found, system, lesson=True, answers=True)  # type: ignore[arg-type]
    assert max(map(len, text.splitlines())) <= 80
    assert " ".join(text.split()).endswith(CAUTIONS[-1])
    for rope in found.ropes:
        assert rope.id in text


def test_loads_in_the_text_are_never_below_the_figure() -> None:
    found = match("NL16", "NC16")
    row = next(line for line in ropes_text(found, "metric").splitlines() if line.startswith("line, locked"))
    shown = [float(one) for one in re.findall(r"([\d.]+) kN", row)]
    assert all(kilo >= (rope.line_jam_n or 0) / 1000 for kilo, rope in zip(shown, found.ropes, strict=True))


def test_the_verdict_names_the_rope_that_the_paragraph_advises() -> None:
    for ropes in (
        ["NL16", "DB16-45"],
        ["DB127-60", "NL16", "NC16"],
        ["NL16", "HM16-45"],
        ["DB10-45", "HM16-45"],
    ):
        found = compare_ropes(plan(), ropes, "pine butt logs", kit())
        sentence, advice = (
            verdict_sentence(found, "metric"),
            in_words(found, "metric").rpartition("For this job")[2],
        )
        best = least_loaded(found)
        if not best:
            assert sentence.startswith("None of these")
        elif len(best) == 1:
            assert best[0].id in sentence.split(" ")[:2] and best[0].id in advice
        else:
            assert "do not decide" in sentence and "do not decide" in advice


def test_figures_by_rope_are_those_of_the_verdicts() -> None:
    found = compare_ropes(plan(), ["NL16", "DB16-45"], "pine butt logs", kit())
    told = respects_by_rope(found, "us")
    for one in verdicts(found, "us"):
        assert told[one.respect][one.best[0]] == one.least


def test_a_rope_that_may_not_be_used_is_marked_beside_its_figures() -> None:
    found = match("DB127-60", "NL16")
    assert [rope.carries for rope in found.ropes] == [False, True]
    names = {name for by_rope in respects_by_rope(found, "us").values() for name in by_rope}
    assert names == {"NL16", "DB127-60 (not to be used here)"}


def test_with_several_ropes_all_figures_are_against_one_that_is_named() -> None:
    found = compare_ropes(plan(), ["NL16", "NC16", "NL19"], "maple limbs", None)
    best = least_loaded(found)
    assert len(best) == 1 and all(rope.carries for rope in found.ropes)
    other = sorted(found.ropes, key=lambda rope: rope.highest[1])[1]
    sentence = verdict_sentence(found, "us")
    assert sentence.startswith(f"{best[0].id} is the best choice here, before {other.id}: ")
    told = respects_by_rope(found, "us")
    pairs = re.findall(r"(?:: |; )(.+?) instead of (.+?)(?=;|\.$)", sentence)
    assert pairs
    for mine, others in pairs:
        name = next(one for one in told if mine.startswith(one))
        assert mine == f"{name} {told[name][best[0].id]}" and others == told[name][other.id]


def test_ropes_that_tie_with_figures_that_differ_say_why() -> None:
    found = match("NL16", "NC16")
    for one in verdicts(found, "us"):
        assert (one.why_even == "") == (one.least == one.last)
    priced = [
        rope.model_copy(update={"price": rope.length_m * (1.0 + k / 50)})
        for k, rope in enumerate(found.ropes)
    ]
    spread = found.model_copy(update={"ropes": tuple(priced)})
    (price,) = [one for one in verdicts(spread, "metric") if one.respect == "price per length"]
    assert price.even and price.least != price.last and price.why_even == ", within 3 %"
    told = "In price per length they are even (EUR 1.00 per m to EUR 1.02 per m, within 3 %)."
    assert told in in_words(spread, "metric")
