"""The charter season: its window, and the season year that money is counted in."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, timedelta


@dataclass(frozen=True)
class Season:
    """One season's days: `start` to `end`, both counted in.

    A season is named by the year it ends in. Its season year runs from the day
    after the season before ended until `end` (common practice, no source).
    """

    year: int
    start: date
    end: date
    previous_end: date
    lift_on: date

    def lift_after(self, day: date) -> date | None:
        """The lay-up lift of this season that can still take place after a day.

        That is `lift_on`; where it is past and the season has not begun, the day after, for the
        boat can still be lifted; None once the season has begun, but for a lift booked within it.
        """
        ahead = day < max(self.start, self.lift_on)
        return max(self.lift_on, day + timedelta(days=1)) if ahead else None


@dataclass(frozen=True)
class SeasonRule:
    """When the season begins and ends in any year, as (month, day).

    A season that ends earlier in the calendar than it begins runs over new
    year. `lift_on` is the lay-up day on which planned work is booked.
    Up to and with the last day of `earlier` another rule held, and the season that
    ends by that day is a season of that rule. After it a year holds `use_a_year` years of
    use of a boat laid up ashore: more than one where a longer season brings more of it.
    """

    start: tuple[int, int] = (4, 1)
    end: tuple[int, int] = (10, 31)
    lift_on: tuple[int, int] = (1, 15)
    earlier: tuple[SeasonRule, date] | None = field(default=None, kw_only=True)
    use_a_year: float = field(default=1.0, kw_only=True)

    @property
    def alone(self) -> SeasonRule:
        """The rule as if it had always held."""
        return replace(self, earlier=None, use_a_year=1.0)

    def season(self, year: int) -> Season:
        """The season named by the year it ends in."""
        if self.earlier is None:
            return self._season(year, date(year - 1, *self.end))
        before, until = self.earlier
        if (was := before.season(year)).end <= until:
            return was
        previous = before.season(year - 1).end
        here = self._season(year, previous if previous <= until else date(year - 1, *self.end))
        if here.start <= until < here.end:
            # The season would have begun while boats were laid up: they still get their lift.
            return replace(here, lift_on=min(before.next_lift(until), here.end))
        # A lift that would by now be over takes place when it was to take place anyway.
        missed = here.lift_on <= until < was.lift_on
        return replace(here, lift_on=min(was.lift_on, here.start)) if missed else here

    def _season(self, year: int, previous_end: date) -> Season:
        end = date(year, *self.end)
        start = date(year if self.start <= self.end else year - 1, *self.start)
        start = max(start, previous_end + timedelta(days=1))
        lift_on = date(previous_end.year, *self.lift_on)
        if lift_on <= previous_end:
            lift_on = date(previous_end.year + 1, *self.lift_on)
        # A lift that would fall inside the season is booked on its first day.
        return Season(year, start, end, previous_end, min(lift_on, start))

    def next_after(self, day: date) -> Season:
        """The first season that ends after `day`: the one a person would call this season."""
        season = self.season(day.year)
        return season if season.end > day else self.season(day.year + 1)

    def season_of_next_lift(self, day: date) -> Season:
        """The first season with a lay-up lift that can still take place after a day."""
        season = self.next_after(day)
        return season if season.lift_after(day) else self.season(season.year + 1)

    def next_lift(self, day: date) -> date:
        """The first lay-up lift that can still take place after a day, of whichever season."""
        lift = self.season_of_next_lift(day).lift_after(day)
        assert lift is not None
        return lift

    def whole_year(self) -> bool:
        """True where the season leaves no day of the year out, under this rule and before it."""
        if self.earlier is not None:
            return self.alone.whole_year() and self.earlier[0].whole_year()
        season = self.season(2002)  # from 1 March to 28 February, but for a leap day, is a year
        return season.start - season.previous_end <= timedelta(days=1)
