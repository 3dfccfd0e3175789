"""A document of a plan as bytes and back: text or rows as they were typed, faulty ones too."""

from __future__ import annotations

import json
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from math import isfinite

from recommender.store.errors import StoreError

Json = None | bool | int | float | str | Sequence["Json"] | Mapping[str, "Json"]
"""What a document may be: text, rows of cells, or any other JSON."""

Documents = Mapping[str, Json]
"""The documents of a plan by name, such as ``settings``, ``work`` and ``catalogue/ropes``."""

LONGEST_NAME = 100
LARGEST_DOCUMENT = 50_000_000
"""Bytes of one document; a work mix of 1000 rows has about 0.5 million."""
MOST_LEVELS = 40


@dataclass(frozen=True)
class Packed:
    """A document in plain JSON and as bytes, with the SHA-256 that it is kept under."""

    document: Json
    digest: str
    text: bytes

    @property
    def content(self) -> bytes:
        """The bytes to keep: deflated."""
        return zlib.compress(self.text)


def packed(documents: Documents) -> dict[str, Packed]:
    """Every document as bytes.

    Raises
    ------
    ValueError
        If a name is empty or too long, or a document holds what JSON can't (a date, an infinite number);
        the message names the place.
    """
    return {_checked_name(name): _pack(name, document) for name, document in documents.items()}


def _pack(name: str, document: Json) -> Packed:
    plain = _plain(document, name)
    text = json.dumps(plain, separators=(",", ":")).encode("ascii")
    if len(text) > LARGEST_DOCUMENT:
        raise ValueError(f"document {name!r} has {len(text)} bytes, more than {LARGEST_DOCUMENT}")
    return Packed(plain, sha256(text).hexdigest(), text)


def unpacked(digest: str, content: bytes) -> Json:
    """The document that was kept under a digest.

    Raises
    ------
    StoreError
        If the bytes are not those that were saved.
    """
    return decoded(inflated(digest, content))


def inflated(digest: str, content: bytes) -> bytes:
    """The bytes of a document before they were deflated, compared with their digest.

    Raises
    ------
    StoreError
        If they are not those that were saved.
    """
    unpacker = zlib.decompressobj()
    try:
        text = unpacker.decompress(content, LARGEST_DOCUMENT)
    except zlib.error as error:
        raise StoreError(_damaged(digest)) from error
    if not unpacker.eof or sha256(text).hexdigest() != digest:
        raise StoreError(_damaged(digest))
    return text


def decoded(text: bytes) -> Json:
    """A document from its bytes."""
    document: Json = json.loads(text)
    return document


def _damaged(digest: str) -> str:
    return (
        f"A saved document (SHA-256 {digest[:12]}...) is damaged: it is not what was saved. Restore a backup."
    )


def _checked_name(name: str) -> str:
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise ValueError(f"document name must be 1 to {LONGEST_NAME} printable characters, not {name!r}")
    return name


def _plain(value: object, place: str, level: int = 0) -> Json:
    """The value in plain JSON; lists for any sequence, dictionaries for any mapping."""
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, float) and isfinite(value):
        return float(value)
    if level < MOST_LEVELS and isinstance(value, Mapping):
        wrong = next((key for key in value if not isinstance(key, str)), None)
        if wrong is None:
            return {key: _plain(one, f"{place}/{key}", level + 1) for key, one in value.items()}
        raise ValueError(f"{place}: key {wrong!r} is no text")
    if level < MOST_LEVELS and isinstance(value, Sequence) and not isinstance(value, bytes | bytearray):
        return [_plain(one, f"{place}/{position}", level + 1) for position, one in enumerate(value)]
    raise ValueError(f"{place}: {value!r} can't be kept; write texts, finite numbers, yes/no, or None")
