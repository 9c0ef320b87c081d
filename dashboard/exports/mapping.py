"""How each file or sheet is read: shape, columns, words, and what to look at."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import streamlit as st

from analytics.papers.masking import masked
from analytics.records.mapping.fields import SHAPES, Field
from analytics.records.mapping.meanings import LEAVE
from analytics.records.mapping.model import SourceMapping
from dashboard import words
from dashboard.exports import changes as changes
from dashboard.exports import sources as reading
from dashboard.exports import state as state
from dashboard.exports import tables as tables
from dashboard.exports import words as says
from dashboard.exports.sources import Source, WordRow

MOST_WORDS = 12
"""Unsure texts of a field that have a box of their own; the table below holds them all."""

_BY_LIST = "by the word list"
_UNSAID = "\x1funsaid"
"""Stands in a box for a word of which nobody has said anything; a box that holds None is blank."""


def show(sources: Sequence[Source], kinds: Iterable[str]) -> None:
    """Draw it for the source chosen."""
    looks = {one.key: one.to_look_at for one in sources}
    by_key = {one.key: one for one in sources}
    chosen = st.session_state.get("exports source")
    if chosen not in by_key:
        chosen = max(by_key, key=lambda key: looks[key])  # what needs a person comes first
    # Set anew each time: a box goes on showing what it showed where its words change.
    st.session_state["exports source"] = chosen
    key = st.selectbox(
        "File or sheet",
        list(by_key),
        format_func=lambda key: says.source(by_key[key], looks[key]),
        key="exports source",
    )
    source = by_key[key]
    if source.cannot_be_read:
        st.warning(words.plain(source.cannot_be_read))
        return
    _changed(source)
    shape = source.mapping.shape
    st.selectbox(
        "What a row of it is",
        [*SHAPES, LEAVE],
        format_func=says.row_is,
        **state.bound(
            f"exports shape {key}",
            shape,
            lambda chosen: _say(changes.in_shape(source, chosen)),
        ),
    )
    if source.shape is None:
        if source.proposed:
            st.caption(words.plain(source.exports[0].proposal.reasons.get("shape", "")))
        return
    if lacking := source.lacking():
        st.warning(says.lacking(lacking))
    if doubts := source.doubts():
        people = tables.people_in_source(source)
        told = [f"- {words.plain(masked(one, people))}" for one in doubts]
        st.markdown("\n".join(["**To look at**\n", *told]))
    _unsure(source, list(kinds))
    with st.expander(
        f"Columns: {len(source.mapping.columns)} things read", expanded=not source.saved
    ):
        st.caption(says.COLUMNS_LEAD)
        _columns(source)
        st.divider()
        _besides(source)
    if fields := reading.word_fields(source):
        with st.expander("Every word, and what it is read as"):
            _all_words(source, fields, list(kinds))


def _say(source: SourceMapping) -> None:
    state.keep(state.draft().with_source(source))


def _changed(source: Source) -> None:
    change = source.changes()
    if change.missing or change.new:
        st.warning(says.changed(change))
        st.button(
            "Take the headers as they are now",
            on_click=lambda: _say(changes.with_headers_as_now(source)),
            key=f"exports headers {source.key}",
        )


def _columns(source: Source) -> None:
    assert source.shape is not None
    by_name = source.shape.by_name
    people = tables.people_in_source(source)
    for header, column in source.columns.items():
        names = [name for name in source.fields_of(header) if name in by_name]
        told, chosen = st.columns([2, 3], vertical_alignment="center")
        with told:
            some = tables.samples(column, people, of_persons="person" in names)
            st.markdown(f"**{words.plain(header)}**  \n:small[{words.plain(some)}]")
        with chosen:
            for at in range(max(1, len(names))):
                _column(source, header, names, at)
            if reasons := [one for name in names if (one := source.reason(name))]:
                st.caption(words.plain(masked(" ".join(reasons), people)))
    _more_of_a_column(source)


def _column(source: Source, header: str, names: list[str], at: int) -> None:
    """The box for one thing that a column is read as."""
    assert source.shape is not None
    by_name, columns = source.shape.by_name, source.mapping.columns
    elsewhere = {name: one for name, one in columns.items() if one != header}

    def save(name: str) -> None:
        kept = [one for place, one in enumerate(names) if place != at and one != name]
        _say(changes.with_fields(source, header, [*kept, name] if name else kept))

    st.selectbox(
        words.plain(header),
        ["", *by_name],
        format_func=lambda name: (
            says.field(by_name[name], elsewhere.get(name, "")) if name else says.NOT_READ
        ),
        label_visibility="collapsed",
        **state.bound(
            f"exports column {source.key} {header}{f' {at}' if at else ''}",
            names[at] if names else "",
            save,
        ),
    )


def _more_of_a_column(source: Source) -> None:
    """For a column that says several things, such as a remark."""
    assert source.shape is not None
    by_name = source.shape.by_name
    column_key, field_key = f"exports more {source.key}", f"exports more of {source.key}"

    def add() -> None:
        header, name = st.session_state[column_key], st.session_state[field_key]
        if header and name:
            _say(changes.with_fields(source, header, [*source.fields_of(header), name]))
            st.session_state[column_key] = st.session_state[field_key] = None

    which, what = st.columns([2, 3])
    which.selectbox(
        "A column that says something more",
        [header for header in source.columns if source.fields_of(header)],
        index=None,
        placeholder="which",
        key=column_key,
        on_change=add,
    )
    what.selectbox(
        "What it says besides",
        [name for name in by_name if name not in source.mapping.columns],
        index=None,
        format_func=lambda name: says.says(by_name[name].says),
        placeholder="what",
        key=field_key,
        on_change=add,
    )


def _besides(source: Source) -> None:
    """What no column says: dates, and texts that are the same in every row."""
    assert source.shape is not None
    key, by_name = source.key, source.shape.by_name
    if any(by_name[name].holds == "date" for name in source.mapping.columns if name in by_name):
        st.radio(
            "In dates such as 03/04/19 there stands",
            list(says.ORDERS),
            format_func=lambda order: says.ORDERS[order],
            horizontal=True,
            **state.bound(
                f"exports order {key}",
                source.mapping.order,
                lambda order: _say(changes.with_order(source, order)),
            ),
        )
    if source.mapping.shape in ("lives", "events"):
        st.checkbox(
            says.AS_BUILT,
            help=says.AS_BUILT_HELP,
            **state.bound(
                f"exports built {key}",
                source.mapping.as_built,
                lambda built: _say(changes.as_built(source, built)),
            ),
        )
    left = [name for name in by_name if name not in source.mapping.columns]
    for name in source.mapping.fixed:
        if name in by_name:
            _fixed(source, name)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        chosen = st.selectbox(
            "The same in every row",
            [name for name in left if name not in source.mapping.fixed],
            index=None,
            format_func=lambda name: says.says(by_name[name].says),
            placeholder="something that no column says",
            key=f"exports fixed {key}",
        )
    if chosen:
        _fixed(source, chosen)


def _fixed(source: Source, name: str) -> None:
    assert source.shape is not None
    st.text_input(
        f"{says.says(source.shape.by_name[name].says)}, in every row",
        **state.bound(
            f"exports text {source.key} {name}",
            source.mapping.fixed.get(name, ""),
            lambda text: _say(changes.with_fixed(source, name, text)),
        ),
    )


def _unsure(source: Source, kinds: list[str]) -> None:
    """Texts that a word list cannot read surely, each with a box."""
    if not source.unsure:
        return
    by_name = {field.name: field for field in reading.word_fields(source)}
    st.markdown("**Words that are not sure**")
    guessed = sum(
        bool(row.use.read_as) and row.to_look_at for rows in source.unsure.values() for row in rows
    )
    if guessed:
        st.button(
            f"Read {guessed} as suggested",
            on_click=lambda: _say(changes.suggested(source)),
            key=f"exports suggested {source.key}",
        )
    for name, rows in source.unsure.items():
        boxes = st.columns(2)
        for at, row in enumerate(rows[:MOST_WORDS]):
            with boxes[at % 2]:
                _word(source, by_name[name], row, kinds)
        if len(rows) > MOST_WORDS:
            st.caption(f"{len(rows) - MOST_WORDS} more in the table of every word, below.")


def _word(source: Source, field: Field, row: WordRow, kinds: list[str]) -> None:
    text = row.use.text
    shown = masked(text, tables.people_in_source(source))
    options = [_UNSAID, *reading.word_options(field, kinds)]
    if row.said is not None and row.said not in options:
        options.append(row.said)
    unsaid = says.unsaid(row.use.read_as)
    st.selectbox(
        says.text_means(shown, row.use.times, source.mapping.columns[field.name]),
        options,
        format_func=lambda word: unsaid if word == _UNSAID else says.word(word),
        **state.bound(
            f"exports word {source.key} {field.name} {text}",
            _UNSAID if row.said is None else row.said,
            lambda word: _say(
                changes.with_words(source, field.name, {text: None if word == _UNSAID else word})
            ),
        ),
    )


def _all_words(source: Source, fields: Sequence[Field], kinds: list[str]) -> None:
    by_name = {field.name: field for field in fields}
    name = st.selectbox(
        "Words for",
        list(by_name),
        format_func=lambda name: says.says(by_name[name].says),
        key=f"exports words of {source.key}",
    )
    field = by_name[name]
    rows = reading.word_rows(source, field)
    names: dict[str, str | None] = {_BY_LIST: None}
    names |= {says.word(word): word for word in reading.word_options(field, kinds)}
    base = tables.word_table(rows, _BY_LIST, tables.people_in_source(source))
    turn = st.session_state.get("exports turn", 0)
    edited = st.data_editor(
        base,
        column_config={
            "Read as": st.column_config.SelectboxColumn(options=list(names), required=True)
        },
        disabled=[column for column in base.columns if column != "Read as"],
        hide_index=True,
        key=f"exports editor {turn} {source.key} {name}",
    )
    said: dict[str, str | None] = {
        row.use.text: names.get(word, word)
        for row, word, before in zip(rows, edited["Read as"], base["Read as"], strict=True)
        if word != before
    }

    def save() -> None:
        st.session_state["exports turn"] = turn + 1
        _say(changes.with_words(source, name, said))

    st.button(
        f"Read {len(said)} of them so" if said else "Read them so",
        disabled=not said,
        on_click=save,
        key=f"exports save words {source.key}",
    )
