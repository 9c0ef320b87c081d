"""What is said of rules of renewing, compared on the same futures; for page and terminal."""

from __future__ import annotations

import pandas as pd

from analytics.decisions.policies import ALL, Compared
from analytics.decisions.policy_limits import RuleName
from analytics.papers.words import count, money, percent
from analytics.records.settings import Settings

LIMIT_STANDS = (
    "Where a rule goes past a written limit, the limit stands all the same unless a surveyor "
    "records otherwise."
)


def rule_label(name: RuleName, threshold: float) -> str:
    """A rule in a few words."""
    return {
        "as_set": "limits as set",
        "to_failure": "run until it fails",
        "least_cost": "age of least cost",
        "least_cost_by_base": "age of least cost, by base",
        "risk": f"risk above {percent(threshold)}",
        "readings": "limits and readings",
    }[name]


def rule_meaning(name: RuleName, threshold: float) -> str:
    """What a rule does, in a sentence."""
    return {
        "as_set": "renew at the first lay-up lift at which the limit set is reached.",
        "to_failure": "renew nothing while it is sound.",
        "least_cost": "renew at the lift nearest the age of least cost of the kind, and no later "
        "than the limit set; where age gains nothing, the limit alone.",
        "least_cost_by_base": "the same, with a base's own age where the fleet's is not about as "
        "good there.",
        "risk": f"in place of limits, renew parts that stop the boat at the lift at which their "
        f"chance of wearing out before the season ends is above {percent(threshold)}; by what is "
        "known of their kind and place.",
        "readings": "limits as set, and renew a bearing at the lift at which its clearance, as "
        "measured with error, is past the watch limit or would not last the season.",
    }[name]


def horizon(found: Compared, seasons: int) -> str:
    """Which seasons are summed."""
    first, last = found.seasons[0].year, found.seasons[seasons - 1].year
    return f"season {first}" if seasons == 1 else f"{seasons} seasons, {first} to {last}"


def today(table: pd.DataFrame, found: Compared, currency: str) -> str:
    """What the limits as set bring.

    Parameters
    ----------
    table : DataFrame
        From `policies.comparison`.
    """
    rows = _of(table, "as_set")
    failures, cost = rows["failures"], rows["cost"]
    seasons = int(table["seasons"].iloc[0])
    return (
        f"With the limits as set, over {horizon(found, seasons)}: about "
        f"{failures['mean']:,.0f} failures in charter seasons ({failures['low']:,.0f} to "
        f"{failures['high']:,.0f}) and {money(_rounded(cost['mean']), currency)} "
        f"({_rounded(cost['low']):,.0f} to {_rounded(cost['high']):,.0f}) for parts, labour and "
        "the consequence of failures."
    )


def beside_today(table: pd.DataFrame, found: Compared, currency: str) -> list[str]:
    """What each other rule changes, on the same futures."""
    said = []
    for outcome in found.outcomes[1:]:
        rows = _of(table, outcome.rule.name)
        cost, failures = rows["cost"], rows["failures"]
        label = rule_label(outcome.rule.name, found.threshold)
        if not (table.loc[table["policy"] == outcome.rule.name, "difference"] != 0).any():
            said.append(f"{label[0].upper()}{label[1:]}: the same as the limits as set.")
            continue
        worn = rows["found_worn"]
        told = [_change(failures, "failures"), _change(cost, currency), _cheaper(cost)]
        if worn["difference"]:
            told.insert(1, _change(worn, "parts found worn at a lift"))
        said.append(f"{label[0].upper()}{label[1:]}: {'; '.join(told)}.")
    return said


def unpriced(names: tuple[str, ...]) -> str:
    """Parts whose money is missing."""
    return f"No price for {', '.join(names)}: part and labour of these cost nothing here."


def assumptions(found: Compared, settings: Settings) -> list[str]:
    """What the comparison takes for granted."""
    return [
        f"{found.n_futures:,} futures, the same for every rule: the same draw of how parts age, "
        "and in every place the same chance, life after life. Ranges hold 90 % of them, luck and "
        "what is not known together; those of a difference are of the differences future by "
        "future.",
        "Failures in the season are those afloat between its first and last day, accidents among "
        "them; those out of season include what is found on a boat that lies ashore. What only a "
        "lift shows is counted when found.",
        "Money is that of the parts budget (parts and labour, prices rising as set, a strip-down "
        "shared where several jobs fall on one shaft at one lift) and, for parts that stop the "
        "boat, the lift out of turn, the tow and the charter days lost in the season. A lay-up "
        "lift takes place anyway and costs nothing here. Damage by water is in no number, nor what "
        "a worn bearing does to shaft and seal until a lift finds it.",
        "A few seasons are not the long run: a rule that renews earlier pays at once and gains "
        f"later, so look at the longest horizon too ({count(len(found.seasons), 'season')} here).",
        LIMIT_STANDS,
    ]


def _of(table: pd.DataFrame, policy: str) -> dict[str, pd.Series]:
    rows = table[table["policy"] == policy]
    return {str(row["measure"]): row for _, row in rows.iterrows()}


def _change(row: pd.Series, unit: str) -> str:
    """A difference in words: "about 18 fewer failures (29 fewer to 7 fewer)"."""
    counted = not str(row["measure"]).endswith("cost")
    less, more = ("fewer", "more") if counted else ("less", "more")
    middle, low, high = (row[f"difference{end}"] for end in ("", "_low", "_high"))
    if counted and not (middle or low or high):
        return f"no change in {unit}"
    none = counted and abs(middle) < 0.05
    if none:
        first = f"no fewer {unit}"
    elif counted:
        shown = f"{abs(middle):,.0f}" if abs(middle) >= 10 else f"{abs(middle):,.1f}"
        first = f"about {shown} {less if middle < 0 else more} {unit}"
    else:
        first = f"{money(_rounded(abs(middle)), unit)} {less if middle < 0 else more}"
    if none and max(abs(low), abs(high)) < 0.5:
        return first
    ends = [
        f"{abs(_rounded(end)):,.0f}" + (f" {less}" if end < 0 else f" {more}" if end > 0 else "")
        for end in (low, high)
    ]
    return f"{first} ({ends[0]} to {ends[1]})"


def _cheaper(cost: pd.Series) -> str:
    return f"cheaper in {cost['lower_in'] * 100:.0f} of 100 futures"


def _rounded(amount: float) -> float:
    """No finer than it is known: three digits that count."""
    return float(f"{amount:.3g}")


def kind_label(settings: Settings, kind: str) -> str:
    """A kind, or the whole fleet."""
    return "the whole fleet" if kind == ALL else settings.kind(kind).label
