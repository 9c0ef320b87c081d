"""What somebody must be asked before anything is ordered or counted."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from analytics.decisions.stock_demand import ASSUMED_LEAD_DAYS
from analytics.decisions.stock_in_store import AGE, ELSEWHERE, NO_SUCH, WHICH, Store
from analytics.decisions.stock_items import POOLED
from analytics.lives import Lives
from analytics.records.tables import PRICES, STOCK

QUESTION_COLUMNS = ["about", "base", "boat", "position", "kind", "part_no", "where", "question"]

SIZE, STORE, LEAD_TIME = "size not known", "in store", "lead time"
"""What a question is about, in the order of asking."""


def questions(lives: Lives, holdings: pd.DataFrame, store: Store) -> pd.DataFrame:
    """Every question, `QUESTION_COLUMNS`: sizes first, then the store, then lead times.

    Parameters
    ----------
    holdings : DataFrame
        From `stock_holding.holdings`: says whose lead time is assumed.
    """
    listed = [
        *_sizes(lives),
        *_of_the_store(lives, store),
        *_lead_times(lives, holdings),
    ]
    return pd.DataFrame(listed, columns=QUESTION_COLUMNS)


def _sizes(lives: Lives) -> Iterator[dict[str, str]]:
    in_service = lives.in_service().sort_values(["boat", "position", "kind"], kind="stable")
    unknown = in_service[(in_service["size"] == "") & (in_service["part_no"] == "")]
    sized = in_service[in_service["size"] != ""]
    shafts = sized.groupby(["boat", "position"])["size"].agg(lambda sizes: sorted(set(sizes)))
    for row in unknown.to_dict(orient="records"):
        name = lives.settings.kind(row["kind"]).label.lower()
        side = "" if row["position"] == "single" else f", {row['position']}"
        beside = shafts.get((row["boat"], row["position"]), [])
        hint = f" Other parts of that shaft are {' and '.join(beside)}." if beside else ""
        yield {
            "about": SIZE,
            "base": row["base"],
            "boat": row["boat"],
            "position": row["position"],
            "kind": row["kind"],
            "part_no": "",
            "where": row["source"],
            "question": f"Which size is the {name} of {row['boat']}{side}? "
            f"Ask before ordering.{hint}",
        }


_ASKED = {
    WHICH: "which part number or size? Not counted until that is known.",
    NO_SUCH: "no boat has such a part. Is the number right, or can it go?",
    AGE: "when made? It keeps for a limited time, so it is not counted until made_on is filled in.",
    ELSEWHERE: "for which base? Counted only in one store for all.",
}
"""What to ask about a row of stock.csv, by its state."""


def _of_the_store(lives: Lives, store: Store) -> Iterator[dict[str, str]]:
    asked = store.rows[store.rows["state"].isin(list(_ASKED))]
    for row in asked.to_dict(orient="records"):
        label = lives.settings.kind(row["kind"]).label
        named = " ".join(filter(None, [label, row["part_no"], row["size"]]))
        where = f" at {row['base']}" if row["base"] else ""
        yield {
            "about": STORE,
            "base": row["base"],
            "boat": "",
            "position": "",
            "kind": row["kind"],
            "part_no": row["part_no"],
            "where": f"{STOCK.file} row {row['row']}",
            "question": f"{named}, {row['quantity']} in store{where}: {_ASKED[row['state']]}",
        }


def _lead_times(lives: Lives, holdings: pd.DataFrame) -> Iterator[dict[str, str]]:
    pooled = holdings[(holdings["base"] == POOLED) & holdings["lead_assumed"]]
    for kind, lines in pooled.groupby("kind", sort=True):
        numbers = sorted(set(filter(None, lines["part_no"])))
        name = lives.settings.kind(str(kind)).label.lower()
        which = f" ({', '.join(numbers[:4])}{' …' if len(numbers) > 4 else ''})" if numbers else ""
        yield {
            "about": LEAD_TIME,
            "base": "",
            "boat": "",
            "position": "",
            "kind": str(kind),
            "part_no": "",
            "where": PRICES.file,
            "question": f"How many days from order to delivery for {name}{which}? "
            f"{ASSUMED_LEAD_DAYS:g} days are assumed for what to hold, and no day to order by "
            "can be given.",
        }
