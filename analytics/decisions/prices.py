"""What a part and its fitting cost: by kind and part number where priced so, else by kind."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from analytics.records.kinds import Kind
from analytics.records.price_rows import SAID_OF_A_PRICE, in_currency
from analytics.records.reading import Records
from analytics.records.settings import Rates
from analytics.records.tables import PRICES


@dataclass(frozen=True)
class Price:
    """Cost of one renewal, in the fleet's currency; NaN where it is not known.

    Attributes
    ----------
    part : float
    labour_hours : float
        Hours when the job is done alone.
    lead_time_days : float
    shared_hours : float
        Hours where the shaft is drawn for another job at the same lift; as many as alone
        where that is not known.
    shelf_life_years : float
        Years that it may lie in store.
    """

    part: float
    labour_hours: float
    lead_time_days: float
    shared_hours: float = float("nan")
    shelf_life_years: float = float("nan")

    def planned(self, rates: Rates) -> float:
        """Part and labour of a renewal at the lay-up lift."""
        return self.part + self.labour_hours * rates.labour_per_hour

    def unplanned(self, kind: Kind, rates: Rates) -> float:
        """Part and labour of a renewal after a failure; out of turn unless it is found ashore."""
        out_of_turn = 1.0 if kind.found_ashore_only else rates.emergency_multiplier
        return self.part + self.labour_hours * rates.labour_per_hour * out_of_turn


UNPRICED = Price(float("nan"), float("nan"), float("nan"))


@dataclass(frozen=True)
class PriceList:
    """Prices by part number and by kind.

    Attributes
    ----------
    by_part_no : dict of (str, str) to Price
        By kind and number; an empty kind stands for every kind.
    by_kind : dict of str to Price
    """

    by_part_no: dict[tuple[str, str], Price]
    by_kind: dict[str, Price]

    def of(self, kind: str, part_no: str) -> Price:
        """Price of a part; `UNPRICED` where neither its number nor its kind is listed."""
        numbers = self.by_part_no
        by_number = numbers.get((kind, part_no)) or numbers.get(("", part_no))
        return by_number or self.by_kind.get(kind) or UNPRICED


def price_list(records: Records) -> PriceList:
    """Prices of the checked rows of `prices.csv`.

    One number may stand for parts of several kinds, each with a price of its own; a number
    of one kind alone is priced so whatever a part is called. Of several rows about the same
    number the dearest counts. A kind without a row of its own has the mean of its part
    numbers. A price in another currency than the fleet's is none.
    """
    table = records.tables[PRICES.file]
    ours = [in_currency(written, records.settings) for written in table["currency"]]
    table = table[np.array(ours, dtype=bool)]
    rows = table.sort_values(["kind", "part_no", "part_price", "row"], kind="stable")
    by_part_no: dict[tuple[str, str], Price] = {}
    for number, same in rows[rows["part_no"] != ""].groupby("part_no", sort=True):
        of_kinds = {str(row["kind"]): _price(row) for _, row in same.iterrows()}
        by_part_no |= {(kind, str(number)): price for kind, price in of_kinds.items()}
        if len(of_kinds) == 1:
            by_part_no["", str(number)] = next(iter(of_kinds.values()))
    by_kind = {}
    for kind, group in rows[rows["kind"] != ""].groupby("kind", sort=True):
        own = group[group["part_no"] == ""]
        chosen = own if len(own) else group
        mean = chosen[SAID_OF_A_PRICE].mean()
        by_kind[str(kind)] = _price(mean)
    return PriceList(by_part_no, by_kind)


def _price(row: pd.Series) -> Price:
    part, hours, lead, shared, shelf = (float(row[name]) for name in SAID_OF_A_PRICE)
    # Labour that is not given is taken as none, so that the part's price still counts.
    hours = 0.0 if np.isnan(hours) else hours
    return Price(part, hours, lead, hours if np.isnan(shared) else min(shared, hours), shelf)
