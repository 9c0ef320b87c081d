"""Tables of events for tests, from the few cells that matter."""

from collections.abc import Iterable
from datetime import date

import pandas as pd

from analytics.records.dates import Window, parse_window
from analytics.records.events.rows import COLUMNS, DATES, TEXTS

PLACE = {"boat": "Grey Plover", "position": "single", "kind": "bellows"}
"""An invented boat and one place on it."""


def event(on: str | date, action: str, reason: str = "", **cells: object) -> dict[str, object]:
    """One event: `on`, `sound` and `fit` are windows as the plain layout writes them."""
    row: dict[str, object] = dict.fromkeys(TEXTS, "") | {"hours": float("nan")} | PLACE
    windows = {"on": str(on), "sound": cells.pop("sound", ""), "fit": cells.pop("fit", "")}
    for name, text in windows.items():
        window = parse_window(str(text)) or Window(pd.NaT, pd.NaT)  # type: ignore[arg-type]
        row[f"{name}_lo"], row[f"{name}_hi"] = window.lo, window.hi
    return row | {"action": action, "reason": reason} | cells


def table(events: Iterable[dict[str, object]]) -> pd.DataFrame:
    """Events with lines from 2 on, unless they bear one."""
    rows = [{"line": number, **row} for number, row in enumerate(events, start=2)]
    frame = pd.DataFrame(rows, columns=list(COLUMNS))
    frame[list(DATES)] = frame[list(DATES)].astype("datetime64[ns]")
    return frame.astype({"line": "int64", "hours": "float64"})
