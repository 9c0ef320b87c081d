"""How often the coming season's failures and spend fall inside their intervals. Run by hand:

    python tests/benchmarks/money_coverage.py --fleets 200 --jobs 2

prints Markdown tables. Every fleet is invented, read, fitted, and its next season forecast as the
program does: renewals and money of simulated futures under the limits as they are set, and the
failures of the season's risk. Then the season happens, by a simulation of its own of the true
curves. Twice: with the truth drawn from the program's beliefs, where 80 % intervals must hold in
80 % of fleets; and with the truth of the invented fleet, where nothing promises it.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

# One thread a process: the processes share the machine among them.
for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

if __name__ == "__main__":
    # A script does not know the tests as a package, and others install one of the same name.
    sys.path.insert(0, str(Path(__file__).parents[2]))
    import tests

    tests.__path__ = [str(Path(__file__).parents[1])]

import pandas as pd  # noqa: E402

from tests.benchmarks.money_coverage_answers import Answer, Asked, answer  # noqa: E402
from tests.benchmarks.money_coverage_tables import tables  # noqa: E402


def questions(fleets: int, seed: int) -> Iterator[Asked]:
    """Every fleet to invent, `fleets` of each setting."""
    for i in range(fleets):
        yield Asked("prior", (seed, i))
        # Lives of the invented fleet are as they are: another season of them would be the same.
        yield Asked("sample", (seed, i), seasons=1)


def answers(asked: Sequence[Asked], jobs: int, rows: Path | None = None) -> list[Answer]:
    """Every answer, in the order asked; each is added to the file `rows` as soon as it is there."""
    if jobs <= 1:
        return list(_noted(map(answer, asked), len(asked), rows))
    with multiprocessing.get_context("spawn" if os.name == "nt" else "fork").Pool(jobs) as pool:
        return list(_noted(pool.imap(answer, asked, chunksize=1), len(asked), rows))


def _noted(found: Iterable[Answer], total: int, rows: Path | None) -> Iterator[Answer]:
    for number, row in enumerate(found, 1):
        print(f"\r{number} of {total} fleets", end="", file=sys.stderr, flush=True)
        if rows is not None:
            new = number == 1
            pd.DataFrame([row]).to_csv(rows, mode="w" if new else "a", header=new, index=False)
        yield row
    print(file=sys.stderr)


def main() -> None:
    """Ask, and print."""
    parser = argparse.ArgumentParser(description="How often a season's intervals hold the truth.")
    parser.add_argument("--fleets", type=int, default=200, help="of each setting")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--only", choices=("prior", "sample"), help="one of the two settings")
    parser.add_argument("--rows", type=Path, help="a CSV file to write a row per fleet into")
    chosen = parser.parse_args()
    asked = [
        one for one in questions(chosen.fleets, chosen.seed) if chosen.only in (None, one.setting)
    ]
    print(tables(answers(asked, chosen.jobs, chosen.rows)))


if __name__ == "__main__":
    main()
