"""Which weeks admit a boat, and what stands against the others, in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date
from typing import NamedTuple

from analytics.decisions.haul_out.problem import SIZES, WEEK, BoatAsk, Week, Yard


class Bar(NamedTuple):
    """What stands against a boat in a week: the same words for all weeks alike, and the detail."""

    short: str
    text: str


def day_words(day: date) -> str:
    """A day as people say it: "2 November 2026"."""
    return f"{day.day} {day:%B %Y}"


def listed(names: Iterable[str]) -> str:
    """Names in a sentence: "A, B and C"."""
    *others, last = list(names)
    return f"{', '.join(others)} and {last}" if others else last


def too_large(ask: BoatAsk, yard: Yard) -> str:
    """Why the lift can take a boat in no week: "her beam of 7.2 m is over ..."; else ""."""
    for size, unit in SIZES:
        own, most = getattr(ask, size), getattr(yard.limits, size)
        if own is not None and most is not None and own > most:
            return f"her {size} of {own:g} {unit} is over the {most:g} {unit} that the lift takes"
    return ""


def sizes_not_known(ask: BoatAsk, yard: Yard) -> tuple[str, ...]:
    """Sizes that the lift limits and that the boat's record does not give."""
    limited = {size for size, _ in SIZES if getattr(yard.limits, size) is not None}
    if any(week.depth is not None for week in yard.weeks):
        limited.add("draught")
    return tuple(size for size, _ in SIZES if size in limited and getattr(ask, size) is None)


def bar(ask: BoatAsk, yard: Yard, week: Week, hours: float) -> Bar | None:
    """What stands against lifting a boat in a week for so many hours of work.

    Other boats are not looked at: a bar stands in an empty yard.
    """
    if week.slots <= 0:
        return _same("the lift is closed")
    if week.start in ask.booked:
        return _same("she is on charter")
    if week.start in ask.forbidden:
        return _same("it is ruled out for her")
    if ask.fixed is not None and week.start != ask.fixed:
        return _same(f"she is {fixed_by(ask)} to the week of {day_words(ask.fixed)}")
    large = too_large(ask, yard)
    if large:
        return _same(large)
    if week.depth is not None and ask.draught is not None and ask.draught > week.depth:
        return Bar(
            "the tide gives too little water",
            f"her draught of {ask.draught:g} m is over the {week.depth:g} m that the tide gives",
        )
    return _bar_ashore(ask, yard, week, hours)


def fixed_by(ask: BoatAsk) -> str:
    """How a boat's week is fixed: "promised" or "pinned"."""
    return "promised" if ask.promised is not None else "pinned"


def bars_counted(bars: Iterable[Bar | None]) -> str:
    """Bars of many weeks in one phrase: "she is on charter (20 weeks), the lift is closed (3)"."""
    counts = Counter(one.short for one in bars if one is not None).most_common()
    if len(counts) == 1:
        return counts[0][0]
    return ", ".join(
        f"{words} ({number}{' weeks' if place == 0 else ''})"
        for place, (words, number) in enumerate(counts)
    )


def _same(text: str) -> Bar:
    return Bar(text, text)


def _bar_ashore(ask: BoatAsk, yard: Yard, week: Week, hours: float) -> Bar | None:
    for passed, worked in enumerate(yard.hours_by_week(hours)):
        start = week.start + passed * WEEK
        of_week = f"in the week of {day_words(start)}"
        if start in ask.booked:
            return Bar(
                "her work would run into a charter", f"her work would run into a charter {of_week}"
            )
        place = yard.by_start.get(start)
        if place is None:
            continue
        met = yard.weeks[place]
        if met.places is not None and met.places <= 0:
            return Bar("there is no place ashore", f"there is no place ashore {of_week}")
        if met.hours is not None and worked > met.hours + 1e-9:
            return Bar(
                "her work takes more hours than the trades have",
                f"her work takes {worked:g} hours {of_week}, and the trades have {met.hours:g}",
            )
    return None
