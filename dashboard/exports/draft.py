"""What a visitor has brought in and said of it, before anybody accepts it; no Streamlit."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from analytics import intake
from analytics.records.decided.decision import Decision, Decisions
from analytics.records.decided.document import read_decisions
from analytics.records.files.names import DECISIONS, MAPPING, base_name, is_lock, is_read
from analytics.records.files.names import is_resource_fork as is_fork
from analytics.records.findings import Finding, FleetError
from analytics.records.mapping.document import read_mapping
from analytics.records.mapping.model import FleetMapping, SourceMapping


@dataclass(frozen=True)
class Given:
    """The files that the sidebar names, whether or not they can be read as a fleet.

    Attributes
    ----------
    files : mapping of str to bytes
        Empty where there are none.
    folder : Path or None
        Where they lie; None for files uploaded in place of a folder, and where
        there is no such folder.
    error : FleetError or None
        Why there are none.
    """

    files: Mapping[str, bytes] = field(default_factory=dict)
    folder: Path | None = None
    error: FleetError | None = None

    @property
    def place(self) -> str:
        """What drafts are kept by."""
        return str(self.folder) if self.folder else ""


@dataclass(frozen=True)
class Draft:
    """What is not accepted yet.

    Attributes
    ----------
    brought : mapping of str to bytes
        Files brought in, by their plain names.
    sources : tuple of SourceMapping
        Said on the page, in place of what is saved or proposed.
    decided : tuple of Decision
    taken_back : frozenset
        Questions of saved decisions that were taken back.
    """

    brought: Mapping[str, bytes] = field(default_factory=dict)
    sources: tuple[SourceMapping, ...] = ()
    decided: tuple[Decision, ...] = ()
    taken_back: frozenset[tuple[str, ...]] = frozenset()

    @property
    def empty(self) -> bool:
        """True where nothing waits to be accepted."""
        return not (self.brought or self.sources or self.decided or self.taken_back)

    def with_source(self, source: SourceMapping) -> Draft:
        """The same, with a file or sheet read in this way."""
        return replace(self, sources=intake.replaced(FleetMapping(self.sources), source).sources)

    def with_decision(self, decision: Decision) -> Draft:
        """The same, with one decision more."""
        kept = (one for one in self.decided if one.question != decision.question)
        return replace(
            self,
            decided=(*kept, decision),
            taken_back=self.taken_back - {decision.question},
        )

    def without_decision(self, decision: Decision) -> Draft:
        """The same, with a decision taken back, be it saved or not."""
        kept = tuple(one for one in self.decided if one.question != decision.question)
        return replace(self, decided=kept, taken_back=self.taken_back | {decision.question})

    def with_files(self, files: Mapping[str, bytes]) -> Draft:
        """The same, with more files; one of the same name takes the other's place."""
        names = {name.casefold() for name in files}
        kept = {
            name: content for name, content in self.brought.items() if name.casefold() not in names
        }
        return replace(self, brought={**kept, **files})

    def without_file(self, name: str) -> Draft:
        """The same, without a file brought in."""
        return replace(
            self, brought={one: content for one, content in self.brought.items() if one != name}
        )


@dataclass(frozen=True)
class Refused:
    """A file that cannot be brought in, and why, as words behind a colon."""

    name: str
    why: str


def named(files: Iterable[tuple[str, bytes]]) -> tuple[dict[str, bytes], list[Refused]]:
    """Uploaded files by their plain names, and those that cannot be used."""
    kept: dict[str, bytes] = {}
    refused: list[Refused] = []
    names: dict[str, str] = {}
    for path, content in files:
        name = base_name(path)
        if is_lock(name) or is_fork(name):
            continue  # laid there by another program; nothing in it
        if not is_read(name):
            refused.append(Refused(name, "not a kind of file that is read here"))
        elif ":" in name or not name.isprintable() or name.startswith("."):
            refused.append(Refused(name, "its name has marks that no file here may have"))
        elif kept.get(names.get(name.casefold(), ""), content) != content:
            kept.pop(names[name.casefold()], None)
            refused.append(Refused(name, "two different files of this name; bring in one of them"))
        elif name.casefold() not in names:
            names[name.casefold()] = name
            kept[name] = content
    return kept, refused


