"""What is known of the boats besides their names: from their list, or from the rows about parts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import pandas as pd

from analytics.records.boats import Boats
from analytics.records.dates import Window
from analytics.records.dating.reading import plain_text
from analytics.records.findings import Finding
from analytics.records.gather.ledger import Ledger
from analytics.records.mapping.translate import Translated

Pairs = Sequence[tuple[Translated, pd.DataFrame]]


@dataclass(frozen=True)
class BoatFacts:
    """Boats, when they were built and which of them have left.

    Attributes
    ----------
    built_on : mapping of str to str
        By boat, in the plain writing; boats of which it is not known are not in it.
    left : frozenset of str
    rows : mapping of str to (dict of str to str)
        By boat, its row of `boats.csv`, where no list of boats exists.
    lines : mapping of str to tuple of int
        Of the same boats, the lines that the row was made of.
    """

    built_on: Mapping[str, str]
    left: frozenset[str]
    rows: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    lines: Mapping[str, tuple[int, ...]] = field(default_factory=dict)


def listed_facts(boats: Boats, about_parts: Pairs) -> BoatFacts:
    """What a list of boats says; where it is silent of a boat's building, the other rows do.

    Parameters
    ----------
    boats : Boats
    about_parts : sequence of (Translated, DataFrame)
        Exports about lives and jobs.
    """
    built = {
        name: plain_text(Window(row["built_on_lo"], row["built_on_hi"]))
        for name, row in boats.rows.items()
        if row["built_on_lo"]
    }
    elsewhere = {
        name: known["built_on"]
        for name, known in _said_beside(about_parts).items()
        if "built_on" in known
    }
    left = frozenset(name for name, row in boats.rows.items() if row["left_on_lo"])
    return BoatFacts({**elsewhere, **built}, left)


def facts_from_parts(about_parts: Pairs, ledger: Ledger) -> BoatFacts:
    """The boats that rows about parts name, where no file lists them.

    A job that says that a boat left says when, too.
    """
    rows = _said_beside(about_parts)
    lines: dict[str, tuple[int, ...]] = {}
    for one, frame in about_parts:
        named = frame[frame["boat"].ne("")]
        for name, line in named.groupby("boat")["line"].min().items():
            lines[str(name)] = min(lines.get(str(name), (int(line),)), (int(line),))
        ledger.findings.append(
            Finding(
                one.place,
                None,
                "boat",
                f"{named['boat'].nunique()} boats",
                "a list of the boats",
                "assumed",
                "The boats are taken from these rows, each as under these records from their "
                "beginning; what the rows do not say of when it was built, joined and left is not "
                "known.",
                "boats_from_parts",
            )
        )
    built = {name: row["built_on"] for name, row in rows.items() if "built_on" in row}
    left = frozenset(name for name, row in rows.items() if "left_on" in row)
    return BoatFacts(built, left, {name: rows[name] for name in sorted(rows)}, lines)


def _said_beside(about_parts: Pairs) -> dict[str, dict[str, str]]:
    """Base, building and leaving of each boat that rows about parts name, as far as they say."""
    rows: dict[str, dict[str, str]] = {}
    for _, frame in about_parts:
        named = frame[frame["boat"].ne("")]
        for name in named["boat"].unique():
            rows.setdefault(str(name), {"boat": str(name)})
        for wanted in ("base", "built_on"):
            if wanted in named:
                _add(rows, named[named[wanted].ne("")], wanted, wanted)
        if "action" in named and "on" in named:
            _add(rows, named[named["action"].eq("left") & named["on"].ne("")], "on", "left_on")
    return rows


def _add(rows: dict[str, dict[str, str]], said: pd.DataFrame, column: str, name: str) -> None:
    # The first by letters: the same whatever the order of the rows.
    for boat, text in said.groupby("boat")[column].min().items():
        known = rows[str(boat)]
        known[name] = min(known.get(name, text), text)
