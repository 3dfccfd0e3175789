"""The whole store as one file, the same from either engine, and back.

A ZIP archive: ``contents.json`` lists the plans with their states, ``documents/<SHA-256>`` holds each document once,
and ``checksum.txt`` is the SHA-256 of ``contents.json``, which names every document by its own.
"""

from __future__ import annotations

import io
import lzma
import os
import struct
import zipfile
import zlib
from collections import defaultdict
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from tempfile import mkstemp
from typing import Annotated, Any, Literal, Self

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError, model_validator
from sqlalchemy import Connection, Table, insert, select

from recommender.store import revisions as states
from recommender.store import shelf
from recommender.store.documents import LARGEST_DOCUMENT, LONGEST_NAME, decoded, inflated
from recommender.store.errors import BrokenBackup
from recommender.store.schema import blobs, contents, heads, plans, redo_steps, revisions

CONTENTS, CHECKSUM, DOCUMENTS = "contents.json", "checksum.txt", "documents/"
LARGEST_CONTENTS = 500_000_000
FORMAT: Literal[1] = 1
"""Raised by one whenever a backup of the form before could be read wrongly."""

_UNREADABLE = (
    zipfile.BadZipFile, zlib.error, lzma.LZMAError, struct.error,
    ArithmeticError, EOFError, OSError, RuntimeError, ValueError,
)  # fmt: skip
"""What a damaged archive may raise while it is read."""


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


def _a_time(text: str) -> str:
    if datetime.fromisoformat(text).astimezone(UTC).isoformat(timespec="microseconds") != text:
        raise ValueError("this is no time in UTC with microseconds")
    return text


def _shown(text: str) -> str:
    if not text.isprintable():
        raise ValueError("the text holds signs that can't be shown")
    return text


Line = Annotated[str, AfterValidator(_shown)]
Time = Annotated[str, AfterValidator(_a_time)]


class SavedState(_Part):
    """A state of a plan: SHA-256 of each document by its name."""

    number: int = Field(ge=1)
    parent: int | None
    what: Line = Field(max_length=states.LONGEST_WHAT)
    session: Line = Field(max_length=states.LONGEST_SESSION)
    saved_at: Time
    documents: dict[Line, str]


class SavedPlan(_Part):
    """A plan with all its states; ``redo`` says which state follows a state when an undone step is done again."""

    id: str = Field(pattern=r"^[0-9a-f]{1,32}$")
    kind: Line = Field(min_length=1, max_length=40)
    name: Annotated[str, AfterValidator(shelf.tidy_name)]
    created_at: Time
    deleted_at: Time | None
    head: int
    redo: dict[int, int]
    states: tuple[SavedState, ...] = Field(strict=False)

    @model_validator(mode="after")
    def _is_whole(self) -> Self:
        if [one.number for one in self.states] != list(range(1, len(self.states) + 1)):
            raise ValueError("a state is missing")
        parents = {one.number: one.parent for one in self.states}
        if self.head not in parents or any(
            parents.get(after) != before for before, after in self.redo.items()
        ):
            raise ValueError("a step leads to a state that is not there")
        if any(
            (parent is None) != (number == 1) or (parent or 0) >= number for number, parent in parents.items()
        ):
            raise ValueError("a state does not follow one before it")
        if any(not 1 <= len(name) <= LONGEST_NAME for one in self.states for name in one.documents):
            raise ValueError("the name of a document is empty or too long")
        return self


class SavedStore(_Part):
    """The contents of a backup."""

    format: Literal["rigging kit plans"]
    version: Literal[1]
    saved_at: Time
    plans: tuple[SavedPlan, ...] = Field(strict=False)

    @model_validator(mode="after")
    def _has_plans_once(self) -> Self:
        if len({plan.id for plan in self.plans}) < len(self.plans):
            raise ValueError("a plan is there twice")
        return self


@dataclass(frozen=True)
class Whole:
    """A backup that was read and found whole."""

    store: SavedStore
    documents: Mapping[str, bytes]


@dataclass(frozen=True)
class Restored:
    """Names of plans that came in, as they are called now, of those that were there already, and of those among them
    that were deleted there.
    """

    added: tuple[str, ...]
    there: tuple[str, ...]
    deleted: tuple[str, ...] = ()


def written(connection: Connection) -> bytes:
    """The whole store as the bytes of a backup."""
    store = SavedStore(
        format="rigging kit plans",
        version=FORMAT,
        saved_at=states.now(),
        plans=tuple(_saved_plans(connection)),
    )
    text = store.model_dump_json(indent=1).encode()
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(CONTENTS, text)
        archive.writestr(CHECKSUM, sha256(text).hexdigest())
        for row in connection.execute(select(blobs).order_by(blobs.c.sha256)):
            archive.writestr(DOCUMENTS + row.sha256, inflated(row.sha256, row.content))
    return out.getvalue()


