"""Tables of an invented fleet, and the truth beside them, for the tests."""

import io
import json
from datetime import date
from typing import Any

import pandas as pd

from analytics.sample import InventedFleet


def rows_of(fleet: InventedFleet, name: str) -> pd.DataFrame:
    """A file as text cells, indexed by its line in the file (the header is line 1)."""
    table = pd.read_csv(io.StringIO(fleet.files[name]), dtype=str, keep_default_na=False)
    table.index = pd.RangeIndex(2, 2 + len(table))
    return table


def truth_of(fleet: InventedFleet) -> dict[str, Any]:
    return json.loads(fleet.files["truth.json"])


def true_parts(fleet: InventedFleet) -> pd.DataFrame:
    truth = truth_of(fleet)
    table = pd.DataFrame(truth["parts"], columns=truth["part_columns"]).set_index("row")
    for name in ("fitted_on", "failed_on", "ended_on"):
        table[name] = pd.to_datetime(table[name])
    return table


def recorded_and_true(fleet: InventedFleet) -> pd.DataFrame:
    """Rows of parts.csv beside the truth (its columns prefixed), without rows of defects."""
    truth = truth_of(fleet)
    spoilt = {one["row"] for one in truth["defects"] if one["file"] == "parts.csv"}
    rows = rows_of(fleet, "parts.csv").join(true_parts(fleet).add_prefix("true_"), how="inner")
    boats = pd.DataFrame(truth["boats"]).set_index("boat")
    rows["seen_from"] = pd.to_datetime(rows["boat"].map(boats["seen_from"]))
    rows["built_on"] = pd.to_datetime(rows["boat"].map(boats["built_on"]))
    rows["base"] = rows["boat"].map(rows_of(fleet, "boats.csv").set_index("boat")["base"])
    return rows.drop(index=[row for row in spoilt if row in rows.index])


def window(text: str, blank: tuple[date, date]) -> tuple[date, date]:
    if text == "":
        return blank
    if len(text) == 4:
        return date(int(text), 1, 1), date(int(text), 12, 31)
    return date.fromisoformat(text), date.fromisoformat(text)
