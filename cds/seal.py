"""One canonical form for content, and the digest that stands for it.

Takes plain data with exact numbers; gives the bytes of RFC 8785 and their SHA-256 digest. A sealed file is itself in
canonical form, so one content has one file. Never reads a folder, never decides what belongs into the content.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import rfc8785

SCHEMA = "infant-vitals-cds/rule-set/1"
_MOST_DIGITS = 15
_KEYS = ("content", "digest", "id", "places", "schema", "version")


class NotSealed(ValueError):
    """A sealed file that does not hold what it says; `found` and `expected` in words."""

    def __init__(self, found: str, expected: str) -> None:
        self.found = found
        self.expected = expected
        super().__init__(f"{found}; expected {expected}")


@dataclass(frozen=True, slots=True)
class Sealed:
    """What a sealed file holds: content under its digest, and beside it where each part was written."""

    id: str
    version: str
    digest: str
    content: Mapping[str, Any]
    places: Mapping[str, str]


def canonical(data: object) -> bytes:
    """The bytes of RFC 8785 (JSON Canonicalization Scheme): keys sorted, numbers in one form, no blanks.

    Numbers are whole, or decimals of at most 15 digits, which a binary number gives back unchanged.

    Raises:
        rfc8785.CanonicalizationError: data that JSON cannot hold.
    """
    return rfc8785.dumps(_plain(data))


def digest_of(content: bytes) -> str:
    """`sha256:` and 64 hexadecimal digits over canonical bytes."""
    return f"sha256:{hashlib.sha256(content).hexdigest()}"


def digest(data: object) -> str:
    """The digest of data in canonical form."""
    return digest_of(canonical(data))


def seal(sealed: Sealed) -> bytes:
    """The bytes of a sealed file."""
    return _bytes(sealed, canonical(sealed.content))


def open_sealed(raw: bytes) -> Sealed:
    """What a sealed file holds, its digest computed again.

    Raises:
        NotSealed: not JSON, not of this form, not canonical, or content that its digest does not stand for.
    """
    sealed = _read(raw)
    try:
        content = canonical(sealed.content)
        whole = _bytes(sealed, content)
    except rfc8785.CanonicalizationError:
        raise NotSealed("numbers or letters that JSON cannot hold", "a frozen rule set") from None
    if digest_of(content) != sealed.digest:
        raise NotSealed(f"content with the digest {digest_of(content)}", f"content with the digest {sealed.digest}")
    if whole != raw:
        raise NotSealed("bytes that are not in canonical form", "the bytes of RFC 8785, as `cds rules freeze` writes")
    return sealed


def _bytes(sealed: Sealed, content: bytes) -> bytes:
    # Keys in sorted order, so that joining canonical parts gives a canonical whole; content is the large part.
    parts = {
        "content": content,
        "digest": canonical(sealed.digest),
        "id": canonical(sealed.id),
        "places": canonical(sealed.places),
        "schema": canonical(SCHEMA),
        "version": canonical(sealed.version),
    }
    return b"{" + b",".join(canonical(key) + b":" + part for key, part in parts.items()) + b"}"


def _read(raw: bytes) -> Sealed:
    try:
        data = json.loads(raw.decode("utf-8"), parse_float=Decimal)
    except (ValueError, RecursionError):
        raise NotSealed("a file that is not JSON", "a frozen rule set") from None
    if not isinstance(data, dict) or tuple(sorted(data)) != _KEYS or data["schema"] != SCHEMA:
        raise NotSealed("JSON of another form", f"a frozen rule set with `schema` `{SCHEMA}`")
    if not isinstance(data["content"], dict) or not isinstance(data["places"], dict):
        raise NotSealed("a frozen rule set without content", "`content` and `places` with keys")
    if not all(isinstance(data[key], str) for key in ("id", "version", "digest")):
        raise NotSealed("a frozen rule set without a name", "`id`, `version` and `digest` as text")
    return Sealed(data["id"], data["version"], data["digest"], data["content"], data["places"])


def _plain(data: object) -> Any:
    if isinstance(data, Mapping):
        return {key: _plain(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_plain(value) for value in data]
    if isinstance(data, Decimal):
        return int(data) if data.adjusted() < _MOST_DIGITS and data == data.to_integral_value() else float(data)
    return data
