"""A million rows of jobs read, checked and put together, beside pandas reading the same bytes.

Run `python -m pytest tests/benchmarks/test_million_jobs.py --benchmark-enable -n 0`; the bracket
is the ratio to `pandas.read_csv`. Without that option it runs once on two thousand rows.
"""

from __future__ import annotations

import io
import resource
from datetime import date, timedelta
from functools import cache
from random import Random

import pandas as pd
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from analytics import job

MILLION = 1_000_000
FEW = 2_000

MAPPING = """
[[sources]]
file = "jobs.csv"
shape = "events"
[sources.columns]
job = "Job no"
on = "Date"
boat = "Yacht"
kind = "Part"
action = "Work done"
reason = "Reason"
hours = "Engine hours"
note = "Notes"
"""


@cache
def jobs(rows: int) -> bytes:
    """An invented list of jobs in no order: 48 a boat, over kinds, works and reasons."""
    chance = Random(1)
    begin = date(2012, 1, 1)
    lines: list[str] = []
    for boat in range(rows // 48 + 1):
        for kind in ("Bellows", "Face seal", "Cutless bearing", "Lip seal"):
            day = begin + timedelta(days=chance.randint(0, 200))
            for _ in range(12):
                work = chance.choice(["renewed", "inspected", "renewed", "greased", "fitted"])
                why = chance.choice(["leaking", "by age", "while we were there", ""])
                lines.append(
                    f"{len(lines)},{day:%d/%m/%Y},Boat {boat},{kind},{work},"
                    f"{why if work == 'renewed' else ''},{1000 + (day - begin).days},see card\n"
                )
                day += timedelta(days=chance.randint(60, 400))
    lines = lines[:rows]
    chance.shuffle(lines)
    header = "Job no,Date,Yacht,Part,Work done,Reason,Engine hours,Notes\n"
    return (header + "".join(lines)).encode()


def rows_for(benchmark: BenchmarkFixture) -> int:
    return MILLION if benchmark.enabled else FEW


@pytest.mark.benchmark(group="a million jobs", min_rounds=1, max_time=1, warmup=False)
def test_a_million_jobs(benchmark: BenchmarkFixture) -> None:
    rows = rows_for(benchmark)
    files = {
        "jobs.csv": jobs(rows),
        "mapping.toml": MAPPING.encode(),
        "fleet.toml": b"as_of = 2026-10-31\n",
    }
    told: list[tuple[str, int, int]] = []
    fleet = benchmark.pedantic(
        job.open_fleet,
        args=(files, lambda *progress: told.append(progress)),
        rounds=1,
    )
    benchmark.extra_info["peak memory, GB"] = round(
        resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6, 2
    )
    assert int(fleet.records.counts["rows_read"].sum()) == rows
    assert len(fleet.lives.table) > rows / 3
    assert told, "long work shows progress"


@pytest.mark.benchmark(group="a million jobs", min_rounds=1, max_time=1, warmup=False)
def test_peer_pandas_reads_the_same_bytes(benchmark: BenchmarkFixture) -> None:
    content = jobs(rows_for(benchmark))
    table = benchmark.pedantic(lambda: pd.read_csv(io.BytesIO(content)), rounds=1)
    assert len(table) == rows_for(benchmark)
