"""Invented lives of one kind with groups of known effect, as nodes and a table."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.clocks import Nodes
from analytics.records.kinds import KINDS
from tests.outside.known_ages import lives_seen_through

Floats = npt.NDArray[np.float64]

WORN = replace(KINDS["bellows"], causes=("wear_out",), family="weibull")
SHAPE, SCALE = 3.0, 9.0


def worn_lives(
    log_factor: Floats, rng: np.random.Generator, watched: tuple[float, float] = (2.0, 12.0)
) -> tuple[Nodes, npt.NDArray[np.bool_]]:
    """Weibull lives with factors, a third met when already in place; and which ones failed."""
    n = len(log_factor)
    scale = SCALE * np.exp(log_factor)
    entry = np.where(rng.random(n) < 1 / 3, rng.uniform(0.0, 4.0, n), 0.0)
    # Given that a life has reached its entry, its cumulative hazard at failure is that much more.
    reached = (entry / scale) ** SHAPE + rng.standard_exponential(n)
    life = scale * reached ** (1 / SHAPE)
    end = entry + rng.uniform(*watched, n)
    failed = life <= end
    return lives_seen_through(np.minimum(life, end), failed, entry), failed


def table_of(failed: npt.NDArray[np.bool_], **columns: npt.ArrayLike) -> pd.DataFrame:
    """The columns that groups are read from."""
    n = len(failed)
    table = {
        "boat": [f"B{i:04d}" for i in range(n)],
        "position": ["single"] * n,
        "outcome": np.where(failed, "failed", "in_service"),
    } | {name: [""] * n for name in ("base", "lay_up", "water", "lot", "size", "part_no")}
    return pd.DataFrame(table | columns)
