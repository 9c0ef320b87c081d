"""A fleet of five thousand boats from its files to its budget: time by stage, and peak memory.

Run `python -m pytest tests/benchmarks/test_five_thousand_boats.py --benchmark-enable -n 0 -s`, or
this file itself with a number of boats. The work is done in a process of its own, so that the
memory is that of this work alone; the fleet is invented in another, because inventing is no part
of the job. Without that option the same runs once on a few boats, in this process.
"""

from __future__ import annotations

import json
import pickle
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

MANY, FEW = 5000, 8
SEASONS, N_FUTURES = 5, 2000

MOST_SECONDS = 60.0
"""From how parts age to the budget, on two cores of 2026 (a target, no source)."""

MOST_GIGABYTES = 4.0

TO_MONEY = ("parts moved by readings", "season", "futures", "budget")
"""Stages from the curves to money."""


def stages(files: dict[str, bytes]) -> dict[str, Any]:
    """Do the whole job once, and tell the seconds and the peak memory so far of each stage."""
    from analytics import job

    told: list[tuple[str, int, int]] = []
    seconds: dict[str, float] = {}
    processor: dict[str, float] = {}
    gigabytes: dict[str, float] = {}

    def timed(name: str, call: Callable[[], Any]) -> Any:
        began, used = time.perf_counter(), time.process_time()
        found = call()
        seconds[name] = round(time.perf_counter() - began, 3)
        processor[name] = round(time.process_time() - used, 3)
        gigabytes[name] = round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6, 3)
        print(
            f"{name}: {seconds[name]:.1f} s ({processor[name]:.1f} s of a processor), "
            f"{gigabytes[name]:.2f} GB",
            file=sys.stderr,
        )
        return found

    def progress(*what: Any) -> None:
        told.append(what)

    fleet = timed("reading, lives", lambda: job.open_fleet(files, progress))
    ageing = timed("ageing", lambda: job.how_it_ages(fleet, 0, progress))
    own = timed("parts moved by readings", lambda: job.own_lives_of(fleet, ageing))
    risk = timed("season", lambda: job.boats_at_risk(fleet, ageing, own=own))
    before = len(told)
    futures = timed(
        "futures",
        lambda: job.futures_of(
            fleet, ageing, seasons=SEASONS, n_futures=N_FUTURES, own=own, progress=progress
        ),
    )
    told_of_futures = len(told) - before
    budget = timed("budget", lambda: job.budget_of(fleet, futures))
    return {
        "boats": len(risk.boats),
        "lives": len(fleet.lives.table),
        "parts": len(risk.parts),
        "renewals": len(futures.day),
        "seconds": seconds,
        "processor_seconds": processor,
        "gigabytes": gigabytes,
        "told": len(told),
        "told_of_futures": told_of_futures,
        "first_season": float(budget.fleet()["cost_mean"].iloc[0]),
    }


def in_a_process_of_its_own(boats: int) -> dict[str, Any]:
    """What `stages` tells of an invented fleet of so many boats."""
    with tempfile.TemporaryDirectory() as folder:
        written = Path(folder) / "files.pickle"
        for verb in ("invent", "work"):
            done = subprocess.run(
                [sys.executable, __file__, str(boats), verb, str(written)],
                check=True,
                stdout=subprocess.PIPE,
                cwd=Path(__file__).parents[2],
            )
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def invented(boats: int) -> dict[str, bytes]:
    from analytics.sample import invent_fleet

    files = invent_fleet(boats=boats, seed=1).files
    return {name: text.encode() for name, text in files.items() if name != "truth.json"}


@pytest.mark.benchmark(group="five thousand boats", min_rounds=1, max_time=1, warmup=False)
def test_five_thousand_boats(benchmark: BenchmarkFixture) -> None:
    boats = MANY if benchmark.enabled else FEW
    if benchmark.enabled:
        found = benchmark.pedantic(in_a_process_of_its_own, args=(boats,), rounds=1)
    else:
        found = benchmark.pedantic(stages, args=(invented(boats),), rounds=1)
    benchmark.extra_info.update(found)
    # A tenth of invented boats has left.
    assert 0.8 * boats <= found["boats"] <= boats
    assert found["told"] > found["told_of_futures"] >= 5, "long work shows progress"
    assert found["renewals"] > found["parts"] * N_FUTURES / 10
    assert found["first_season"] > 0
    if benchmark.enabled:
        assert sum(found["seconds"][name] for name in TO_MONEY) < MOST_SECONDS
        assert found["gigabytes"]["budget"] < MOST_GIGABYTES


def main() -> None:
    boats = int(sys.argv[1]) if len(sys.argv) > 1 else MANY
    if len(sys.argv) <= 2:
        print(json.dumps(in_a_process_of_its_own(boats), indent=1))
        return
    sys.path.insert(0, str(Path(__file__).parents[2]))
    verb, written = sys.argv[2], Path(sys.argv[3])
    if verb == "invent":
        written.write_bytes(pickle.dumps(invented(boats)))
    else:
        print(json.dumps(stages(pickle.loads(written.read_bytes()))))


if __name__ == "__main__":
    main()
