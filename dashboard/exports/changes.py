"""What a person says of a source, as the way in which it is read from then on; no Streamlit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from analytics.records.mapping.assigning import assign
from analytics.records.mapping.fields import SHAPES
from analytics.records.mapping.meanings import LEAVE
from analytics.records.mapping.model import DateOrder, SourceMapping
from dashboard.exports.sources import Source


def with_fields(source: Source, header: str, names: Sequence[str]) -> SourceMapping:
    """A column read as these fields; a field that another column had goes to this one."""
    before = source.mapping
    kept = {
        name: one for name, one in before.columns.items() if one != header and name not in names
    }
    columns = {**kept, **dict.fromkeys(names, header)}
    return replace(
        before,
        headers=source.headers,
        columns=columns,
        fixed={name: text for name, text in before.fixed.items() if name not in columns},
        words={name: said for name, said in before.words.items() if name in columns},
    )


def with_fixed(source: Source, name: str, text: str) -> SourceMapping:
    """The same text of a field in every row; blank takes it away."""
    before = source.mapping
    fixed = {one: said for one, said in before.fixed.items() if one != name}
    if text.strip():
        fixed[name] = text.strip()
    columns = {one: header for one, header in before.columns.items() if one not in fixed}
    return replace(before, headers=source.headers, columns=columns, fixed=fixed)


def with_words(source: Source, name: str, said: Mapping[str, str | None]) -> SourceMapping:
    """What texts of a field mean; None leaves one to the word lists."""
    words = {**source.mapping.words.get(name, {})}
    for text, word in said.items():
        words.pop(text, None)
        if word is not None:
            words[text] = word
    every = {one: texts for one, texts in source.mapping.words.items() if one != name}
    return replace(
        source.mapping, headers=source.headers, words={**every, name: words} if words else every
    )


def with_order(source: Source, order: DateOrder) -> SourceMapping:
    """What stands first in dates of three numbers."""
    return replace(source.mapping, headers=source.headers, order=order)


def as_built(source: Source, built: bool) -> SourceMapping:
    """Whether the first part of a place was there from the beginning."""
    return replace(source.mapping, headers=source.headers, as_built=built)


def with_headers_as_now(source: Source) -> SourceMapping:
    """The new names of headers that changed, and every header taken note of."""
    nearest = source.changes().missing
    columns = {name: nearest.get(header, header) for name, header in source.mapping.columns.items()}
    return replace(
        source.mapping,
        headers=source.headers,
        columns={name: header for name, header in columns.items() if header},
    )


def in_shape(source: Source, shape: str) -> SourceMapping:
    """The same file read as rows of another shape, its columns proposed anew."""
    before = source.mapping
    plain = SourceMapping(before.file, shape, before.sheet, headers=source.headers)
    proposed = [one.proposal.source for one in source.exports]
    if shape == LEAVE or not source.tables:
        return replace(plain, shape=LEAVE)
    same = next((one for one in proposed if one.shape == shape), None)
    if same is not None:
        return replace(same, file=before.file)
    held = assign(SHAPES[shape], source.tables[-1].columns)
    return replace(plain, columns={name: one.column.header for name, one in held.items()})


def suggested(source: Source) -> SourceMapping:
    """Every text that can be read, and not surely, read as the word lists guess."""
    changed = source
    for name, rows in source.unsure.items():
        guesses: dict[str, str | None] = {
            row.use.text: row.use.read_as for row in rows if row.to_look_at and row.use.read_as
        }
        if guesses:
            changed = replace(changed, mapping=with_words(changed, name, guesses))
    return changed.mapping