def _saved_plans(connection: Connection) -> Iterator[SavedPlan]:
    documents: defaultdict[tuple[str, int], dict[str, str]] = defaultdict(dict)
    for row in _all(connection, contents):
        documents[row.plan_id, row.number][row.document] = row.sha256
    by_plan: defaultdict[str, list[SavedState]] = defaultdict(list)
    for row in _all(connection, revisions):
        values = {name: row._mapping[name] for name in ("number", "parent", "what", "session", "saved_at")}
        by_plan[row.plan_id].append(SavedState(**values, documents=documents[row.plan_id, row.number]))
    redo: defaultdict[str, dict[int, int]] = defaultdict(dict)
    for row in _all(connection, redo_steps):
        redo[row.plan_id][row.number] = row.following
    head = {row.plan_id: row.number for row in _all(connection, heads)}
    for row in _all(connection, plans):
        yield SavedPlan(
            id=row.id, kind=row.kind, name=row.name, created_at=row.created_at, deleted_at=row.deleted_at,
            head=head[row.id], redo=redo[row.id], states=tuple(by_plan[row.id]),
        )  # fmt: skip


def _all(connection: Connection, table: Table) -> Any:
    return connection.execute(select(table).order_by(*table.primary_key))


def write_whole(path: Path, data: bytes) -> None:
    """Write a file that is either the old one or the whole new one, whenever the program or the power stops."""
    number, name = mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(number, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.replace(name, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(name)
        raise


def read(data: bytes) -> Whole:
    """A backup, once all of it was found to be whole.

    Raises
    ------
    BrokenBackup
        If anything of it is missing, changed, or of a newer form.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            text = _member(archive, CONTENTS, LARGEST_CONTENTS)
            if sha256(text).hexdigest().encode() != _member(archive, CHECKSUM, 200).strip():
                raise BrokenBackup(
                    "The backup is broken: its list of plans is not what was saved. Nothing was changed."
                )
            store = _parsed(text)
            return Whole(store, dict(_documents(archive, store)))
    except _UNREADABLE as error:
        message = "The file is no backup of plans, or was not saved whole. Nothing was changed."
        raise BrokenBackup(message) from error


def _member(archive: zipfile.ZipFile, name: str, most: int) -> bytes:
    try:
        with archive.open(name) as file:
            content = file.read(most + 1)
    except KeyError as error:
        raise BrokenBackup(f"The backup is broken: {name} is missing. Nothing was changed.") from error
    if len(content) > most:
        raise BrokenBackup(f"The backup holds more than a backup can: {name}. Nothing was changed.")
    return content


def _parsed(text: bytes) -> SavedStore:
    try:
        return SavedStore.model_validate_json(text)
    except ValidationError as error:
        fault = error.errors(include_url=False)[0]
        place = ".".join(str(part) for part in fault["loc"])
        if place == "version":
            message = "The backup was made by a newer version of this program. Bring the program up to date."
            raise BrokenBackup(f"{message} Nothing was changed.") from error
        said = fault["msg"].removeprefix("Value error, ")
        raise BrokenBackup(f"The backup is broken at {place}: {said}. Nothing was changed.") from error


def _documents(archive: zipfile.ZipFile, store: SavedStore) -> Iterator[tuple[str, bytes]]:
    """Deflated documents by their SHA-256, each compared with it and found to be JSON."""
    wanted = {digest for plan in store.plans for one in plan.states for digest in one.documents.values()}
    for digest in sorted(wanted):
        text = _member(archive, DOCUMENTS + digest, LARGEST_DOCUMENT)
        try:
            decoded(text)
            is_whole = sha256(text).hexdigest() == digest
        except (ValueError, RecursionError):
            is_whole = False
        if not is_whole:
            message = (
                f"The backup is broken: document {digest[:12]}... is not what was saved. Nothing was changed."
            )
            raise BrokenBackup(message)
        yield digest, zlib.compress(text)


def brought_in(connection: Connection, whole: Whole) -> Restored:
    """Bring the plans of a backup in beside those that are there."""
    there = {plan.id: plan for plan in _saved_plans(connection)}
    added: list[str] = []
    known: list[str] = []
    deleted: list[str] = []
    for plan in whole.store.plans:
        now = there.get(plan.id)
        if now is not None and now.states[: len(plan.states)] == plan.states:
            (known if now.deleted_at is None else deleted).append(now.name)
            continue
        added.append(_bring_in(connection, plan, whole.documents, new_id=now is not None))
    return Restored(tuple(added), tuple(known), tuple(deleted))


def _bring_in(
    connection: Connection, plan: SavedPlan, documents: Mapping[str, bytes], *, new_id: bool
) -> str:
    plan_id = shelf.new_id() if new_id else plan.id
    name = shelf.free_name(connection, plan.name, plan.kind) if plan.deleted_at is None else plan.name
    shelf.put(connection, plan_id, name, plan.kind, plan.created_at, plan.deleted_at)
    wanted = {digest for one in plan.states for digest in one.documents.values()}
    if wanted:
        states.keep_blobs(connection, {digest: documents[digest] for digest in wanted})
    rows = [one.model_dump(exclude={"documents"}) | {"plan_id": plan_id} for one in plan.states]
    connection.execute(insert(revisions), rows)
    held = [
        {"plan_id": plan_id, "number": one.number, "document": document, "sha256": digest}
        for one in plan.states
        for document, digest in one.documents.items()
    ]
    if held:
        connection.execute(insert(contents), held)
    connection.execute(insert(heads).values(plan_id=plan_id, number=plan.head))
    steps = [{"plan_id": plan_id, "number": one, "following": after} for one, after in plan.redo.items()]
    if steps:
        connection.execute(insert(redo_steps), steps)
    return name
