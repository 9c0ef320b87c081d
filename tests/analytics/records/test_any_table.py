"""Whatever a table holds and however it is mapped: no row is lost, and order says nothing."""

from __future__ import annotations

import csv
import io
import os
import random

import pandas as pd
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from analytics import job
from analytics.records.decided.decision import Decision
from analytics.records.findings import FleetError
from tests.analytics.records.any_table import folders
from tests.analytics.records.mapped_folder import (
    SETTINGS,
    Export,
    as_csv,
    folder,
    reconciled,
)
from tests.analytics.records.test_fuzz import check_sentences

QUICK = settings(
    max_examples=int(os.environ.get("TIDEWORN_FUZZ_ROUNDS", "12")),
    # A folder takes a tenth of a second: to make a failing one small may take minutes.
    phases=[Phase.explicit, Phase.generate],
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
FLEETS = st.sampled_from([SETTINGS, "", "as_of = 2018-06-30\n[kinds.heart]\n"])


def opened(
    exports: list[Export], fleet: str, decided: tuple[Decision, ...] = ()
) -> job.Fleet | None:
    try:
        found = job.open_fleet(folder(*exports, settings=fleet, decided=decided))
    except FleetError as error:
        stopped = error.findings
    else:
        stopped = ()
    if stopped:
        assert {one.done for one in stopped} == {"stopped"}
        check_sentences(stopped)
        return None
    reconciled(found.records)
    check_sentences([*found.records.findings, *found.lives.findings])
    return found


def same(first: job.Fleet | None, again: job.Fleet | None) -> None:
    assert (first is None) == (again is None)
    if first and again:
        pd.testing.assert_frame_equal(
            first.lives.table.drop(columns="source"),
            again.lives.table.drop(columns="source"),
            check_exact=True,
        )
        pd.testing.assert_frame_equal(first.records.counts, again.records.counts)


def changed(one: Export, change: object) -> Export:
    header, *rows = csv.reader(io.StringIO(one.content.decode(), newline=""))
    return Export(one.file, as_csv(change(header, rows)), one.source)


@QUICK
@given(folders(), FLEETS)
def test_every_row_has_one_fate(exports: list[Export], fleet: str) -> None:
    found = opened(exports, fleet)
    if found:
        for one in found.records.exports:
            held = next((each for each in exports if each.file == one.place), None)
            if held:
                lines = list(csv.reader(io.StringIO(held.content.decode(), newline="")))
                # A row of no cells at all is a line end, and no row.
                assert len(one.fates) == sum(1 for cells in lines[1:] if cells)


@QUICK
@given(folders(), FLEETS, st.randoms(use_true_random=False))
def test_the_order_of_rows_and_columns_says_nothing(
    exports: list[Export], fleet: str, chance: random.Random
) -> None:
    def shuffle(header: list[str], rows: list[list[str]]) -> list[list[str]]:
        order = list(range(len(header)))
        if all(len(row) == len(header) for row in rows):
            chance.shuffle(order)
        rows = chance.sample(rows, len(rows))
        return [[row[at] for at in order if at < len(row)] for row in (header, *rows)]

    first = opened(exports, fleet)
    same(first, opened([changed(one, shuffle) for one in exports], fleet))


@QUICK
@given(folders(), FLEETS)
def test_the_same_again_and_a_decision_about_nothing(exports: list[Export], fleet: str) -> None:
    first = opened(exports, fleet)
    again = opened(exports, fleet)
    same(first, again)
    if first and again:
        pd.testing.assert_frame_equal(first.findings(), again.findings())
        assert first.records.fingerprint == again.records.fingerprint
    nobody = Decision("leave_out", file=exports[0].file).of_row(["Nobody"], ["has this"])
    strange = Decision("name", found="Nobody's Boat", read_as="Penny Wren")
    same(first, opened(exports, fleet, (nobody, strange)))
