"""Which column holds which field of a shape: by its header, and never against its contents."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from analytics.records.mapping.contents import Contents
from analytics.records.mapping.fields import Field, Shape
from analytics.records.vocabulary.headers import header_fields

_BY_HEADER, _BY_CONTENTS = 0.7, 0.3
"""What header and contents are worth; together 1."""

SURE = 0.9
"""Headers from this score on are believed where the contents say nothing of their own, as with
codes that nobody has explained yet."""

_MOSTLY, _SOME, _FEW = 0.5, 0.3, 0.15
_CODES = 15
"""Different texts that a column of coded reasons or sides may hold."""

_FIRST_DATES = {
    "lives": "fitted_on",
    "events": "on",
    "issued": "on",
    "hours": "read_on",
    "readings": "read_on",
    "lifts": "lifted_on",
}
"""What a column of dates holds whose header says nothing."""

# By contents alone: the share of its cells that must be read, and what that is worth.
_BY_CONTENTS_ALONE = {
    "kind": (0.7, 0.45),
    "position": (0.8, 0.45),
    "action": (0.8, 0.36),
    "reason": (0.8, 0.34),
}

_ANYWHERE = frozenset({"person", "note", "invoice_on", "price", "quantity", "job", "currency"})
"""Fields that say little of the shape, as tables of any sort have them."""

_NAMES = frozenset({"boat", "was_named", "to_boat", "base", "yard", "model", "person"})


@dataclass(frozen=True)
class Held:
    """A column and the field that it holds.

    Attributes
    ----------
    field : Field
    column : Contents
    score : float
        How sure, from 0 to 1.
    header : float
        How surely the header says so, 0 where only the contents do.
    """

    field: Field
    column: Contents
    score: float
    header: float

    def why(self) -> str:
        """The reasons in plain words."""
        name = f"'{self.column.header}'"
        if self.header >= SURE:
            said = f"The header {name} says so"
        elif self.header:
            said = f"The header {name} may say so"
        else:
            said = f"The header {name} says nothing"
        share = evidence(self.field, self.column, self.header)
        if not self.column.held:
            return f"{said}; the column is blank."
        if share is None:
            known = " and it holds names of boats" if not self.header else ""
            return f"{said}{known}."
        joined = ", but" if (share < _MOSTLY) == (self.header >= SURE) else ", and"
        return (
            f"{said}{joined} {share:.0%} of its cells can be read as {_READ_AS[self.field.holds]}."
        )


_READ_AS = {
    "date": "dates",
    "number": "numbers",
    "size": "sizes",
    "kind": "parts",
    "position": "sides",
    "reason": "reasons",
    "action": "work done",
    "condition": "conditions",
    "found": "places where it was found",
    "lay_up": "ashore or afloat",
    "water": "kinds of water",
}


def assign(
    shape: Shape, columns: Sequence[Contents], boats: frozenset[str] = frozenset()
) -> dict[str, Held]:
    """The column of each field, each column for one field at most.

    Parameters
    ----------
    shape : Shape
    columns : sequence of Contents
    boats : frozenset of str
        Names of boats known from other tables, in small letters.

    Returns
    -------
    dict of str to Held
        The surest pair first, then the surest of what is left; among equals
        the field that stands first in the shape, and the column further left.
    """
    pairs = [pair for column in columns for pair in _pairs(shape, column, boats)]
    places = {field.name: place for place, field in enumerate(shape.fields)}
    pairs.sort(key=lambda one: (-one.score, places[one.field.name], one.column.place))
    held: dict[str, Held] = {}
    taken: set[int] = set()
    for pair in pairs:
        if pair.field.name not in held and pair.column.place not in taken:
            held[pair.field.name] = pair
            taken.add(pair.column.place)
    return _with_what_is_needed(shape, held)


def worth(held: Mapping[str, Held]) -> float:
    """How much of a table an assignment explains."""
    return sum(one.score * (0.3 if name in _ANYWHERE else 1.0) for name, one in held.items())


def evidence(field: Field, column: Contents, header: float) -> float | None:
    """Share of the cells that can be what the field holds; None where any text can."""
    match field.holds:
        case "text":
            return None
        case "date":
            # A plain number is a year or a number of days only under a header that says date.
            return column.dates_or_figures if header >= SURE - 0.25 else column.dates
        case "number":
            return column.numbers
        case "size":
            return column.sizes
        case _:
            return column.read_by(field.holds)


def _pairs(shape: Shape, column: Contents, boats: frozenset[str]) -> Iterator[Held]:
    said = dict(header_fields(column.header, shape))
    for field in shape.fields:
        header = said.get(field.name, 0.0)
        if header:
            contents = _agreement(field, column, header, boats)
            if contents is not None:
                score = _BY_HEADER * header + _BY_CONTENTS * contents
                yield Held(field, column, round(score, 6), header)
        elif column.held and (score := _by_contents(shape, field, column, boats)):
            yield Held(field, column, round(score, 6), 0.0)


def _agreement(
    field: Field, column: Contents, header: float, boats: frozenset[str]
) -> float | None:
    """How well the contents go with the field, None where they contradict it."""
    if not column.held:
        return 0.0 if header >= SURE else None
    share = evidence(field, column, header)
    if share is None:
        return _of_text(field, column, header, boats)
    if field.holds in ("date", "number", "size"):
        return share if share >= _MOSTLY else None
    coded = header >= SURE and column.distinct <= _CODES
    if column.dates > _MOSTLY:
        return None
    if column.numbers > _MOSTLY and not coded and share < _MOSTLY:
        return None
    if field.holds in ("found", "lay_up", "water"):
        return share if share >= _SOME else None
    if field.holds == "position":
        return share if share >= _SOME or coded else None
    return share if share >= _FEW or header >= SURE else None


def _of_text(field: Field, column: Contents, header: float, boats: frozenset[str]) -> float | None:
    # Lots are often date codes, and remarks may hold anything.
    if column.dates > _MOSTLY and field.name not in ("lot", "note"):
        return None
    if field.name in _NAMES and column.numbers > _MOSTLY and header < SURE:
        return None
    if field.name == "boat" and boats:
        return max(0.4, column.among(boats))
    if field.name == "note":
        return min(1.0, column.length / 25)
    return 0.6


def _by_contents(shape: Shape, field: Field, column: Contents, boats: frozenset[str]) -> float:
    """What the contents alone are worth for a field that the header does not name."""
    if field.name == "boat":
        return 0.5 if column.among(boats) >= 0.6 else 0.0
    if field.name == _FIRST_DATES.get(shape.name):
        return 0.35 if column.dates >= 0.8 else 0.0
    if field.name == "removed_on":
        return 0.2 if column.dates >= 0.8 else 0.0
    if field.holds != field.name or column.numbers >= _MOSTLY:
        return 0.0
    least, value = _BY_CONTENTS_ALONE.get(field.name, (2.0, 0.0))
    share = column.read_by(field.holds) if least <= 1 else 0.0
    return value * share if share >= least else 0.0


def _with_what_is_needed(shape: Shape, held: dict[str, Held]) -> dict[str, Held]:
    """The assignment, the kind read from a column of free text where it has none of its own."""
    if "kind" in held or ("kind",) not in shape.needed:
        return held
    field = shape.by_name["kind"]
    coded = held.get("part_no")
    if coded and coded.column.distinct <= min(_CODES, coded.column.held / 2):
        # Stock numbers are many; a few that come again and again are codes of kinds.
        best, header = coded, coded.header
    else:
        texts = [one for name, one in held.items() if name in _FREE_TEXT and _names_parts(one)]
        if not texts:
            return held
        best = max(texts, key=lambda one: (one.column.read_by("kind"), -one.column.place))
        header = 0.0
    kept = {name: one for name, one in held.items() if one is not best}
    share = best.column.read_by("kind")
    score = round(_BY_HEADER * header * _CODED + _BY_CONTENTS * share, 6)
    return {**kept, "kind": Held(field, best.column, score, header * _CODED)}


_FREE_TEXT = ("action", "note", "reason", "condition")
_CODED = 0.8


def _names_parts(held: Held) -> bool:
    return held.column.read_by("kind") >= 0.4