@dataclass(frozen=True)
class Desk:
    """Everything on the page: what is there, what was brought, what was said.

    Attributes
    ----------
    given : Given
    draft : Draft
    files : mapping of str to bytes
        Without what says how they are read and what was decided.
    saved : FleetMapping
    decisions : Decisions
        Those in force: saved and added.
    saved_decisions : Decisions
    told : tuple of Finding
        What is wrong in what is saved.
    """

    given: Given
    draft: Draft
    files: Mapping[str, bytes]
    saved: FleetMapping
    saved_decisions: Decisions
    told: tuple[Finding, ...] = ()

    @property
    def decisions(self) -> Decisions:
        """Those saved that were not taken back, and those added."""
        kept = [
            one
            for one in self.saved_decisions.entries
            if not (isinstance(one, Decision) and one.question in self.draft.taken_back)
        ]
        decisions = replace(self.saved_decisions, entries=tuple(kept))
        for one in self.draft.decided:
            decisions = decisions.with_(one)
        return decisions

    def mapping(self, proposed: Sequence[SourceMapping]) -> FleetMapping:
        """How the files are read: as saved, as said here, and else as proposed.

        Parameters
        ----------
        proposed : sequence of SourceMapping
            For each file or sheet that nothing was said of.
        """
        mapping = self.saved
        for source in (*self.draft.sources, *proposed):
            mapping = intake.replaced(mapping, source)
        return mapping

    def as_read(self, mapping: FleetMapping) -> dict[str, bytes]:
        """The files as they are to be read; what is saved stays as it is where nothing changed."""
        files = {**self.files, **self.own(mapping)}
        return {name: files[name] for name in sorted(files)}

    def own(self, mapping: FleetMapping) -> dict[str, bytes]:
        """`mapping.toml` and `decisions.toml`, where there is anything to say in them.

        Raises
        ------
        FleetError
            If the saved decisions could not be read, so that they would be lost.
        """
        saved = dict(self._own_files)
        if mapping != self.saved:
            saved[MAPPING] = intake.with_mapping({}, mapping)[MAPPING]
        if self.decisions != self.saved_decisions:
            saved[DECISIONS] = intake.with_decisions({}, self.decisions)[DECISIONS]
        return saved

    @property
    def _own_files(self) -> Mapping[str, bytes]:
        return own_files(together(self.given.files, self.draft.brought))

    def instead_of(self) -> dict[str, bytes]:
        """Files of the folder of which another version was brought in, as they are there."""
        brought = {name.casefold(): content for name, content in self.draft.brought.items()}
        return {
            name: content
            for name, content in self.given.files.items()
            if brought.get(name.casefold(), content) != content
        }

    def own_of_folder(self) -> dict[str, bytes]:
        """What the folder says of how its files are read and what was decided, by its names."""
        return {
            name: content
            for name, content in self.given.files.items()
            if name.lower() in (MAPPING, DECISIONS)
        }

    def to_write(self, own: Mapping[str, bytes]) -> dict[str, bytes]:
        """Files brought in, and our own, under the names that the folder has for them."""
        there = {name.casefold(): name for name in self.given.files}
        return {
            there.get(name.casefold(), name): content
            for name, content in {**self.draft.brought, **own}.items()
            if name in own or name.casefold() not in (MAPPING, DECISIONS)
        }


def desk(given: Given, draft: Draft) -> Desk:
    """What is there and what was brought, put together.

    Raises
    ------
    FleetError
        If `mapping.toml` cannot be read.
    """
    files = together(given.files, draft.brought)
    own = own_files(files)
    saved, of_mapping = read_mapping(intake.text_in(own, MAPPING))
    decisions, of_decisions = _decisions_of(own)
    tables = {name: one for name, one in files.items() if name.lower() not in (MAPPING, DECISIONS)}
    return Desk(given, draft, tables, saved, decisions, (*of_mapping, *of_decisions))


def together(there: Mapping[str, bytes], brought: Mapping[str, bytes]) -> dict[str, bytes]:
    """The files of a folder with those brought in, which take the place of others of their name."""
    known = {name.casefold(): name for name in there}
    return {**there, **{known.get(name.casefold(), name): one for name, one in brought.items()}}


def own_files(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """`mapping.toml` and `decisions.toml` among the files."""
    return {
        name.lower(): content
        for name, content in files.items()
        if name.lower() in (MAPPING, DECISIONS)
    }


def packed(files: Mapping[str, bytes]) -> bytes:
    """Files as a zip archive: the same files give the same bytes."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(files):
            archive.writestr(zipfile.ZipInfo(name), files[name])
    return made.getvalue()


def _decisions_of(own: Mapping[str, bytes]) -> tuple[Decisions, list[Finding]]:
    try:
        return read_decisions(intake.text_in(own, DECISIONS))
    except FleetError as error:
        return Decisions(complete=False), [replace(one, done="ignored") for one in error.findings]
