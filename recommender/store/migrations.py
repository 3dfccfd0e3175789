"""The store's versions: each step brings it from one version to the next, a new store from none to the last.

A new store and an old one go the same way, so they can't differ. A step is plain SQL that both engines take, and the
steps run in one transaction with the version number: both engines can take back changes of tables, so a stop in the
middle leaves the version before, whole. With so few tables this is less than a migration framework would need to be
told.
"""

from __future__ import annotations

from collections.abc import Callable

from sqlalchemy import Connection, inspect, select, text, update

from recommender.store.errors import NewerStore, StoreError
from recommender.store.schema import version

_FIRST = (
    """CREATE TABLE kitplan_plans (
        id VARCHAR(32) NOT NULL PRIMARY KEY,
        name VARCHAR(200) NOT NULL,
        name_key VARCHAR(600) NOT NULL,
        created_at VARCHAR(32) NOT NULL,
        deleted_at VARCHAR(32)
    )""",
    "CREATE UNIQUE INDEX kitplan_one_name ON kitplan_plans (name_key) WHERE deleted_at IS NULL",
    """CREATE TABLE kitplan_revisions (
        plan_id VARCHAR(32) NOT NULL REFERENCES kitplan_plans (id),
        number INTEGER NOT NULL,
        parent INTEGER,
        what VARCHAR(200) NOT NULL,
        session VARCHAR(100) NOT NULL,
        saved_at VARCHAR(32) NOT NULL,
        PRIMARY KEY (plan_id, number),
        FOREIGN KEY (plan_id, parent) REFERENCES kitplan_revisions (plan_id, number)
    )""",
    """CREATE TABLE kitplan_blobs (
        sha256 VARCHAR(64) NOT NULL PRIMARY KEY,
        content {bytes} NOT NULL
    )""",
    """CREATE TABLE kitplan_contents (
        plan_id VARCHAR(32) NOT NULL,
        number INTEGER NOT NULL,
        document VARCHAR(100) NOT NULL,
        sha256 VARCHAR(64) NOT NULL REFERENCES kitplan_blobs (sha256),
        PRIMARY KEY (plan_id, number, document),
        FOREIGN KEY (plan_id, number) REFERENCES kitplan_revisions (plan_id, number)
    ){by_key}""",
    """CREATE TABLE kitplan_heads (
        plan_id VARCHAR(32) NOT NULL PRIMARY KEY REFERENCES kitplan_plans (id),
        number INTEGER NOT NULL,
        FOREIGN KEY (plan_id, number) REFERENCES kitplan_revisions (plan_id, number)
    )""",
)

_SECOND = (
    "ALTER TABLE kitplan_plans ADD COLUMN kind VARCHAR(40) NOT NULL DEFAULT 'plan'",
    "DROP INDEX kitplan_one_name",
    "CREATE UNIQUE INDEX kitplan_one_name ON kitplan_plans (kind, name_key) WHERE deleted_at IS NULL",
    """CREATE TABLE kitplan_redo_steps (
        plan_id VARCHAR(32) NOT NULL,
        number INTEGER NOT NULL,
        following INTEGER NOT NULL,
        PRIMARY KEY (plan_id, number),
        FOREIGN KEY (plan_id, number) REFERENCES kitplan_revisions (plan_id, number),
        FOREIGN KEY (plan_id, following) REFERENCES kitplan_revisions (plan_id, number)
    )""",
    """INSERT INTO kitplan_redo_steps (plan_id, number, following)
        SELECT plan_id, parent, MAX(number) FROM kitplan_revisions WHERE parent IS NOT NULL
        GROUP BY plan_id, parent""",
)

_THIRD = (
    """CREATE TABLE kitplan_choices (
        name VARCHAR(40) NOT NULL PRIMARY KEY,
        value VARCHAR(200) NOT NULL
    )""",
)

_WORDS = {
    "sqlite": {"bytes": "BLOB", "by_key": " WITHOUT ROWID"},
    "postgresql": {"bytes": "BYTEA", "by_key": ""},
}


def _statements(lines: tuple[str, ...]) -> Callable[[Connection], None]:
    def step(connection: Connection) -> None:
        for line in lines:
            connection.execute(text(line.format(**_WORDS[connection.dialect.name])))

    return step


STEPS: tuple[Callable[[Connection], None], ...] = tuple(map(_statements, (_FIRST, _SECOND, _THIRD)))
"""Step n makes version n + 1 of the store out of version n."""


def version_of(connection: Connection) -> int:
    """The version of a store; 0 if there is none yet.

    Raises
    ------
    StoreError
        If the version can't be told.
    """
    if not inspect(connection).has_table(version.name):
        return 0
    found = connection.execute(select(version.c.version)).scalars().all()
    if len(found) != 1 or found[0] < 1:
        raise StoreError(
            "The store does not say its version: it is damaged. Restore a backup into a new one."
        )
    return int(found[0])


def migrate(connection: Connection) -> int:
    """Bring a store to the last version, inside the caller's transaction.

    Returns
    -------
    int
        The version that it had.

    Raises
    ------
    NewerStore
        If a newer program has gone beyond what this one knows.
    """
    before, last = version_of(connection), len(STEPS)
    if before > last:
        raise NewerStore(
            f"The saved plans belong to a newer version of this program (store version {before}, this program "
            f"knows up to {last}). Bring the program up to date; nothing was changed."
        )
    if before == 0:
        connection.execute(text(f"CREATE TABLE {version.name} (version INTEGER NOT NULL)"))
        connection.execute(version.insert().values(version=0))
    for step in STEPS[before:]:
        step(connection)
    if before < last:
        connection.execute(update(version).values(version=last))
    return before
