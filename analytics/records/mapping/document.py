"""`mapping.toml`: how the files of a fleet are read, written for people and read back."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from difflib import get_close_matches
from typing import Any, cast

from analytics.records import setting_values as values
from analytics.records.findings import Finding, FleetError
from analytics.records.mapping.fields import SHAPES, Holds
from analytics.records.mapping.meanings import LEAVE, meanings
from analytics.records.mapping.model import FILE, DateOrder, FleetMapping, SourceMapping
from analytics.records.vocabulary.headers import plain_words

_ON_TOP = """\
# How Tideworn reads the exports in this folder.
#
# Each [[sources]] is one file, or one sheet of a workbook: which rows it holds (shape), and
# which header stands over each thing that is read. A * in a file's name stands for whatever
# changes from one export to the next. The first of the sources that names a file counts.
# Words that are not listed under [sources.words] are read by the word lists.
# Comments of your own are not kept when the program saves this file.
"""

_SHAPES = (*SHAPES, LEAVE)


def mapping_text(mapping: FleetMapping) -> str:
    """The text of `mapping.toml`: the same mapping gives the same text.

    Parameters
    ----------
    mapping : FleetMapping
    """
    return "\n".join([_ON_TOP, *map(_source_text, mapping.sources)])


def read_mapping(text: str | None) -> tuple[FleetMapping, list[Finding]]:
    """Read the text of `mapping.toml`.

    Parameters
    ----------
    text : str or None
        None where the folder has none.

    Returns
    -------
    FleetMapping
        Without what is wrong.
    list of Finding
        One per wrong or unknown entry, which is ignored.

    Raises
    ------
    FleetError
        If it is no TOML: reading on without it would read the exports in another way.
    """
    if text is None:
        return FleetMapping(), []
    try:
        table = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise FleetError.because(
            FILE,
            _line(str(error), text),
            found=str(error),
            expected="a TOML file",
            remedy="Mend the line named, or remove the file and say again how the exports "
            "are read.",
        ) from None
    return _Reader().mapping(table)


def _line(error: str, text: str) -> int | None:
    if "end of document" in error:
        return text.count("\n") + 1
    named = re.search(r"at line (\d+)", error)
    return int(named[1]) if named else None


@dataclass(frozen=True)
class HeaderChange:
    """What has changed in the headers of a file since somebody said how it is read.

    Attributes
    ----------
    missing : mapping of str to str
        Headers of columns that are read and are gone, each with the new header
        that is most like it, blank where none is.
    new : tuple of str
        Headers that were not there. Columns without a header are no news.
    """

    missing: Mapping[str, str] = field(default_factory=dict)
    new: tuple[str, ...] = ()


def changed_headers(source: SourceMapping, headers: Sequence[str]) -> HeaderChange:
    """What has changed in a file's headers since its mapping was made.

    Capitals and blanks are no change.

    Parameters
    ----------
    source : SourceMapping
    headers : sequence of str
        Those of the file now, each once.
    """
    now = {same_header(header): header for header in headers}
    read = {same_header(header): header for header in source.columns.values()}
    before = read.keys() | {same_header(header) for header in source.headers}
    missing = [header for key, header in read.items() if key not in now]
    strange = [
        header
        for key, header in now.items()
        if key not in before and not _NAMELESS.fullmatch(header)
    ]
    # A mapping written by hand may list no headers: then none can be called new.
    new = tuple(strange) if source.headers else ()
    return HeaderChange(_nearest(missing, strange), new)


def _nearest(missing: Sequence[str], strange: Sequence[str]) -> dict[str, str]:
    """For each missing header the new one most like it: by what it means, or by its letters."""
    nearest: dict[str, str] = {}
    left = list(strange)
    for header in missing:
        words = plain_words(header)
        by_letters = get_close_matches(same_header(header), map(same_header, left), 1, 0.6)
        alike = [one for one in left if words and plain_words(one) == words]
        alike += [one for one in left if same_header(one) in by_letters]
        nearest[header] = alike[0] if alike else ""
        left = [one for one in left if one != nearest[header]]
    return nearest


def same_header(header: str) -> str:
    """What is the same of headers that differ in capitals and blanks alone."""
    return " ".join(header.split()).casefold()


def _source_text(source: SourceMapping) -> str:
    form = SHAPES.get(source.shape)
    lines = ["[[sources]]", f"file = {_quoted(source.file)}"]
    if source.sheet:
        lines.append(f"sheet = {_quoted(source.sheet)}")
    lines.append(f"shape = {_quoted(source.shape)}" + (f"  # {form.row_is}" if form else ""))
    if source.order:
        lines.append(f"order = {_quoted(source.order)}")
    if source.origin:
        lines.append(f"origin = {source.origin.isoformat()}")
    if source.as_built:
        lines.append("as_built = true")
    if source.headers:
        lines += ["headers = [", *(f"    {_quoted(one)}," for one in source.headers), "]"]
    fields = list(form.by_name) if form else []

    def ordered(given: Mapping[str, Any]) -> list[str]:
        return sorted(given, key=lambda name: (fields.index(name), name))

    for title, given in (("columns", source.columns), ("fixed", source.fixed)):
        if given:
            lines += ["", f"[sources.{title}]"]
            lines += [f"{name} = {_quoted(given[name])}" for name in ordered(given)]
    for name in ordered(source.words):
        lines += ["", f"[sources.words.{name}]"]
        said = source.words[name]
        lines += [f"{_quoted(text)} = {_quoted(said[text])}" for text in sorted(said)]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    # JSON's escapes are TOML's, but for the one mark that JSON lets stand.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


class _Reader:
    """Takes known entries out of tables and notes what is wrong or left over."""

    def __init__(self) -> None:
        self.findings: list[Finding] = []

    def mapping(self, table: dict[str, Any]) -> tuple[FleetMapping, list[Finding]]:
        given = table.pop("sources", [])
        if not isinstance(given, list):
            self.ignore("sources", given, "sections [[sources]], in two pairs of brackets")
            given = []
        sources = []
        for number, one in enumerate(given, start=1):
            at = f"sources {number}"
            if not isinstance(one, dict):
                self.ignore(at, one, "a section [[sources]]")
            elif source := self.source(one, at):
                sources.append(source)
        for key, value in table.items():
            self.ignore(key, value, "only sections [[sources]]")
        return FleetMapping(tuple(sources)), self.findings

    def source(self, table: dict[str, Any], at: str) -> SourceMapping | None:
        """One file's mapping; None, and told, where its file or its shape is wrong."""
        file = self.taken(table, at, "file", _file, "")
        shape = self.taken(table, at, "shape", values.one_of(*_SHAPES), "")
        if not file or not shape:
            if not any(one.field in (f"{at}.file", f"{at}.shape") for one in self.findings):
                lacking = "shape" if file else "file"
                wanted = _FILE_IS if lacking == "file" else f"one of {', '.join(_SHAPES)}"
                self.ignore(f"{at}.{lacking}", "nothing", wanted, "The source is left out.")
            return None
        columns = self.by_field(table, at, "columns", shape)
        fixed = self.by_field(table, at, "fixed", shape)
        for name in sorted(fixed.keys() & columns.keys()):
            self.ignore(
                f"{at}.fixed.{name}",
                fixed.pop(name),
                "a field that has no column",
                "Its column is read. Remove one of the two.",
            )
        source = SourceMapping(
            file,
            shape,
            sheet=self.taken(table, at, "sheet", values.text, ""),
            headers=self.taken(table, at, "headers", values.texts, ()),
            columns=columns,
            fixed=fixed,
            words=self.words(table, at, shape),
            order=cast(DateOrder, self.taken(table, at, "order", _ORDER, "")),
            origin=self.taken(table, at, "origin", _day, None),
            as_built=self.taken(table, at, "as_built", values.flag, False),
        )
        for key, value in table.items():
            self.ignore(f"{at}.{key}", value, "an entry that Tideworn knows")
        return source

    def taken(
        self, table: dict[str, Any], at: str, key: str, check: Callable[[Any], Any], default: Any
    ) -> Any:
        if key not in table:
            return default
        value = table.pop(key)
        try:
            return check(value)
        except values.WrongValue as wrong:
            self.ignore(f"{at}.{key}", value, str(wrong))
            return default

    def by_field(self, table: dict[str, Any], at: str, key: str, shape: str) -> dict[str, str]:
        """A text by field of the shape."""
        good = {}
        for name, value in self.taken(table, at, key, values.table, {}).items():
            here = f"{at}.{key}.{name}"
            if not self.is_field(name, shape, here):
                continue
            if isinstance(value, str) and value:
                good[name] = value
            else:
                self.ignore(here, value, "a header in quotes" if key == "columns" else "a text")
        return good

    def words(self, table: dict[str, Any], at: str, shape: str) -> dict[str, dict[str, str]]:
        good: dict[str, dict[str, str]] = {}
        for name, said in self.taken(table, at, "words", values.table, {}).items():
            here = f"{at}.words.{name}"
            if not self.is_field(name, shape, here):
                continue
            if not isinstance(said, dict):
                self.ignore(here, said, 'lines such as "text" = "word"')
                continue
            allowed = _allowed(SHAPES[shape].by_name[name].holds)
            for text, means in said.items():
                if isinstance(means, str) and (allowed is None or means in allowed):
                    good.setdefault(name, {})[text] = means
                    continue
                wanted = "a word in quotes" if allowed is None else f"one of {', '.join(allowed)}"
                self.ignore(f"{here}.{text}", means, wanted)
        return good

    def is_field(self, name: str, shape: str, here: str) -> bool:
        known = SHAPES[shape].by_name if shape in SHAPES else {}
        if name in known:
            return True
        near = next(iter(get_close_matches(name, known, n=1)), None)
        remedy = f"Did you mean '{near}'?" if near else "Check the spelling, or remove the line."
        wanted = f"a field of {shape}: {', '.join(known)}" if known else "no fields in such a file"
        self.ignore(here, name, wanted, remedy)
        return False

    def ignore(
        self, key: str, value: Any, expected: str, remedy: str = "Correct it, or remove the line."
    ) -> None:
        try:
            found = str(value)[:200]
        except ValueError:  # Python prints no whole number of thousands of digits
            found = "a very large number"
        self.findings.append(
            Finding(FILE, None, key, found, expected, "ignored", remedy, "setting")
        )


_NAMELESS = re.compile(r"column \d+(?: \(\d+\))?")
_FILE_IS = "the name of a file, * for what changes in it"
_ORDER = values.one_of("day", "month", "year", "")


def _allowed(holds: Holds) -> tuple[str, ...] | None:
    """The words that a text may be said to mean, blank for nothing; None for any."""
    words = meanings(holds)
    return None if words is None else (*words, "")


def _file(value: Any) -> str:
    if not isinstance(value, str) or not value:
        raise values.WrongValue(_FILE_IS)
    return value


def _day(value: Any) -> date:
    # Days are counted from dates before any record, such as the end of 1899.
    if not isinstance(value, date) or isinstance(value, datetime):
        raise values.WrongValue("a day written without quotes, such as 1904-01-01")
    return value
