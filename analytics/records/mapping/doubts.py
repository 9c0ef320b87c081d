"""What a person should look at before a proposed way of reading is taken."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from analytics.records.mapping.assigning import SURE, Held, evidence
from analytics.records.mapping.contents import MOST_TEXTS, Table
from analytics.records.mapping.fields import SHAPES
from analytics.records.mapping.meanings import LEAVE
from analytics.records.mapping.shapes import Choice
from analytics.records.mapping.word_lists import LISTED, read_word
from analytics.records.vocabulary.headers import header_fields
from analytics.records.vocabulary.kinds import kind_of

_SHOWN = 4

_BOTH = 0.5

_LIKELY = 0.6
"""Score of a header from which its column is worth a question, if its contents agree."""

_ENDS = frozenset({"failed", "accident"})


def doubts_of(table: Table, choice: Choice) -> Iterator[str]:
    """Plain sentences, what matters most first.

    Parameters
    ----------
    table : Table
    choice : Choice
    """
    if not table.header.known:
        yield (
            f"No row looks like headers; row {table.header.line} was taken. Set header_row in "
            "fleet.toml, or put a row of headers above the first row."
        )
    yield from _of_several_parts(table, choice)
    if choice.shape == LEAVE:
        return
    if choice.rivals:
        rivals = " or ".join(SHAPES[name].row_is for name in choice.rivals)
        yield f"A row may also be {rivals}. Is it {SHAPES[choice.shape].row_is}?"
    yield from _of_ends(table, choice)
    kind = choice.held.get("kind")
    if kind and "action" not in choice.held and kind.column.read_by("action") >= _BOTH:
        yield (
            f"'{kind.column.header}' tells what the part is and what was done; it is read for the "
            "part."
        )
    for name, text in choice.fixed.items():
        yield f"No column gives the {name}; '{text}' was taken for every row. Is that right?"
    yield from _of_headers(table, choice)
    yield from _of_dates(choice)
    for held in choice.held.values():
        if held.field.holds in LISTED:
            yield from _of_words(held)


def _of_ends(table: Table, choice: Choice) -> Iterator[str]:
    """Doubts about what the rows tell of a part's end."""
    held = choice.held
    if choice.shape == "lives":
        removed = held.get("removed_on")
        if removed is None:
            yield (
                "No column gives the date of removal: every part would count as still fitted. "
                "Is there one?"
            )
        elif "reason" not in held and removed.column.held:
            yield "No column says why parts were removed: no row would count as a failure."
        if removed and not removed.column.blank and _all_failed(held.get("reason")):
            yield _SURVIVORS
        if "fitted_on" not in held:
            yield "No column gives the date of fitting: ages cannot be known from this table."
    if choice.shape == "events":
        telling = [held[name] for name in ("action", "reason", "condition") if name in held]
        if not telling:
            yield (
                "No column says what was done or found: nothing tells a failure from upkeep. "
                "Is there one?"
            )
        elif any(_all_failed(one) for one in telling) and not _any_fitted(held.get("action")):
            yield _SURVIVORS


_SURVIVORS = (
    "Every row is a failure. Parts that did not fail must be in the records too, else lives look "
    "far too short. Is there a list of the parts that are still fitted or were removed sound?"
)


def _all_failed(held: Held | None) -> bool:
    if held is None or not held.column.held:
        return False
    known = 0
    texts = held.column.counts[:MOST_TEXTS]
    for text, _ in texts:
        word = read_word(held.field.holds, text).read_as
        if word and word not in _ENDS:
            return False
        known += bool(word)
    return 2 * known >= len(texts)


def _any_fitted(held: Held | None) -> bool:
    return held is not None and any(
        word.read_as in ("fitted", "replaced") for _, _, word in held.column.words("action")
    )


def _of_headers(table: Table, choice: Choice) -> Iterator[str]:
    """Columns taken by their contents, and columns left that bear a header as good."""
    by_contents = [one for one in choice.held.values() if not one.header]
    for one in by_contents:
        yield f"'{one.column.header}' is taken for {one.field.says}, by its contents alone."
    shape = SHAPES[choice.shape]
    read = {one.column.place for one in choice.held.values()}
    unread = [column for column in table.columns if column.place not in read and column.held]
    for column in unread:
        for name, score in header_fields(column.header, shape)[:1]:
            field, other = shape.by_name[name], choice.held.get(name)
            share = evidence(field, column, score)
            if other is not None and (score >= SURE or (score >= _LIKELY and (share or 0) > 0.5)):
                yield (
                    f"'{column.header}' may also be {field.says}; '{other.column.header}' was "
                    "taken. Only one of them is read."
                )
            elif score >= SURE and other is None:
                yield (
                    f"'{column.header}' is not read as {field.says}, as its contents do not go "
                    f"with that: {_listed(column.examples)}."
                )


def _of_several_parts(table: Table, choice: Choice) -> Iterator[str]:
    read = {one.column.place for one in choice.held.values()}
    parts = [
        column.header
        for column in table.columns
        if column.place not in read and column.held and kind_of(column.header).kind
    ]
    if len(parts) > 1:
        yield (
            f"The headers {_listed(parts)} name parts: does a row tell of several? Only lists "
            "with one part on a row are read."
        )


def _of_dates(choice: Choice) -> Iterator[str]:
    columns = [one.column for one in choice.held.values() if one.field.holds == "date"]
    unclear = [
        column for column in columns if column.style[1].open.count and not column.style[0].order
    ]
    # Dates of one file are written alike: a column that decides does so for the others.
    decided = {column.style[0].order for column in columns} & {"day", "month"}
    if unclear and len(decided) != 1:
        names = _listed(column.header for column in unclear)
        example = unclear[0].style[1].open.example
        why = "contradict each other" if any(c.style[1].mixed for c in unclear) else "do not say"
        yield (
            f"Is {example} day-month or month-day? The dates in {names} {why}; set order, or both "
            "readings are kept."
        )


def _of_words(held: Held) -> Iterator[str]:
    words = held.column.words(held.field.holds)
    unread = [text for text, _, word in words if not word.read_as and not word.certain]
    unsure = [text for text, _, word in words if word.read_as and not word.certain]
    name = f"'{held.column.header}'"
    if unread:
        yield (
            f"{_texts(unread)} in {name} cannot be read as {held.field.says}: {_listed(unread)}."
        )
    if unsure:
        yield f"{_texts(unsure)} in {name} can be read, and not surely: {_listed(unsure)}."


def _texts(texts: Sequence[str]) -> str:
    return "1 text" if len(texts) == 1 else f"{len(texts)} texts"


def _listed(texts: Iterable[str]) -> str:
    every = list(texts)
    shown = ", ".join(f"'{text[:60]}'" for text in every[:_SHOWN])
    return f"{shown}, …" if len(every) > _SHOWN else shown
