"""Tables of spares and orders, as people read them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd
import streamlit as st
from pandas.io.formats.style import Styler

from analytics.decisions.stock_holding import AT_LIFT
from analytics.decisions.stock_items import POOLED
from analytics.decisions.stock_shelf import ALL_NUMBERS
from analytics.papers.words import percent
from analytics.records.settings import Settings
from dashboard.spares import words as says
from dashboard.tables import UNKNOWN, Config, Texts, amount, shown

_DAY = st.column_config.DateColumn(format="YYYY-MM-DD", width=95)
_NUMBER = st.column_config.Column(width=65)
_MONEY = st.column_config.Column(width=85)

_PART: Config = {
    "Part": st.column_config.Column(width=100, pinned=True),
    "Base": st.column_config.Column(width=115),
    "Kind": st.column_config.Column(width=110),
    "Size": st.column_config.Column(width=65),
}
MONEY_COLUMNS: Config = {
    "Store": st.column_config.Column(width=190),
    "Lines": _NUMBER,
    "Parts": _NUMBER,
    "Cost": _MONEY,
}

ORDER_COLUMNS: Config = {
    **_PART,
    "Order by": _DAY,
    "Late": st.column_config.Column(width=125),
    "Buy": st.column_config.Column(width=55),
    "Cost": st.column_config.Column(width=80),
    "Lift": st.column_config.Column("For the lift", width=80),
    "Shelf": st.column_config.Column("For the shelf", width=85),
    "From store": st.column_config.Column(width=80),
    "At most": st.column_config.Column(
        "Buy at most", width=85, help="more would expire before half of the futures use it"
    ),
    "Elsewhere": st.column_config.Column(width=150, help="good parts other bases have over"),
    "Needed": _DAY,
    "Lead time": st.column_config.NumberColumn("Lead time, days", format="%.0f", width=100),
    "Price": _MONEY,
}
HOLD_COLUMNS: Config = {
    **_PART,
    "Hold in all": st.column_config.Column(width=80),
    "By the textbook": st.column_config.Column(
        width=110, help="were failures independent of each other and of age (Poisson)"
    ),
    "Wanted": st.column_config.NumberColumn(format="%.2f", width=75, help="mean in a lead time"),
    "Must last for": st.column_config.Column(width=100),
    "One or more": st.column_config.Column(width=95, help="chance that any is wanted"),
    "Season": st.column_config.NumberColumn("In the season", format="%.2f", width=95),
    "Price": _MONEY,
    "Waiting": st.column_config.Column("Waiting costs", width=100),
    "Why one, or none": st.column_config.Column(
        width=170, help="where the chance asks for none, what waiting costs decides"
    ),
}
STORE_COLUMNS: Config = {
    **_PART,
    "State": st.column_config.Column(width=110),
    "Quantity": _NUMBER,
    "Made": st.column_config.Column(width=95),
    "Expires": st.column_config.Column(width=95),
    "Expires unused": st.column_config.Column(
        width=110, help="chance that one part of the row or more does"
    ),
    "Unused": st.column_config.Column("Parts unused, mean", width=130),
    "Used up, 50": st.column_config.Column("Used up by, 50 of 100", width=145),
    "Used up, 80": st.column_config.Column("80 of 100", width=95),
}
AHEAD_COLUMNS: Config = {
    **_PART,
    "Order by": _DAY,
    "Parts": _NUMBER,
    "Mean": st.column_config.NumberColumn(format="%.2f", width=65),
    "Cost": _MONEY,
}


def orders(lines: pd.DataFrame, settings: Settings) -> Styler:
    """What to buy, the earliest first."""
    table = lines[lines["to_buy"] > 0]
    table = table.sort_values(["order_by", "base", "kind", "part_no", "size"], na_position="last")
    made = _parts(
        table,
        settings,
        {
            "Buy": table["to_buy"].to_numpy(),
            "Elsewhere": [
                f"{number} at {where}" if number else ""
                for number, where in zip(table["elsewhere"], table["elsewhere_at"], strict=True)
            ],
            "Order by": table["order_by"].to_numpy(),
            "Late": ["late: order at once" if one else "" for one in table["late"]],
            "Cost": table["cost"].fillna(UNKNOWN).to_numpy(),
        },
    )
    made["Lift"] = table["for_lift"].to_numpy()
    made["Shelf"] = table["spares"].to_numpy()
    made["From store"] = table["from_store"].to_numpy()
    made["At most"] = [says.most(int(number)) for number in table["most"]]
    made["Needed"] = table["needed_on"].to_numpy()
    made["Lead time"] = table["lead_time_days"].to_numpy()
    made["Price"] = table["part_price"].fillna(UNKNOWN).to_numpy()
    for blank in ("Late", "Elsewhere"):
        if not made[blank].any():
            made = made.drop(columns=blank)
    if table["lead_time_days"].isna().all():
        made = made.drop(columns=["Order by", "Lead time"])
    return shown(made, dict.fromkeys(("Cost", "Price"), amount))


def holdings(lines: pd.DataFrame, settings: Settings) -> Styler:
    """What each shelf should hold, and why."""
    decides = [_decides(line) for _, line in lines.iterrows()]
    hold = {
        "Hold in all": lines["held"].to_numpy(),
        "Why one, or none": decides,
        "Price": lines["part_price"].fillna(UNKNOWN).to_numpy(),
        "Waiting": lines["waiting_cost"].fillna(UNKNOWN).to_numpy(),
    }
    made = _parts(lines, settings, hold)
    made["By the textbook"] = lines["poisson"].to_numpy()
    made["Wanted"] = lines["wanted"].to_numpy()
    made["Must last for"] = [
        "the lift" if window == AT_LIFT else f"{days:.0f} days"
        for window, days in zip(lines["window"], lines["lead_time_days"], strict=True)
    ]
    made["One or more"] = lines["wanted_chance"].to_numpy()
    made["Season"] = lines["in_season"].to_numpy()
    texts: Texts = {"Price": amount, "Waiting": _waiting, "One or more": percent}
    return shown(made, texts)


def store(rows: pd.DataFrame, settings: Settings) -> Styler:
    """What lies in store, what expires first on top."""
    rows = rows.sort_values(["expires_on", "base", "kind", "row"], na_position="last")
    what = {"Quantity": rows["quantity"].to_numpy(), "State": rows["state"].to_numpy()}
    made = _parts(rows, settings, what)
    made["Expires"] = _days(rows["expires_on"])
    made["Expires unused"] = rows["unused_chance"].fillna(UNKNOWN).to_numpy()
    made["Unused"] = rows["unused"].fillna(UNKNOWN).to_numpy()
    made["Used up, 50"] = _days(rows["used_up_p50"])
    made["Used up, 80"] = _days(rows["used_up_p80"])
    made["Made"] = _days(rows["made_on"])
    texts: Texts = {
        "Expires unused": lambda at: "" if at == UNKNOWN else percent(at),
        "Unused": lambda at: "" if at == UNKNOWN else f"{at:.1f}",
    }
    return shown(made, texts)


def ahead(lines: pd.DataFrame, settings: Settings) -> Styler:
    """Planned renewals of the lift after, the earliest order first."""
    lines = lines.sort_values(["order_by", "base", "kind", "part_no"], na_position="last")
    made = _parts(
        lines,
        settings,
        {
            "Parts": lines["for_lift"].to_numpy(),
            "Order by": lines["order_by"].to_numpy(),
            "Cost": lines["cost"].fillna(UNKNOWN).to_numpy(),
            "Mean": lines["planned"].to_numpy(),
        },
    )
    return shown(made, {"Cost": amount})


def money(table: pd.DataFrame) -> Styler:
    """The order added up by base; one store for all bases stands last, because it is a choice."""
    pooled = table["base"] == POOLED
    table = pd.concat([table[~pooled], table[pooled]])
    unpriced = table["unpriced"] == table["parts"]
    made = pd.DataFrame(
        {
            "Store": [says.store_name(base) for base in table["base"]],
            "Parts": table["parts"],
            "Cost": table["cost"].where(~unpriced | (table["parts"] == 0), UNKNOWN),
            "Lines": table["lines"],
            "Late": table["late"],
        }
    )
    return shown(made, {"Cost": amount})


def storage(table: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """How long what may lie in store, and who says so."""
    return pd.DataFrame(
        {
            "Kind": [settings.kind(name).label for name in table["kind"]],
            "Part number": table["part_no"].replace({ALL_NUMBERS: "all", "": "not given"}),
            "Years in store": [
                "no limit" if years != years else f"{years:g}" for years in table["years"]
            ],
            "After an inspection": [f"{more:g} more" if more else "" for more in table["longer"]],
            "Says who": table["said_by"],
        }
    )


def _parts(table: pd.DataFrame, settings: Settings, first: Mapping[str, Any]) -> pd.DataFrame:
    """Which part at which base, the columns that are acted on, and then what else is known of it.

    On a narrow screen only the first few columns show.
    """
    labels = [settings.kind(name).label for name in table["kind"]]
    numbers = [
        number or f"{label} {size or ', ask the size'}".replace(" ,", ",")
        for number, label, size in zip(table["part_no"], labels, table["size"], strict=True)
    ]
    made = pd.DataFrame({"Part": numbers, "Base": table["base"].to_numpy()})
    if made["Base"].nunique() == 1:
        made = made.drop(columns="Base")
    for name, column in first.items():
        made[name] = column
    made["Kind"] = labels
    made["Size"] = table["size"].replace("", "not known").to_numpy()
    return made


def _days(days: pd.Series) -> list[str]:
    """Days as texts, blank where there is none: an empty cell of days would read "None"."""
    return ["" if pd.isna(day) else str(day) for day in days]


def _decides(line: pd.Series) -> str:
    if line["hold"]:
        return ""
    if line["one_pays"]:
        return "one: waiting costs more" if line["held"] else "none: by chance only"
    if line["waiting_cost"] != line["waiting_cost"]:
        return "none: it stops no boat"
    return "none: no price" if line["part_price"] != line["part_price"] else "none: it costs more"


def _waiting(cell: float) -> str:
    return "no charter lost" if cell == UNKNOWN else f"{cell:,.0f}"
