"""What the rows of a foreign table are: the shape that explains most of its columns."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from statistics import median

from analytics.records.files.names import base_name
from analytics.records.mapping.assigning import SURE, Held, assign, worth
from analytics.records.mapping.contents import Table
from analytics.records.mapping.fields import SHAPES, Shape
from analytics.records.mapping.meanings import LEAVE
from analytics.records.vocabulary.headers import plain_words
from analytics.records.vocabulary.kinds import kind_of
from analytics.records.vocabulary.phrases import normal

CLOSE = 0.92
"""Another shape that explains this share of what the best one does is told of."""

_NAMED, _TIE, _STORES, _RIGHT_GAP, _WRONG_GAP = 0.5, 0.1, 0.3, 0.2, 1.5

_MOST_PAIRS = 500
"""Pairs of dates that are compared."""

_SHORT_DAYS, _LONG_DAYS = 21, 120
"""A job is done within weeks; a part stays for months or years."""

# What files and sheets are called, each word as `normal` leaves it.
_NAMES = {
    "boats": "boats vessels yachts fleet boote schiffe flotte bateaux barcos flota barche "
    "flotta boten schepen vloot",
    "lives": "parts components installed fitted register teile bauteile bauteilliste pieces piezas "
    "pezzi onderdelen lifetimes",
    "events": "jobs job events works maintenance service services repairs failures workorders "
    "auftrage arbeiten wartung reparaturen interventions travaux trabajos lavori onderhoud werk",
    "issued": "issued issues stores stock withdrawals ausgaben sorties salidas uitgifte magazin",
    "hours": "hours meter meters readings stunden betriebsstunden motorstunden heures horas ore "
    "uren hourmeter enginehours",
    "readings": "inspections inspection readings checks measurements surveys clearances prufungen "
    "inspektionen controles inspecciones ispezioni inspecties",
    "lifts": "lifts haulouts haul hauls lift kran kranen grutages varadas alaggi slipway",
    "prices": "prices pricelist price costs preise preisliste tarifs prix precios prezzi prijzen",
}
_BY_NAME = {shape: frozenset(names.split()) for shape, names in _NAMES.items()}

_OF_CHARTERS = frozenset({"date in", "date out", "in", "out"})
"""Headers of lists of lifts that those of charters have too."""

_NO_NAME = re.compile(
    r"(?:sheet|tabelle|feuil|hoja|foglio|blad|table|data|export|daten)\W*\d*", re.IGNORECASE
)


@dataclass(frozen=True)
class Choice:
    """The shape of a table and the columns of its fields.

    Attributes
    ----------
    shape : str
        ``leave`` where none fits.
    why : str
        The reason in plain words.
    held : mapping of str to Held
    fixed : mapping of str to str
        What the name of the file or sheet, or a title, says of every row.
    rivals : tuple of str
        Other shapes that explain nearly as much.
    """

    shape: str
    why: str
    held: Mapping[str, Held] = field(default_factory=dict)
    fixed: Mapping[str, str] = field(default_factory=dict)
    rivals: tuple[str, ...] = ()


def choose(table: Table, boats: frozenset[str] = frozenset()) -> Choice:
    """The shape that explains most of a table; ``leave`` where none has what it needs.

    Parameters
    ----------
    table : Table
    boats : frozenset of str
        Names of boats known from other tables, in small letters.
    """
    if not table.rows:
        return Choice(LEAVE, "There is no row below the headers.")
    found: list[tuple[float, Shape, Mapping[str, Held], dict[str, str]]] = []
    nearly: list[tuple[float, Shape, str]] = []
    for shape in SHAPES.values():
        held = assign(shape, table.columns, boats)
        fixed = _said_around(table, shape, held)
        if lacking := _lacking(table, shape, held, fixed):
            nearly.append((worth(held), shape, lacking))
        else:
            found.append((worth(held) + _bent(table, shape, held), shape, held, fixed))
    if not found:
        _, nearest, lacking = max(nearly, key=lambda one: one[0])
        return Choice(LEAVE, f"No shape fits; as rows about {nearest.row_is}, {lacking}.")
    best, chosen, columns, said = max(found, key=lambda one: one[0])
    rivals = tuple(
        other.name
        for value, other, _, _ in found
        if other is not chosen and value >= CLOSE * best and not _is_life(columns)
    )
    sure = sorted((one for one in columns.values() if one.header >= SURE), key=_place)
    names = ", ".join(f"'{one.column.header}'" for one in sure)
    why = f"A row is {chosen.row_is}" + (f": the headers {names} go with that." if names else ".")
    return Choice(chosen.name, why, columns, said, rivals)


def days_between(table: Table, first: Held, last: Held) -> float | None:
    """Median of the days from one date of a row to another, None where too few differ."""
    places = first.column.place, last.column.place
    pairs = sorted(
        {(row[places[0]], row[places[1]]) for row in table.rows if max(places) < len(row)}
    )
    pairs = [pair for pair in pairs if all(pair)]
    gaps = []
    for one, other in pairs[:: max(1, len(pairs) // _MOST_PAIRS)]:
        begins = first.column.window(one) if one else None
        ends = last.column.window(other) if other else None
        if begins and ends:
            gaps.append((ends.lo - begins.lo).days)
    return median(gaps) if len(gaps) >= 3 else None


def _is_life(held: Mapping[str, Held]) -> bool:
    """True where headers name both dates of a life."""
    return all(name in held and held[name].header >= SURE for name in ("fitted_on", "removed_on"))


def _place(held: Held) -> int:
    return held.column.place


def _lacking(table: Table, shape: Shape, held: Mapping[str, Held], fixed: Mapping[str, str]) -> str:
    """What a table would need to be of a shape, blank where it has it."""
    for group in shape.needed:
        if not any(name in held or name in fixed for name in group):
            said = " or ".join(shape.by_name[name].says for name in group)
            return f"no column says {said}" if shape.name != "boats" else "no column names boats"
    if shape.name == "boats":
        return _no_boats(held)
    if shape.name == "lifts" and not _tells_of_lifts(table, held):
        # Charters have boats and dates too.
        return "nothing says that a boat was lifted"
    if shape.name == "lives" and held.keys().isdisjoint({"fitted_on", "removed_on"}):
        return "" if "invoice_on" in held else "no column holds dates"
    return ""


def _no_boats(held: Mapping[str, Held]) -> str:
    """Why this is no list of boats, blank where it is one."""
    named = held.get("boat") or held["hull_no"]
    column = named.column
    if column.distinct < 0.9 * column.held:
        return f"the names in '{column.header}' come again and again"
    others = held.keys() - {"boat", "hull_no", "note", "person"}
    if len(others) < (1 if named.header >= SURE else 2):
        return "the columns say nothing about a boat beside its name"
    return ""


def _tells_of_lifts(table: Table, held: Mapping[str, Held]) -> bool:
    telling = (held[name] for name in ("lifted_on", "launched_on", "yard") if name in held)
    return _is_named(table, "lifts") or any(
        one.header >= SURE and plain_words(one.column.header) not in _OF_CHARTERS for one in telling
    )


def _bent(table: Table, shape: Shape, held: Mapping[str, Held]) -> float:
    """What else speaks for a shape, or against it."""
    bent = 0.0
    if _is_named(table, shape.name):
        bent += _NAMED
    match shape.name:
        case "readings":
            bent += _TIE if {"condition", "value"} & held.keys() else 0.0
        case "issued":
            bent += _STORES * (_from_stores(table, held))
        case "lives" | "events":
            bent += _of_gap(table, shape, held)
    return bent


def _from_stores(table: Table, held: Mapping[str, Held]) -> bool:
    """True for a table that counts parts and says nothing of what was done with them."""
    told = assign(SHAPES["events"], table.columns)
    return {"quantity", "part_no"} <= held.keys() and told.keys().isdisjoint(
        {"action", "reason", "condition", "hours"}
    )


def _of_gap(table: Table, shape: Shape, held: Mapping[str, Held]) -> float:
    """What the days between two dates of a row say: few within a job, many within a life."""
    first, last = ("fitted_on", "removed_on") if shape.name == "lives" else ("on", "until")
    if first not in held or last not in held:
        return 0.0
    days = days_between(table, held[first], held[last])
    if days is None:
        # Two dates that nothing names and nothing compares are no life.
        return 0.0 if held[last].header else -_WRONG_GAP
    if shape.name == "events":
        return -_WRONG_GAP if abs(days) > _LONG_DAYS else 0.0
    return -_WRONG_GAP if abs(days) < _SHORT_DAYS else _RIGHT_GAP * (days > _LONG_DAYS)


def _is_named(table: Table, shape: str) -> bool:
    """True where the file or the sheet has a name for such rows."""
    return not _BY_NAME[shape].isdisjoint(normal(f"{_stem(table)} {table.grid.sheet}").split())


def _stem(table: Table) -> str:
    return base_name(table.grid.file).rpartition(".")[0]


def _said_around(table: Table, shape: Shape, held: Mapping[str, Held]) -> dict[str, str]:
    """The kind or the boat of every row, where only the names and titles around the table say it.

    One of the two at most: a table that lacks both says too little.
    """
    needs_kind = ("kind",) in shape.needed and "kind" not in held
    needs_boat = ("boat", "hull_no") in shape.needed and held.keys().isdisjoint({"boat", "hull_no"})
    if needs_kind == needs_boat or shape.name == "boats":
        return {}
    if needs_kind:
        for text in _around(table):
            kind = kind_of(text)
            if kind.kind and kind.certain:
                return {"kind": kind.kind}
        return {}
    sheet = table.grid.sheet.strip()
    return {"boat": sheet} if sheet and not _is_no_name(sheet) else {}


def _around(table: Table) -> Iterator[str]:
    yield table.grid.sheet
    yield re.sub(r"[_\-.]+", " ", _stem(table))
    yield from (text for _, text in table.header.titles)


def _is_no_name(sheet: str) -> bool:
    words = normal(sheet).split()
    known = any(set(words) & names for names in _BY_NAME.values())
    return bool(_NO_NAME.fullmatch(sheet)) or known or not any(map(str.isalpha, sheet))
