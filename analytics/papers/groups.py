"""What is said of groups whose parts last shorter or longer: association, never cause."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from math import log
from typing import Any

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
    shorter = found.shorter.to_dict("records")
    unsure = [_less_sure(row) for row in found.less_sure.head(_LESS_SURE).to_dict("records")]
    less = [("", f"Less sure: {'; '.join(unsure)}.")] if unsure else []
    if not shorter:
        return [
            (
                "No group stands out",
                f"among the {count(found.tried, 'group')} looked at: none lasts shorter by a tenth "
                f"or more with a chance of {percent(SURE)}.",
            ),
            *less,
            ("", _how_many(found)),
        ]
    luck = found.by_luck
    told = (
        f"The one named is luck with a chance of {percent(max(luck, 1e-3))}."
        if len(shorter) == 1
        else f"By their own chances, {'hardly any' if luck < 0.05 else f'about {luck:.1f}'} of the "
        f"{len(shorter)} named would be luck."
    )
    named = (_shorter(row, found.tried) for row in shorter)
    return [*named, *less, ("", f"{_how_many(found)} {told}")]


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
        f"; {count(found.too_small, 'more group')} had fewer than {ENOUGH_OF_LEVEL} lives and "
        "were not"
        if found.too_small
        else ""
    )
    return (
        f"{count(found.tried, 'group')} were looked at, shaft lines among them{small}. Of so many, "
        "some look striking by luck; the factors are drawn towards 1 for that."
    )


def _shorter(row: Mapping[Hashable, Any], tried: int) -> tuple[str, str]:
    low, high = row["factor_low"], row["factor_high"]
    counted = f"{count(row['lives'], 'life', 'lives')}, {count(row['failures'], 'failure')}"
    alike = together(row)
    told = ""
    if alike:
        told = (
            f" This goes together with {label(row['field'])}, {alike} alike: the records cannot "
            "tell which."
        )
    return (
        f"{whose(row['field'], row['level'])} last {fraction(row['factor'])} as long as the "
        "others:",
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
