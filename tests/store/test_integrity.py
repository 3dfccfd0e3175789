"""Damage is found, whatever it hits."""

from __future__ import annotations

import pytest
from sqlalchemy import create_engine, text

from recommender.store import Store, StoreError

DAMAGE = {
    "UPDATE kitplan_blobs SET content = substr(content, 1, length(content) - 1)": "damaged",
    "UPDATE kitplan_contents SET sha256 = (SELECT MIN(sha256) FROM kitplan_blobs)": "belongs to no state",
    "UPDATE kitplan_revisions SET parent = 1 WHERE number = 3": "leads elsewhere",
    "UPDATE kitplan_revisions SET parent = NULL WHERE number = 3": "do not lead back",
    "DELETE FROM kitplan_heads": "no state",
}


@pytest.mark.parametrize("damage", DAMAGE)
def test_damage_is_found(damage: str, url: str) -> None:
    with Store.open(url) as store:
        plan = store.create("Oaks", {"a": "x" * 100}).plan_id
        for number in (1, 2):
            store.save(plan, {"a": str(number) * 100}, number, "edit")
        assert store.faults() == ()
        store.close()
        engine = create_engine(url)
        with engine.begin() as connection:
            connection.execute(text(damage))
        engine.dispose()
        assert any(DAMAGE[damage] in fault for fault in store.faults())


def test_a_damaged_document_is_not_shown_as_if_it_were_sound(url: str) -> None:
    with Store.open(url) as store:
        plan = store.create("Oaks", {"a": "x"}).plan_id
        store.close()
        engine = create_engine(url)
        with engine.begin() as connection:
            connection.execute(text("UPDATE kitplan_blobs SET content = substr(content, 1, 5)"))
        engine.dispose()
        for call in (lambda: store.current(plan), store.backup):
            with pytest.raises(StoreError, match="damaged"):
                call()
