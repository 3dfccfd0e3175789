"""Trees instead of logs: their pieces become job types, nothing is lost, and bad rows are named with their place."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_schema.problems import InputError, ProblemCode
from catalog_schema.writing import row_values, write_rows_csv
from recommender.kit.check import check_kit
from recommender.kit.planning import plan_kit, prepare
from recommender.wood import CutPlan, Tree, cut_to_pieces, find_species
from recommender.wood.trees import diameter_at
from recommender.work.plan import load_plan
from recommender.work.plan_json import plan_from_json, plan_to_json
from recommender.work.tables import JobType
from recommender.work.tree_jobs import jobs_of_tree
from recommender.work.tree_table import TreeRow

TREES_PLAN = Path(__file__).with_name("trees_plan")
SOUND_PLAN = Path(__file__).with_name("sound_plan")


def row(**changes: object) -> TreeRow:
    """A sound row, in SI, with changes."""
    plain: dict[str, object] = {
        "tree": "maples", "count": 10, "species": "red maple", "diameter": 0.36, "height": 16.0, "crown_base": 5.0,
        "piece_length": 1.0, "top_diameter": 0.12, "limb_pieces": 12,
    }  # fmt: skip
    return TreeRow.model_validate(plain | changes)


rows = st.builds(
    lambda species, diameter, more, taller, slender, base, length, limbs: row(
        species=species, diameter=diameter, diameter_high=diameter * more, height=diameter * slender,
        height_high=diameter * slender * taller, crown_base=diameter * slender * base, piece_length=length,
        top_diameter=diameter / 3, limbs=limbs,
    ),
    st.sampled_from(("red maple", "white oak", "eastern white pine", "Norway spruce")), st.floats(0.25, 0.8),
    st.floats(1, 1.3), st.floats(1, 1.2), st.floats(35, 60), st.floats(0.1, 0.6), st.floats(0.6, 2.5),
    st.sampled_from(("lower", "lift", "on_stem")),
)  # fmt: skip


# --- the pieces of a tree ---------------------------------------------------------------------------------------


@given(rows)
@settings(max_examples=40, deadline=None)
def test_what_is_rigged_weighs_as_much_as_the_tree_above_the_lowest_cut(one) -> None:
    """Usual masses of all pieces together are those of the usual tree: nothing lost, nothing twice."""
    tree = Tree(find_species(one.species), one.diameter, one.height, one.crown_base)
    cut = cut_to_pieces(tree, CutPlan(one.piece_length, one.top_diameter))
    rigged = [piece for piece in cut.pieces if piece.level >= one.fell_below]
    stems = sum(float(piece.stem.typical) for piece in rigged) + float(cut.top.stem.typical)
    on_them = sum(float(piece.limbs.typical) for piece in rigged) + float(cut.top.limbs.typical)
    all_limbs = float(cut.limbs.typical) + float(cut.top.limbs.typical)
    wanted = stems + (on_them if one.limbs == "on_stem" else all_limbs)
    made = sum((job.mass or 0) * (job.pieces_per_season or 0) for job in jobs_of_tree(one)) / one.count
    assert made == pytest.approx(wanted)


@given(rows)
@settings(max_examples=40, deadline=None)
def test_every_log_of_the_largest_tree_is_covered_by_its_class(one) -> None:
    tree = Tree(find_species(one.species), one.diameter_high, one.height_high, one.crown_base)
    cut = cut_to_pieces(tree, CutPlan(one.piece_length, one.top_diameter))
    caught = [job for job in jobs_of_tree(one) if job.technique == "catch"]
    on_stem = one.limbs == "on_stem"
    for piece in (piece for piece in cut.pieces if piece.level >= one.fell_below):
        mass = float((piece.unlimbed if on_stem else piece.stem).design)
        place = piece.level - one.cut_to_redirect
        assert any(
            mass <= job.mass_high * (1 + 1e-9)
            and piece.length <= (job.length_high or 0) * (1 + 1e-9)
            and job.rigging_height <= place * (1 + 1e-9)
            and place <= (job.highest_redirect or 0) * (1 + 1e-9)
            and (job.clearance or 0) <= piece.level
            for job in caught
        ), piece
    for job in caught:
        assert job.stem_at_highest is not None and job.stem_at_highest <= job.stem_at_redirect
        assert job.stem_at_redirect == pytest.approx(float(diameter_at(tree, job.rigging_height)))


@given(rows, st.floats(1, 1.3))
@settings(max_examples=25, deadline=None)
def test_a_thicker_tree_never_gives_a_lighter_piece_to_plan_for(one, more) -> None:
    thicker = one.model_copy(update={"diameter_high": one.diameter_high * more})
    for name in ("heavy stem logs", "top"):
        heaviest = [
            max((job.mass_high or 0 for job in jobs_of_tree(asked) if job.job.endswith(name)), default=0)
            for asked in (one, thicker)
        ]
        # a thicker stem has its top cut higher up: that of the usual tree counts as well
        least = (
            heaviest[0]
            if name != "top"
            else max(job.mass or 0 for job in jobs_of_tree(one) if "top" in job.job)
        )
        assert heaviest[1] >= least * (1 - 1e-9)


def test_what_is_cut_free_is_no_job_type() -> None:
    assert [job.job for job in jobs_of_tree(row(top="free", stem="free"))] == ["maples: limbs"]
    assert jobs_of_tree(row(top="free", stem="free", limbs="free")) == ()
    lifted = jobs_of_tree(row(limbs="lift", lift_height=1.5))[0]
    assert (lifted.technique, lifted.lift_height) == ("lift", 1.5)


def test_classes_of_mass_are_a_handful() -> None:
    names = [job.job for job in jobs_of_tree(row(height=30.0, diameter=0.7, piece_length=0.7))]
    assert len(names) == len(set(names)) <= 5


# --- a plan that holds trees ------------------------------------------------------------------------------------


def test_a_plan_of_trees_alone() -> None:
    plan = load_plan(TREES_PLAN)
    assert sum(job.share for job in plan.jobs) == pytest.approx(1.0)
    assert [job.job for job in plan.jobs if job.job.startswith("birches")] == ["birches over a lawn: limbs"]
    assert any("not rigged: top, stem" in note for note in plan.notes)
    result = plan_kit(plan)
    assert result.status == "planned" and check_kit(plan, result) == []


def test_trees_beside_a_work_mix(tmp_path) -> None:
    folder = Path(shutil.copytree(SOUND_PLAN, tmp_path / "plan"))
    alone = load_plan(folder)
    write_rows_csv([row()], folder / "trees.csv")
    plan = load_plan(folder)
    assert [job.job for job in plan.jobs[:2]] == [job.job for job in alone.jobs]
    assert sum(job.share for job in plan.jobs) == pytest.approx(1.0)
    before = {case.job: case for case in prepare(alone).fits.cases}
    after = {case.job: case for case in prepare(plan).fits.cases}
    assert {name: after[name] for name in before} == before, "the work mix keeps its pieces"
    assert after["maples: limbs"].pieces == pytest.approx(120)
    back = plan_from_json(plan_to_json(plan))
    assert (
        back == replace(plan, folder=Path())
        and back.origins.trees == (row(),)
        and back.origins.work == alone.jobs
    )


def test_trees_in_us_units_are_the_same_trees(tmp_path) -> None:
    folder = Path(shutil.copytree(SOUND_PLAN, tmp_path / "plan"))
    jobs = []
    for system in ("metric", "us"):
        write_rows_csv(
            [row(), row(tree="oaks", species="white oak", limbs="lift")], folder / "trees.csv", system
        )
        jobs.append(load_plan(folder).jobs)
    for metric, us in zip(*jobs, strict=True):
        for name in JobType.model_fields:
            one, other = getattr(metric, name), getattr(us, name)
            assert other == (pytest.approx(one, rel=1e-9) if isinstance(one, float) else one), name


def test_a_redirect_that_moves_takes_the_worse_end_for_each_question() -> None:
    """Lowest: shortest and stiffest line, hence the peak; highest: the line that is needed, and the thinner stem."""
    plan = load_plan(TREES_PLAN)
    fits = prepare(plan).fits
    number = next(k for k, job in enumerate(plan.jobs) if job.job.endswith("heavy stem logs"))
    job, case = plan.jobs[number], fits.cases[number]
    assert case.fall == pytest.approx(job.rigging_height - 1.0)
    assert case.line_needed > 2 * (job.highest_redirect or 0)
    assert case.thinnest_at_redirect == pytest.approx(job.stem_at_highest)
    for end in ("rigging_height", "highest_redirect"):
        place = getattr(job, end)
        still = job.model_copy(
            update={"rigging_height": place, "highest_redirect": None, "stem_at_highest": None}
        )
        fixed = prepare(replace(plan, jobs=(still,))).fits
        assert np.all(fits.demands.line[:, number] >= fixed.demands.line[:, 0] * (1 - 1e-12))
        assert np.all(fits.demands.drop[number] >= fixed.demands.drop[0] * (1 - 1e-12))
        assert case.line_needed >= fixed.cases[0].line_needed


# --- bad input --------------------------------------------------------------------------------------------------

TREES = "tree,count,species,diameter [cm],height [m],crown_base [m],piece_length [m],top_diameter [cm]\n"
SOUND = "maples,10,red maple,36,16,5,1.0,12\n"


@pytest.mark.parametrize(
    ("text", "code", "line", "column", "words"),
    [
        (TREES + SOUND.replace("red maple", "red mapel"), ProblemCode.SPECIES_UNKNOWN, 2, "species", ""),
        (TREES + SOUND.replace("36", "360000"), ProblemCode.OUT_OF_RANGE, 2, "diameter", ""),
        (TREES.replace("diameter [cm],h", "diameter,h") + SOUND, ProblemCode.UNIT_MISSING, 2, "diameter", ""),
        (TREES + SOUND + SOUND, ProblemCode.ID_TWICE, 3, "tree", "row 2"),
        (TREES + SOUND.replace(",5,", ",17,"), ProblemCode.CONFLICT, 2, "", "crown_base"),
        (TREES + SOUND.replace(",12\n", ",80\n"), ProblemCode.CONFLICT, 2, "", "top_diameter"),
        (TREES + SOUND.replace("16,5", "1.2,1"), ProblemCode.CONFLICT, 2, "", "limb_redirect"),
        (TREES.replace("count", "cuont") + SOUND, ProblemCode.COLUMN_UNKNOWN, 1, "cuont", ""),
        ("", ProblemCode.FILE_EMPTY, 0, "", ""),
    ],
)
def test_one_fault_is_named_with_its_place(tmp_path, text, code, line, column, words) -> None:
    folder = Path(shutil.copytree(SOUND_PLAN, tmp_path / "plan"))
    (folder / "trees.csv").write_text(text)
    with pytest.raises(InputError) as caught:
        load_plan(folder)
    problem = caught.value.problems[0]
    assert (problem.file, problem.code, problem.line, problem.column) == ("trees.csv", code, line, column)
    assert words in problem.message and problem.hint


def test_the_name_of_a_job_type_may_not_be_used_again(tmp_path) -> None:
    folder = Path(shutil.copytree(SOUND_PLAN, tmp_path / "plan"))
    text = (folder / "work.csv").read_text().replace("limbs,lower", "maples: limbs,lower", 1)
    (folder / "work.csv").write_text(text)
    (folder / "trees.csv").write_text(TREES + SOUND)
    with pytest.raises(InputError) as caught:
        load_plan(folder)
    assert [one.code for one in caught.value.problems] == [ProblemCode.ID_TWICE]


def test_neither_a_work_mix_nor_trees(tmp_path) -> None:
    folder = Path(shutil.copytree(SOUND_PLAN, tmp_path / "plan"))
    (folder / "work.csv").unlink()
    with pytest.raises(InputError) as caught:
        load_plan(folder)
    assert [(one.file, one.code) for one in caught.value.problems] == [("work.csv", ProblemCode.FILE_MISSING)]
    (folder / "trees.csv").write_text(TREES + SOUND.replace("\n", ""))
    assert load_plan(folder).jobs
    free = TREES.strip() + ",limbs,top,stem\n" + SOUND.strip() + ",free,free,free\n"
    (folder / "trees.csv").write_text(free)
    with pytest.raises(InputError) as caught:
        load_plan(folder)
    assert [(one.file, one.code) for one in caught.value.problems] == [("trees.csv", ProblemCode.FILE_EMPTY)]


def test_rows_written_and_read_are_equal(tmp_path) -> None:
    one = row(diameter_high=0.4, limbs="lift", note="by the gate")
    assert "diameter_high [cm]" in row_values(one)
    folder = Path(shutil.copytree(SOUND_PLAN, tmp_path / "plan"))
    write_rows_csv([one], folder / "trees.csv")
    assert load_plan(folder).jobs[2:] == tuple(
        job.model_copy(update={"share": made.share})
        for job, made in zip(jobs_of_tree(one), load_plan(folder).jobs[2:], strict=True)
    )
