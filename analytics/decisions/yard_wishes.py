"""Wishes held against the fleet and the yard: what cannot be applied is said, never passed over."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date
from difflib import get_close_matches

import pandas as pd

from analytics.decisions.haul_out.admission import day_words, listed
from analytics.decisions.haul_out.problem import Week
from analytics.decisions.yard_asks import why_must
from analytics.records.files.names import WISHES as FILE
from analytics.records.findings import Done, Finding
from analytics.records.reading import Records
from analytics.records.tables import BOATS
from analytics.records.wishes import OF_WEEKS, Wish

_SHOWN = 4


def applicable(
    wishes: Iterable[Wish],
    records: Records,
    parts: pd.DataFrame,
    weeks: tuple[Week, ...],
) -> tuple[tuple[Wish, ...], tuple[Finding, ...]]:
    """Wishes that the plan can apply, and what is wrong with the others.

    Parameters
    ----------
    wishes : iterable of Wish
        In the order of `plan.toml`.
    parts : DataFrame
        From `yard_asks.asking_parts`.
    weeks : tuple of Week

    Returns
    -------
    tuple of Wish
        With boats as the records spell them.
    tuple of Finding
        One for each wish about a boat, a part or a week that is not there, and for each that
        another stands against. Only a finding of which "noted" is done leaves its wish applied.
    """
    good: list[Wish] = []
    findings: list[Finding] = []
    check = _Check(records, parts, weeks)
    for number, wish in enumerate(wishes, 1):
        known = check.known(wish)
        wrong = next(check.wrongs(known, good), None)
        if wrong is not None:
            field, found, expected, done, remedy = wrong
            at = f"wish {number}, {field}"
            findings.append(Finding(FILE, None, at, found, expected, done, remedy, "setting"))
        if wrong is None or wrong[3] == "noted":
            good.append(known)
    return tuple(good), tuple(findings)


_Wrong = tuple[str, str, str, Done, str]


class _Check:
    def __init__(self, records: Records, parts: pd.DataFrame, weeks: tuple[Week, ...]) -> None:
        self._parts = parts
        self._ceiling = records.settings.yard.risk_ceiling
        self._weeks = [week.start for week in weeks]
        self._listed = {str(boat) for boat in records.tables[BOATS.file]["boat"]}
        self._asking = {str(boat) for boat in parts["boat"]}
        self._spelled = {_folded(boat): boat for boat in sorted(self._listed)}

    def known(self, wish: Wish) -> Wish:
        """With the boat as the records spell her, where only spaces or capitals differ."""
        return replace(wish, boat=self._spelled.get(_folded(wish.boat), wish.boat))

    def wrongs(self, wish: Wish, before: list[Wish]) -> Iterator[_Wrong]:
        if wish in before:
            yield "boat", wish.boat, "each wish once", "ignored", "Remove one of the two."
        elif wish.boat not in self._listed:
            near = get_close_matches(wish.boat, sorted(self._listed), 1, 0.75)
            remedy = f"Did you mean {near[0]}? " if near else ""
            remedy += "Correct the name or remove the wish; until then it is not applied."
            yield "boat", wish.boat, "a boat of boats.csv", "ignored", remedy
        elif wish.boat not in self._asking:
            remedy = "Remove the wish: the plan asks nothing of the yard for her."
            expected = "a boat with a part in service that stays until the season"
            yield "boat", wish.boat, expected, "ignored", remedy
        elif wish.what in OF_WEEKS:
            yield from self._of_week(wish, before)
        else:
            yield from self._of_job(wish)

    def _of_week(self, wish: Wish, before: list[Wish]) -> Iterator[_Wrong]:
        week = wish.week
        assert week is not None  # read_wishes asks for it
        if week not in self._weeks:
            found = f"{wish.boat}, {day_words(week)}"
            remedy = f"{self._nearest(week)} Correct it; until then the wish is not applied."
            yield "week", found, "the first day of a week of this lay-up's slots", "ignored", remedy
        others = [
            one.week
            for one in before
            if (one.boat, one.what) == (wish.boat, wish.what) and one.week is not None
        ]
        if wish.what != "ruled_out" and others:
            found = f"{wish.boat}, {day_words(week)}"
            remedy = f"She is {wish.what} to the week of {day_words(others[0])} already: keep one."
            yield "week", found, "one week for a boat", "ignored", remedy

    def _nearest(self, week: date) -> str:
        if not self._weeks:
            return "This lay-up has no week with slots."
        nearest = min(self._weeks, key=lambda one: (abs((one - week).days), one))
        return f"The nearest week begins on {nearest}."

    def _of_job(self, wish: Wish) -> Iterator[_Wrong]:
        hers = self._parts[self._parts["boat"] == wish.boat]
        _, position, kind = wish.job
        mine = hers[(hers["position"] == position) & (hers["kind"] == kind)]
        found = f"{wish.boat}, {position}, {kind}"
        if mine.empty:
            names = sorted(set(zip(hers["kind"], hers["position"], strict=True)))
            told = [f"{kind} ({position})" for kind, position in names[:_SHOWN]]
            more = f", and {len(names) - _SHOWN} more" if len(names) > _SHOWN else ""
            remedy = (
                f"She has {listed(told) if not more else ', '.join(told) + more}. "
                "Correct it; until then the wish is not applied."
            )
            yield "kind", found, "a part that is in service on her", "ignored", remedy
        elif wish.what == "accepted" and not any(
            why_must(row, self._ceiling) for _, row in mine.iterrows()
        ):
            remedy = "Nothing needs to be accepted: remove the wish, or leave it for later."
            yield "kind", found, "a job that a rule asks for", "noted", remedy


def _folded(text: str) -> str:
    return " ".join(text.split()).casefold()
