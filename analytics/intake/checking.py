"""Whether a decision can be meant: a field and a word that exist, a text that stands somewhere."""

from __future__ import annotations

from collections.abc import Mapping

from analytics.job import Fleet, open_fleet
from analytics.records.decided.decision import Decision
from analytics.records.decided.marks import same_text
from analytics.records.files.names import DECISIONS, SETTINGS
from analytics.records.files.sources import all_grids
from analytics.records.findings import FleetError
from analytics.records.kinds import KINDS
from analytics.records.mapping.meanings import NOT_OURS, meanings
from analytics.records.mapping.word_lists import LISTED
from analytics.records.settings import read_settings
from analytics.records.spelling import Spelling
from analytics.records.tables import as_word


def check_decision(files: Mapping[str, bytes], decision: Decision) -> int:
    """How many cells a decision about a name or a word is about.

    Parameters
    ----------
    files : mapping of str to bytes
        The fleet folder.
    decision : Decision
        What is a name or a word.

    Raises
    ------
    FleetError
        If the field, the word or the boat it is read as does not exist.
    """
    if decision.what == "word":
        _check_word(files, decision)
    else:
        _check_name(files, decision)
    wanted = same_text(decision.found)
    return sum(
        same_text(cell) == wanted
        for grid in all_grids(files)
        for _, cells in grid.rows()
        for cell in cells
        if cell
    )


def _check_word(files: Mapping[str, bytes], decision: Decision) -> None:
    if decision.field not in LISTED:
        hint = Spelling(LISTED, 0.6).hint(decision.field)
        raise _wrong("field", decision.field, f"one of {', '.join(sorted(LISTED))}", hint)
    if decision.field == "kind":
        text = next((one for name, one in files.items() if name.lower() == SETTINGS), None)
        settings, _ = read_settings(None if text is None else text.decode("utf-8-sig", "replace"))
        allowed: tuple[str, ...] = (*sorted({*KINDS, *settings.kinds}), NOT_OURS)
        read_as = [as_word(one) for one in decision.read_as.split(";")]
    else:
        allowed = meanings(decision.field) or ()
        read_as = [as_word(decision.read_as)]
    for word in read_as:
        if word not in allowed:
            hint = Spelling(allowed, 0.6).hint(word)
            more = " A kind of your own needs a [kinds.NAME] in fleet.toml first."
            hint += more if decision.field == "kind" else ""
            raise _wrong("read_as", word, f"one of {', '.join(allowed)}", hint)


def _check_name(files: Mapping[str, bytes], decision: Decision) -> None:
    try:
        fleet: Fleet = open_fleet(files)
    except FleetError:
        return  # the boats are not known yet
    boats = fleet.records.tables["boats.csv"]["boat"]
    if decision.read_as not in set(boats):
        hint = Spelling(boats, 0.6).hint(decision.read_as)
        raise _wrong("read_as", decision.read_as, "a boat of the fleet", hint)


def _wrong(field: str, found: str, expected: str, hint: str) -> FleetError:
    return FleetError.because(
        DECISIONS,
        field=field,
        found=found,
        expected=expected,
        remedy=f"{hint.strip()} Nothing was saved.".strip(),
    )
