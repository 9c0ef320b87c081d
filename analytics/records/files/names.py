"""What a file's name says: whether it is read, and which table it may hold."""

from __future__ import annotations

import re

from analytics.records.tables import TABLES, Table, as_word

SETTINGS = "fleet.toml"
MAPPING = "mapping.toml"
DECISIONS = "decisions.toml"
WISHES = "plan.toml"
OURS = (SETTINGS, MAPPING, DECISIONS, WISHES)
"""What a person said of the fleet, how its exports are read, what was decided of them, and of the
haul-outs to come."""

TEXT_SUFFIXES = (".csv", ".tsv", ".txt")
WORKBOOK_SUFFIXES = (".xlsx", ".ods")
PACKED_SUFFIXES = (".gz", ".zip")
SUFFIXES = (*TEXT_SUFFIXES, *WORKBOOK_SUFFIXES, *PACKED_SUFFIXES)
"""Of files that are read."""

LOOKED_INTO = (*SUFFIXES, ".xls")
"""Of files that are opened, be it only to say what must be done with them."""

_BESIDE = ("truth.json", "key.json", "thumbs.db", "desktop.ini")
"""What the invented fleets and some systems lay beside the files: nobody's records."""

_BY_STEM = {table.stem: table for table in TABLES}


def base_name(path: str) -> str:
    """The last part of a path, whichever way its slashes lean."""
    return re.split(r"[/\\]", path)[-1]


def known_as(place: str) -> tuple[str, ...]:
    """What a file may be called, in small letters: its name, and that within an archive."""
    name = base_name(place).casefold()
    inner = base_name(place.rpartition(", ")[2]).casefold()
    return (name,) if inner == name else (name, inner)


def suffix(name: str) -> str:
    """The suffix that makes a file one to look into, in lower case; blank for any other."""
    lower = name.lower()
    return next((one for one in LOOKED_INTO if lower.endswith(one)), "")


def table_named(name: str) -> Table | None:
    """The table whose name a file or a sheet bears."""
    name = base_name(name)
    for ending in (*PACKED_SUFFIXES, *TEXT_SUFFIXES, *WORKBOOK_SUFFIXES, ".xls"):
        if name.lower().endswith(ending):
            name = name[: -len(ending)]
    return _BY_STEM.get(as_word(name))


def is_ours(name: str) -> bool:
    """True for the files of this project's own form that hold no records."""
    return name.lower() in OURS


def is_lock(name: str) -> bool:
    """True for the small files that office programs lay beside a workbook while it is open."""
    return name.startswith("~$") or (name.startswith(".~lock.") and name.endswith("#"))


def is_resource_fork(name: str) -> bool:
    """True for what one system's archives add to every file."""
    return name.startswith("._")


def is_read(name: str) -> bool:
    """True for a file of a folder or an upload that is looked into."""
    name = base_name(name)
    return not is_lock(name) and (bool(suffix(name)) or is_ours(name))


def is_foreign(name: str) -> bool:
    """True for a file that is not looked into and that somebody may take for records."""
    name = base_name(name)
    hidden = name.startswith(".") or name.lower() in _BESIDE
    return not (hidden or is_read(name) or is_lock(name))
