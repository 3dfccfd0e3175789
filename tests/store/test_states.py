"""Any course of edits, undoing, restarts, stale edits and backups leaves what a plain model of it says."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, field

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from recommender.store import Documents, EditedElsewhere, NameTaken, NoSuchPlan, Store

CELLS = st.none() | st.booleans() | st.integers(-5, 5) | st.floats(0, 1) | st.text(max_size=3)
DOCUMENTS = st.dictionaries(
    st.sampled_from(["work", "policy", "settings"]),
    st.text(max_size=3) | st.lists(st.dictionaries(st.sampled_from("ab"), CELLS), max_size=2),
    max_size=3,
)


def as_text(documents: Documents) -> str:
    """What tells documents apart: 1, 1.0 and yes are not the same cell."""
    return json.dumps(documents, sort_keys=True)


@dataclass
class Model:
    """A plan as anybody would write it down: all states in order, the way back, the way forth, and the name.

    One that is gone for good has no states.
    """

    name: str
    states: list[Documents]
    parents: list[int | None] = field(default_factory=lambda: [None])
    forth: dict[int, int] = field(default_factory=dict)
    head: int = 1
    is_deleted: bool = False


class Course(RuleBasedStateMachine):
    """One store, opened again and again, beside models of its plans."""

    new_url: Callable[[], str]
    plans = Bundle("plans")

    @initialize()
    def begin(self) -> None:
        self.url = self.new_url()
        self.store = Store.open(self.url)
        self.models: dict[str, Model] = {}

    def teardown(self) -> None:
        faults = self.store.faults()
        self.store.close()
        assert faults == ()

    def names(self) -> set[str]:
        return {model.name.casefold() for model in self.models.values() if not model.is_deleted}

    @rule(target=plans, name=st.sampled_from(["Oaks", "OAKS", "Elms", "Ash"]), documents=DOCUMENTS)
    def create(self, name: str, documents: Documents) -> str:
        wanted = name
        if name.casefold() in self.names():
            with pytest.raises(NameTaken) as caught:
                self.store.create(name, documents)
            wanted = caught.value.free
        plan_id = self.store.create(wanted, documents).plan_id
        self.models[plan_id] = Model(wanted, [documents])
        return plan_id

    @rule(plan=plans, documents=DOCUMENTS)
    def save(self, plan: str, documents: Documents) -> None:
        model = self.models[plan]
        if model.is_deleted:
            with pytest.raises(NoSuchPlan):
                self.store.save(plan, documents, model.head, "edit")
            return
        saved = self.store.save(plan, documents, model.head, "edit")
        if as_text(documents) != as_text(model.states[model.head - 1]):
            model.states.append(documents)
            model.parents.append(model.head)
            model.forth[model.head] = len(model.states)
            model.head = len(model.states)
        assert (saved.number, saved.documents) == (model.head, documents)

    @rule(plan=plans, documents=DOCUMENTS, back=st.integers(1, 3))
    def save_what_is_stale(self, plan: str, documents: Documents, back: int) -> None:
        model = self.models[plan]
        if model.is_deleted or len(model.states) == 1:
            return
        stale = (model.head - 1 - back) % len(model.states) + 1
        if stale == model.head:
            return
        with pytest.raises(EditedElsewhere) as caught:
            self.store.save(plan, documents, stale, "stale")
        said = caught.value
        assert said.based_on.documents == model.states[stale - 1]
        assert (said.theirs.number, said.theirs.documents) == (model.head, model.states[model.head - 1])

    @rule(plan=plans, times=st.integers(1, 3))
    def undo(self, plan: str, times: int) -> None:
        model = self.models[plan]
        for _ in range(0 if model.is_deleted else times):
            parent = model.parents[model.head - 1]
            undone = self.store.undo(plan, model.head)
            if parent is not None:
                model.forth[parent] = model.head
                model.head = parent
            assert undone.number == model.head

    @rule(plan=plans, times=st.integers(1, 3))
    def redo(self, plan: str, times: int) -> None:
        model = self.models[plan]
        for _ in range(0 if model.is_deleted else times):
            done = self.store.redo(plan, model.head)
            model.head = model.forth.get(model.head, model.head)
            assert (done.number, done.can_redo) == (model.head, model.head in model.forth)

    @rule(target=plans, plan=plans)
    def copy(self, plan: str) -> str:
        model = self.models[plan]
        if model.is_deleted:
            return plan
        name = self.store.free_name(model.name)
        copied = self.store.copy(plan, name).plan_id
        self.models[copied] = Model(name, [model.states[model.head - 1]])
        return copied

    @rule(plan=plans)
    def delete_or_bring_back(self, plan: str) -> None:
        model = self.models[plan]
        if not model.states:
            with pytest.raises(NoSuchPlan):
                self.store.recover(plan)
            return
        if not model.is_deleted:
            self.store.delete(plan)
        elif model.name.casefold() in self.names():
            with pytest.raises(NameTaken):
                self.store.recover(plan)
            return
        else:
            self.store.recover(plan)
        model.is_deleted = not model.is_deleted

    @rule(plan=consumes(plans))
    def delete_for_good(self, plan: str) -> None:
        """All that was deleted goes, this plan too."""
        model = self.models[plan]
        if not model.states:
            return
        if not model.is_deleted:
            self.store.delete(plan)
            model.is_deleted = True
        gone_at = max(one.gone_at for one in self.store.deleted() if one.gone_at)
        gone = [one for one, model in self.models.items() if model.is_deleted and model.states]
        assert self.store.clear_out(gone_at.replace(year=gone_at.year + 1)) == len(gone)
        for one in gone:
            self.models[one] = Model("", [], is_deleted=True)

    @precondition(lambda self: self.models)
    @rule()
    def restart(self) -> None:
        self.store.close()
        self.store = Store.open(self.url)

    @precondition(lambda self: self.models)
    @rule()
    def move_by_backup(self) -> None:
        data = self.store.backup()
        self.store.close()
        self.url = self.new_url()
        self.store = Store.open(self.url)
        assert self.store.restore(data).there == ()

    @invariant()
    def agrees_with_the_model(self) -> None:
        live = {plan: model for plan, model in self.models.items() if not model.is_deleted}
        assert {one.id: (one.name, one.head) for one in self.store.plans()} == {
            plan: (model.name, model.head) for plan, model in live.items()
        }
        for plan, model in live.items():
            assert [step.parent for step in reversed(self.store.history(plan))] == model.parents
            shown = self.store.current(plan)
            assert shown.documents == model.states[model.head - 1]
            assert (shown.can_undo, shown.can_redo) == (model.head > 1, model.head in model.forth)


def test_any_course(new_url: Callable[[], str]) -> None:
    class Here(Course):
        pass

    Here.new_url = staticmethod(new_url)
    few = settings(
        max_examples=3 if new_url().startswith("postgresql") else 8,
        stateful_step_count=18,
        deadline=None,
        phases=(Phase.reuse, Phase.generate),  # to shrink a course takes minutes
        suppress_health_check=list(HealthCheck),
    )
    run_state_machine_as_test(Here, settings=few)
