"""Rows of the lists beside the parts: boats, hours, readings, lifts and prices."""

from __future__ import annotations

import numpy as np
import pandas as pd

from analytics.records.numbers import written_number
from analytics.records.tables import Table
from analytics.records.vocabulary.phrases import normal

_TAX = {
    **dict.fromkeys(("net", "netto", "excl", "excl vat", "ex vat", "ht", "sin iva"), "net"),
    **dict.fromkeys(("gross", "brutto", "incl", "incl vat", "inc vat", "ttc", "con iva"), "gross"),
}


def plain_rows(frame: pd.DataFrame, table: Table) -> list[dict[str, str]]:
    """The columns that a table of the plain layout has, as text.

    Parameters
    ----------
    frame : DataFrame
        With fields named as the table's columns.
    """
    rows = pd.DataFrame(index=frame.index)
    for column in table.columns:
        if column.name not in frame:
            continue
        values = frame[column.name]
        if column.name == "tax":
            values = values.map(lambda text: _TAX.get(normal(text), text))
        rows[column.name] = number_texts(values) if values.dtype == "float64" else values
    return rows.to_dict("records")  # type: ignore[return-value]


def readings_of(frame: pd.DataFrame) -> pd.DataFrame:
    """Inspections that measured something, as rows of `readings.csv`, with the unit in the name."""
    if "value" not in frame:
        return frame.iloc[:0]
    measured = frame[frame["value"].notna()].copy()
    measure = measured["measure"] if "measure" in measured else pd.Series("", measured.index)
    unit = measured["unit"] if "unit" in measured else pd.Series("", measured.index)
    name = measure.where(measure.ne(""), "value").str.lower().str.replace(r"\W+", "_", regex=True)
    ending = unit.str.lower().str.replace(r"\W+", "", regex=True)
    measured["measure"] = name.where(ending.eq(""), name + "_" + ending)
    return measured


def number_texts(numbers: pd.Series[float]) -> pd.Series[str]:
    """Numbers as the plain layout writes them, blank where not known."""
    codes, distinct = pd.factorize(numbers, use_na_sentinel=False)
    texts = np.empty(len(distinct), dtype=object)
    texts[:] = [written_number(one) for one in distinct]
    return pd.Series(texts[codes], index=numbers.index, dtype=object)
