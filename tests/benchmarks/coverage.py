"""How often the intervals of the program hold the truth, by simulation. Run by hand:

    python tests/benchmarks/coverage.py --fleets 200 --jobs 2

prints Markdown tables. Two questions are asked, of fleets of 40, 120 and 600 lives.

Truth drawn from the prior: 90 % intervals hold it in 90 % of fleets, and the ranks of the truth
among the draws are uniform, if the likelihood is that of the records and the sampler is right
(simulation-based calibration: Talts, Betancourt, Simpson, Vehtari & Gelman 2018; from memory).

Truth fixed, and a prior that does not know it: how much the belief misleads. The shape is fixed;
the scale is drawn so that the expected failures are even between 0.5 and 50 in their logarithm.
Beside it maximum likelihood with the delta method on the log(-log) scale of a survival.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

# One thread a process: the processes share the machine among them.
for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

if __name__ == "__main__":
    # A script does not know the tests as a package, and others install one of the same name.
    sys.path.insert(0, str(Path(__file__).parents[2]))
    import tests

    tests.__path__ = [str(Path(__file__).parents[1])]

from analytics.records.kinds import KINDS, Kind, unknown_kind  # noqa: E402
from tests.benchmarks.coverage_answers import Answer, Asked, answer  # noqa: E402
from tests.benchmarks.coverage_fleets import Design  # noqa: E402
from tests.benchmarks.coverage_tables import tables  # noqa: E402

DESIGNS = {
    40: Design(lives=40, watched=6.0),
    120: Design(lives=120, watched=4.0),
    600: Design(lives=600, watched=2.0),
}
SHAPES = (1.3, 2.5, 4.0, 6.0)

BELIEVED = KINDS["bellows"]
"""The truth is drawn from its prior, bad fits and accidents among it."""

UNKNOWN = replace(unknown_kind("part"), causes=("wear_out",))
"""A kind of which the program knows nothing; wear-out alone, as maximum likelihood takes it."""


def questions(
    fleets: int, seed: int, believed: Kind = BELIEVED, unknown: Kind = UNKNOWN
) -> Iterator[Asked]:
    """Every fleet to invent: `fleets` of each size with the truth from the prior, and as many
    of each size and shape with the truth fixed."""
    for number, (lives, design) in enumerate(DESIGNS.items()):
        for i in range(fleets):
            yield Asked(f"prior {lives}", believed, design, None, (seed, number, i))
        for shape in SHAPES:
            for i in range(fleets):
                key = (seed, number, round(10 * shape), i)
                yield Asked(f"fixed {lives}", unknown, design, shape, key)


def answers(asked: Sequence[Asked], jobs: int) -> list[Answer]:
    """Every answer, in the order asked."""
    if jobs <= 1:
        return list(_counted(map(answer, asked), len(asked)))
    # The largest fleets take longest: dealt out singly, no process is left with all of them.
    with multiprocessing.get_context("spawn" if os.name == "nt" else "fork").Pool(jobs) as pool:
        return list(_counted(pool.imap(answer, asked, chunksize=4), len(asked)))


def _counted(found: Iterable[Answer], total: int) -> Iterator[Answer]:
    for number, row in enumerate(found, 1):
        print(f"\r{number} of {total} fleets", end="", file=sys.stderr, flush=True)
        yield row
    print(file=sys.stderr)


def main() -> None:
    """Ask, and print."""
    parser = argparse.ArgumentParser(description="How often intervals hold the truth.")
    parser.add_argument("--fleets", type=int, default=200, help="of each size (and shape)")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--only", choices=("prior", "fixed"), help="one of the two questions")
    parser.add_argument("--family", help="wear-out family that is fitted, if not the kind's own")
    chosen = parser.parse_args()
    believed, unknown = BELIEVED, UNKNOWN
    if chosen.family:
        believed, unknown = (replace(kind, family=chosen.family) for kind in (believed, unknown))
    asked = [
        one
        for one in questions(chosen.fleets, chosen.seed, believed, unknown)
        if one.cell.startswith(chosen.only or "")
    ]
    print(tables(answers(asked, chosen.jobs)))


if __name__ == "__main__":
    main()
