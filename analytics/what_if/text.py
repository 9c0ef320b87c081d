"""Changes as the text of a TOML file, and as a short text for a link."""

from __future__ import annotations

import base64
import binascii
import json
import tomllib
import zlib
from collections.abc import Mapping
from datetime import date
from typing import Any

from analytics.records.findings import Finding
from analytics.what_if.changes import Changes
from analytics.what_if.document import changes_of, tree_of

FILE = "what_if.toml"
"""Name under which a page gives the file out."""

LINK = "link"
"""What a finding calls the text of a link."""

BEGINS = "1."
"""Version of the packing."""

LONGEST_LINK = 6000
"""Letters of a link's text; addresses much longer are cut by browsers and mail."""

_LARGEST = 200_000
"""Bytes of a file, and of what a link may unpack to."""


def changes_text(changes: Changes) -> str:
    """Changes as TOML, one key a line; the same changes give the same text."""
    tree = tree_of(changes)
    plain = [_line(key, value) for key, value in tree.items() if not isinstance(value, dict | list)]
    lines = ["# Changes against today's plan, for the comparison of plans.", *plain]
    for key, value in tree.items():
        if isinstance(value, dict):
            lines += _section(_key(key), value)
        elif isinstance(value, list):
            for row in value:
                lines += ["", f"[[{key}]]", *(_line(name, cell) for name, cell in row.items())]
    return "\n".join(lines) + "\n"


def read_changes(text: str, file: str = FILE) -> tuple[Changes, list[Finding]]:
    """Changes of the text of a TOML file.

    Returns
    -------
    Changes
        Without what is wrong.
    list of Finding
        What was found and what was expected, for every wrong entry.
    """
    if len(text) > _LARGEST:
        return Changes(), [
            _stopped(file, f"{len(text):,} letters", f"a file of {_LARGEST:,} letters at most")
        ]
    try:
        tree = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        return Changes(), [_stopped(file, str(error)[:200], "a TOML file")]
    return changes_of(tree, file)


def link_text(changes: Changes) -> str:
    """Changes as letters that an address can carry; blank where they are too many for one."""
    tree = json.dumps(tree_of(changes), ensure_ascii=False, separators=(",", ":"), default=str)
    packed = base64.urlsafe_b64encode(zlib.compress(tree.encode(), 9)).decode().rstrip("=")
    return BEGINS + packed if len(BEGINS + packed) <= LONGEST_LINK else ""


def read_link(text: str) -> tuple[Changes, list[Finding]]:
    """Changes of the text of a link; as `read_changes`, and for any text whatever."""
    if len(text) > LONGEST_LINK:
        found = f"{len(text):,} letters"
        return Changes(), [_stopped(LINK, found, f"{LONGEST_LINK:,} letters at most")]
    if not text.startswith(BEGINS):
        return Changes(), [_stopped(LINK, text[:40], f"a text that begins with '{BEGINS}'")]
    whole = "the whole link, as this page gave it: it has been cut short or altered"
    packed = text.removeprefix(BEGINS)
    try:
        unpacker = zlib.decompressobj()
        pad = "=" * (-len(packed) % 4)
        zipped = base64.b64decode(packed.encode("ascii") + pad.encode(), b"-_", validate=True)
        tree = unpacker.decompress(zipped, _LARGEST)
        if not unpacker.eof:
            return Changes(), [_stopped(LINK, text[:40], whole)]
        read = json.loads(tree)
    except (ValueError, binascii.Error, zlib.error, RecursionError):
        return Changes(), [_stopped(LINK, text[:40], whole)]
    if not isinstance(read, dict):
        return Changes(), [_stopped(LINK, text[:40], whole)]
    return changes_of(read, LINK)


def _stopped(file: str, found: str, expected: str) -> Finding:
    remedy = "Ask for the link or the file again; today's plan is not touched by it."
    return Finding(file, None, "", found, expected, "stopped", remedy)


def _section(at: str, tree: Mapping[str, Any]) -> list[str]:
    plain = {key: value for key, value in tree.items() if not isinstance(value, dict)}
    lines = ["", f"[{at}]", *(_line(key, value) for key, value in plain.items())] if plain else []
    for key, value in tree.items():
        if isinstance(value, dict):
            lines += _section(f"{at}.{_key(key)}", value)
    return lines


def _line(key: str, value: Any) -> str:
    return f"{_key(key)} = {_value(value)}"


def _key(key: str) -> str:
    bare = key.isascii() and key.replace("_", "").replace("-", "").isalnum()
    return key if bare else _value(key)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return repr(value)
