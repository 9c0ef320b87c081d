"""What is said of groups whose parts last shorter or longer: association, never cause."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from math import log
from typing import Any

import pandas as pd

from analytics.ageing.fit import Ageing
from analytics.ageing.groups.fields import ENOUGH_FAILURES, ENOUGH_LIVES, ENOUGH_OF_LEVEL, PLACE
from analytics.ageing.groups.lots import SURE
from analytics.ageing.groups.standing_out import StandingOut
from analytics.papers.words import FIELD_LABELS, count, percent

LABELS = {**FIELD_LABELS, PLACE: "shaft line"}

_LESS_SURE = 3

_PARTS = (
    (0.1, "a tenth"),
    (0.2, "a fifth"),
    (0.25, "a quarter"),
    (1 / 3, "a third"),
    (0.4, "two fifths"),
    (0.5, "half"),
    (0.6, "three fifths"),
    (2 / 3, "two thirds"),
    (0.75, "three quarters"),
    (0.8, "four fifths"),
    (0.9, "nine tenths"),
)


def label(field: str) -> str:
    """What the lives were sorted by, in words."""
    return LABELS.get(field, field.replace("_", " "))


def fraction(factor: float) -> str:
    """A factor below 1 as people say it: "about two thirds"."""
    if factor < 0.08:
        return "less than a tenth"
    named = min(_PARTS, key=lambda part: abs(log(part[0] / factor)))[1]
    return f"about {named}"


def whose(field: str, level: str) -> str:
    """Which parts a level is: "parts at Port Ellorn"."""
    return {
        "base": f"Parts at {level}",
        "lay_up": f"Parts of boats laid up {level}",
        "water": f"Parts in {level} water",
        "lot": f"Parts of lot {level}",
        "size": f"Parts of size {level}",
        "part_no": f"Parts with part number {level}",
        PLACE: f"Parts on {level}",
    }.get(field, f"Parts with {label(field)} {level}")


def group_sentences(found: StandingOut, fitted: Ageing) -> list[tuple[str, str]]:
    """What stands out, the surest first; or that nothing does, or was not looked for.

    Returns
    -------
    list of (str, str)
        The point of each, which may be blank, and what more there is to say.
    """
    if found.table.empty:
        return [_not_looked_for(fitted)]
    shorter, also = found.shorter.to_dict("records"), longer(found)
    lasting = [_longer(row, found.tried) for row in also.to_dict("records")]
    unsure = [_less_sure(row) for row in found.less_sure.head(_LESS_SURE).to_dict("records")]
    less = [("", f"Less sure: {'; '.join(unsure)}.")] if unsure else []
    named = [_shorter(row, found.tried) for row in shorter]
    if not shorter:
        named = [
            (
                "No group is sure to last shorter" if lasting else "No group stands out",
                f"among the {count(found.tried, 'group')} looked at: none lasts shorter by a tenth "
                f"or more with a chance of {percent(SURE)}.",
            )
        ]
    told, number = "", len(shorter) + len(lasting)
    luck = found.by_luck + float((1.0 - also["chance_longer"]).sum())
    if number == 1:
        told = f" The one named is luck with a chance of {percent(max(luck, 1e-3))}."
    elif number:
        told = (
            f" By their own chances, {'hardly any' if luck < 0.05 else f'about {luck:.1f}'} of the "
            f"{number} named would be luck."
        )
    return [*named, *lasting, *less, ("", f"{_how_many(found)}{told}")]


def longer(found: StandingOut) -> pd.DataFrame:
    """Rows that are named because they last longer, the surest first.

    `SURE` or more that they last longer by a tenth or more. Of several names for the same
    lives one row is kept, that of the finest field.
    """
    table = found.table[found.table["chance_longer"] >= SURE]
    order = table.assign(coarse=~table["own_factor"].astype(bool))
    order = order.sort_values(["coarse", "chance_longer"], ascending=[True, False], kind="stable")
    kept: list[Hashable] = []
    told, fields = "", set[str]()
    for at, row in zip(order.index, order.to_dict("records"), strict=True):
        name = f"{row['field'].replace('_', '-')} {row['level']}"
        shared = set(str(row["shares_with"]).split(", "))
        if f", {name}, " in told or not fields.isdisjoint(shared):
            continue
        kept.append(at)
        fields.add(row["field"])
        told += f", {row['same_lives_as']}, "
    return found.table.loc[kept]


def _not_looked_for(fitted: Ageing) -> tuple[str, str]:
    if fitted.lives < ENOUGH_LIVES or fitted.failures < ENOUGH_FAILURES:
        return (
            "No groups were looked at.",
            f"{count(fitted.lives, 'life', 'lives')} with "
            f"{count(fitted.failures, 'failure')} tell too little: at least {ENOUGH_LIVES} lives "
            f"and {ENOUGH_FAILURES} failures are needed.",
        )
    return (
        "No groups were looked at.",
        "Nothing in the records sorts these "
        f"{count(fitted.lives, 'life', 'lives')} into groups of {ENOUGH_OF_LEVEL} or more: base, "
        "lay-up, water, lot, size and part number are blank or the same throughout.",
    )


def _how_many(found: StandingOut) -> str:
    small = (
        f"; of the groups of other sorts, {found.too_small:,} had fewer than {ENOUGH_OF_LEVEL} "
        f"lives and {'was' if found.too_small == 1 else 'were'} not"
        if found.too_small
        else ""
    )
    names, lines = len(found.table), (found.table["field"] == PLACE).any()
    among = (
        ", shaft lines among them, however few parts each has had (lines are looked at where "
        f"{ENOUGH_OF_LEVEL} or more have had at least 2 parts)"
        if lines
        else ""
    )
    twice = (
        f" The table has {names:,} rows: where two names stand for the very same lives, they "
        "count as one group."
        if names > found.tried
        else ""
    )
    return (
        f"{count(found.tried, 'group')} were looked at{among}{small}.{twice} Of so many, "
        "some look striking by luck; the factors are drawn towards 1 for that."
    )


def _shorter(row: Mapping[Hashable, Any], tried: int) -> tuple[str, str]:
    return _named(row, tried, f"last {fraction(row['factor'])} as long as the others:")


def _longer(row: Mapping[Hashable, Any], tried: int) -> tuple[str, str]:
    return _named(row, tried, f"last about {row['factor']:.1f} times as long as the others:")


def _named(row: Mapping[Hashable, Any], tried: int, verdict: str) -> tuple[str, str]:
    low, high = row["factor_low"], row["factor_high"]
    counted = f"{count(row['lives'], 'life', 'lives')}, {count(row['failures'], 'failure')}"
    alike = together(row)
    told = ""
    if alike:
        link = ", " if " and " in alike else " and "
        told = (
            f" This goes together with {label(row['field'])}{link}{alike} alike: the records "
            "cannot tell which."
        )
    return (
        f"{whose(row['field'], row['level'])} {verdict}",
        f"{row['factor']:.2f} times, likely between {low:.2f} and {high:.2f} "
        f"({counted}; looked at {count(tried, 'group')}).{told}",
    )


def _less_sure(row: Mapping[Hashable, Any]) -> str:
    whole = whose(row["field"], row["level"])
    return (
        f"{whole[0].lower()}{whole[1:]}, {row['factor']:.2f} times as long (likely "
        f"{row['factor_low']:.2f} to {row['factor_high']:.2f})"
    )


def together(row: Mapping[Hashable, Any]) -> str:
    """Other fields that sort these lives in the same way, or whose effect is in this one's."""
    names = [*str(row["shares_with"]).split(", "), *str(row["also"]).split(", ")]
    listed = list(dict.fromkeys(label(name) for name in names if name))
    if len(listed) > 1:
        return f"{', '.join(listed[:-1])} and {listed[-1]}"
    return "".join(listed)
