"""What is wrong with the sheets that keep a row for each part."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta

from analytics.sample.mess.boat_names import SHARED_AT
from analytics.sample.mess.clean import CleanLife, years_on
from analytics.sample.mess.key import Expect, Fate
from analytics.sample.mess.life_facts import FACTS, SOUGHT_AT_ELLORN
from analytics.sample.mess.life_sheets import AT_ELLORN, AT_SANDRICK, LifeSheet, by_points
from analytics.sample.mess.pages import Cell, Line, Page
from analytics.sample.mess.spoiling import Spoiling

SERIAL_EPOCH = date(1899, 12, 30)
"""The day from which spreadsheets of today count days."""

_EVERY = 7
_LEAST_LIFE = timedelta(days=400)
_SPRING = (4, 5)
_MONTHS_APART = timedelta(days=45)
_UNKNOWN_REASON = ("replaced_sound", "other_work")


def spoil_lives(spoiling: Spoiling, sandrick: Page, ellorn: Page) -> None:
    """Plant the defects of both offices' sheets of lives; those with few places come first."""
    german = _LifeDesk(spoiling, sandrick, AT_SANDRICK)
    english = _LifeDesk(spoiling, ellorn, AT_ELLORN)
    english.boat_name_shared()
    english.removed_before_fitted()
    english.short_year()
    english.removal_missing()
    german.lives_overlap()
    german.season_only()
    german.month_only()
    german.invoice_date()
    german.removal_entered_twice()
    german.boat_name_unknown()
    german.size_not_of_boat()
    german.side_missing()
    german.placeholder_date()
    german.zero_life()
    german.serial_date()
    for sort, suits, column, true, expect in FACTS:
        # A fact of the fleet, not a slip: one example where there is one.
        for desk in (german, english) if sort not in SOUGHT_AT_ELLORN else (english, german):
            if desk.example(sort, suits, column, true, expect):
                break


class _LifeDesk:
    def __init__(self, spoiling: Spoiling, page: Page, sheet: LifeSheet) -> None:
        self.spoiling, self.page, self.sheet = spoiling, page, sheet

    def example(
        self,
        sort: str,
        suits: Callable[[CleanLife], bool],
        column: str,
        true: Callable[[CleanLife], str],
        expect: Expect,
    ) -> bool:
        """Note one of the rows of which something is true anyway."""
        line = self._pick(suits)
        if line is None:
            return False
        self._note(sort, line, column, true(line.lives[0]), expect)
        return True

    def boat_name_shared(self) -> None:
        """One row of a boat that shares its name is without the hull number."""
        name = self.sheet.headers["boat"]
        shared = set(self.spoiling.listed_as.values())
        line = self.spoiling.best(
            (one for one in self._lines() if one.cells[name] in shared and one.lives[0].removed),
            (one for one in self._lines() if one.cells[name] in shared),
        )
        if line is None or self.sheet.base != SHARED_AT:
            return
        life = line.lives[0]
        line.cells[self.sheet.headers["hull"]] = ""
        self._note("boat_name_shared", line, "hull", life.boat.hull_no, "rejected", fate="lost")

    def removed_before_fitted(self) -> None:
        """The year of the removal mistyped as the one before the fitting."""
        line = self._pick(_long_enough)
        if line is None:
            return
        fitted, removed = _days(line.lives[0])
        earlier = years_on(removed, fitted.year - 1 - removed.year)
        self._rewrite(line, "removed", self.sheet.removed(earlier))
        true = removed.isoformat()
        self._note("removed_before_fitted", line, "removed", true, "rejected", fate="lost")

    def short_year(self) -> None:
        """Every date of the office; one example."""
        line = self._pick(lambda life: life.fitted is not None)
        if line is not None:
            true = line.lives[0].text["fitted_on"]
            self._note("short_year", line, "fitted", true, "used")

    def removal_missing(self) -> None:
        """The row was never closed although another part was fitted in its place."""

        def suits(life: CleanLife) -> bool:
            lone = not life.text["last_sound_on"] and not life.text["removed_hours"]
            dated = bool(life.text["fitted_on"]) and life.removed is not None
            return dated and lone and life.text["reason"] in _UNKNOWN_REASON

        line = self._pick(suits) or self._pick(
            lambda life: life.removed is not None and bool(life.text["fitted_on"])
        )
        if line is None:
            return
        life = line.lives[0]
        for column in ("removed", "reason", "found", "sound", "hours_out"):
            self._rewrite(line, column, "")
        self.spoiling.changed.append(
            {"row": life.row, "sort": "removal_missing", "reason": "unknown"}
        )
        true = life.text["removed_on"]
        self._note("removal_missing", line, "removed", true, "used", fate="changed")

    def lives_overlap(self) -> None:
        """A removal written two years late: two parts in one place."""

        def suits(life: CleanLife) -> bool:
            if life.removed is None or life.fitted is None or life.after is None:
                return False
            later = years_on(life.removed, 2)
            return later <= (life.after.removed or life.boat.watched_to)

        line = self._pick(suits)
        if line is None:
            return
        life = line.lives[0]
        assert life.removed is not None
        assert life.after is not None
        self._rewrite(line, "removed", self.sheet.removed(years_on(life.removed, 2)))
        self.spoiling.take(life.after, fate="lost")
        true = life.removed.isoformat()
        self._note("lives_overlap", line, "removed", true, "rejected", fate="lost")

    def season_only(self) -> None:
        """Spring of a year."""
        line = self._pick(
            lambda life: (
                life.fitted is not None
                and life.fitted.month in _SPRING
                and life.fitted >= life.boat.watched_from
                and _ends_later(life, date(life.fitted.year, 5, 31))
            )
        )
        if line is None:
            return
        fitted = _fitted(line.lives[0])
        self._rewrite(line, "fitted", f"Frühjahr {fitted.year}")
        true = fitted.isoformat()
        self._note("month_or_season_only", line, "fitted", true, "window", fate="window")

    def month_only(self) -> None:
        """A month and a year."""
        line = self._pick(
            lambda life: (
                life.fitted is not None
                and life.fitted >= life.boat.watched_from
                and _ends_later(life, life.fitted + timedelta(days=31))
            )
        )
        if line is None:
            return
        fitted = _fitted(line.lives[0])
        self._rewrite(line, "fitted", f"{fitted:%m/%Y}")
        true = fitted.isoformat()
        self._note("month_or_season_only", line, "fitted", true, "window", fate="window")

    def invoice_date(self) -> None:
        """No date of fitting, only that of the invoice, from just before a haul-out."""
        lifted = {
            (boat.name, row["lifted_on"])
            for boat, row in self.spoiling.clean.rows("lifts.csv", self.sheet.base)
            if row["launched_on"]
        }

        def suits(life: CleanLife) -> bool:
            ashore = (life.boat.name, life.text["fitted_on"]) in lifted
            fresh = life.fitted is not None and life.fitted > life.boat.watched_from
            return ashore and fresh and _ends_later(life, _fitted(life) + timedelta(days=150))

        line = self._pick(suits)
        if line is None:
            return
        fitted = _fitted(line.lives[0])
        invoiced = fitted - timedelta(days=self.spoiling.chance.whole(2, 9))
        self._rewrite(line, "fitted", "")
        self._rewrite(line, "invoice", by_points(invoiced))
        true = f"fitted {fitted.isoformat()}"
        self._note("invoice_date", line, "invoice", true, "window", fate="window")

    def removal_entered_twice(self) -> None:
        """One row again, its removal three days later."""
        line = self._pick(
            lambda life: (
                life.text["reason"] == "failed"
                and _long_enough(life)
                and _days(life)[1] + timedelta(days=3) <= life.boat.watched_to
            )
        )
        if line is None:
            return
        removed = _days(line.lives[0])[1]
        again = Line(dict(line.cells), lives=line.lives, on=line.on)
        self.page.lines.insert(self.page.lines.index(line) + 1, again)
        self._rewrite(again, "removed", self.sheet.removed(removed + timedelta(days=3)))
        self._note("removal_entered_twice", again, "removed", removed.isoformat(), "merged")

    def boat_name_unknown(self) -> None:
        """A misspelt name, and no hull number to tell by."""
        line = self._pick(lambda life: life.removed is not None and bool(self._slips(life)))
        if line is None:
            return
        life = line.lives[0]
        self._rewrite(line, "boat", self.spoiling.chance.pick(self._slips(life)))
        self._rewrite(line, "hull", "")
        self._note("boat_name_unknown", line, "boat", life.boat.name, "rejected", fate="lost")

    def size_not_of_boat(self) -> None:
        """A part of a size that the boat's shaft is not: it may be of another boat."""
        line = self._pick(lambda life: life.removed is not None)
        if line is None:
            return
        life = line.lives[0]
        sizes = self.spoiling.clean.fleet.scenario.shaft_sizes_mm
        other = self.spoiling.pick(size for size in sizes if size != life.boat.shaft_mm)
        assert other is not None
        self._rewrite(line, "size", f"{other} mm")
        number = life.text["part_no"].replace(f"-{life.boat.shaft_mm}", f"-{other}")
        self._rewrite(line, "part_no", number)
        true = life.text["size"]
        self._note("size_not_of_boat", line, "size", true, "rejected", fate="lost")

    def side_missing(self) -> None:
        """Two shafts, and nobody says which."""
        line = self._pick(lambda life: life.boat.twin and life.removed is not None)
        if line is None:
            return
        self._rewrite(line, "side", "")
        true = line.lives[0].position
        self._note("side_missing", line, "side", true, "rejected", fate="lost")

    def placeholder_date(self) -> None:
        """31.12.9999 for 'still there', 01.01.1900 for 'nobody knows'."""
        going = self._pick(lambda life: not life.text["removed_on"])
        if going is not None:
            self._rewrite(going, "removed", "31.12.9999")
            self._note("placeholder_date", going, "removed", "", "used")
        unknown = self._pick(lambda life: not life.text["fitted_on"])
        if unknown is not None:
            self._rewrite(unknown, "fitted", "01.01.1900")
            self._note("placeholder_date", unknown, "fitted", "", "used")

    def zero_life(self) -> None:
        """A part that was in place for hours: a life that the clean folder does not have."""
        line = self._pick(lambda life: life.removed is not None and life.after is not None)
        if line is None:
            return
        life = line.lives[0]
        day = _removed(life)
        extra = Line(dict(line.cells), on=day)
        self.page.lines.insert(self.page.lines.index(line) + 1, extra)
        self._rewrite(extra, "fitted", day)
        self._rewrite(extra, "removed", self.sheet.removed(day))
        self._rewrite(extra, "reason", self.sheet.words.reasons["other_work"][0])
        for column in ("lot", "found", "sound", "hours_in", "hours_out"):
            self._rewrite(extra, column, "")
        self._rewrite(extra, "note", "Probe, am selben Tag getauscht")
        self.spoiling.extras.append(extra)
        self.spoiling.take(life)
        true = "fitted and removed on one day"
        self.spoiling.plant(
            "zero_life",
            self.page,
            extra,
            self.sheet.headers["removed"],
            true,
            "ignored",
            life=life,
        )

    def serial_date(self) -> None:
        """Some dates of fitting stand as plain numbers of days: the cells lost their format."""
        column = self.sheet.headers["fitted"]
        dated = [
            line
            for line in self._lines()
            if isinstance(line.cells[column], date) and self.spoiling.free(line.lives[0])
        ]
        for line in dated[::_EVERY]:
            line.cells[column] = (_fitted(line.lives[0]) - SERIAL_EPOCH).days
        if dated:
            true = dated[0].lives[0].text["fitted_on"]
            self._note("serial_date", dated[0], "fitted", true, "used")

    def _slips(self, life: CleanLife) -> list[str]:
        """The boat's name with two neighbouring letters swapped, where no boat is so named."""
        name = life.boat.name
        names = {boat.name for boat in self.spoiling.clean.boats}
        swapped = [
            name[:i] + name[i + 1] + name[i] + name[i + 2 :]
            for i in range(1, len(name) - 1)
            if name[i].islower() and name[i + 1].islower() and name[i] != name[i + 1]
        ]
        return [one for one in swapped if one not in names]

    def _lines(self) -> Iterator[Line]:
        return (line for line in self.page.lines if len(line.lives) == 1)

    def _pick(self, suits: Callable[[CleanLife], bool]) -> Line | None:
        return self.spoiling.pick(
            line
            for line in self._lines()
            if self.spoiling.free(line.lives[0]) and suits(line.lives[0])
        )

    def _rewrite(self, line: Line, column: str, cell: Cell) -> None:
        line.cells[self.sheet.headers[column]] = cell

    def _note(
        self,
        sort: str,
        line: Line,
        column: str,
        true: str,
        expect: Expect,
        *,
        fate: Fate | None = None,
    ) -> None:
        life = line.lives[0]
        self.spoiling.take(life, fate=fate)
        header = self.sheet.headers[column]
        self.spoiling.plant(sort, self.page, line, header, true, expect, life=life)


def _fitted(life: CleanLife) -> date:
    assert life.fitted is not None
    return life.fitted


def _removed(life: CleanLife) -> date:
    assert life.removed is not None
    return life.removed


def _days(life: CleanLife) -> tuple[date, date]:
    return _fitted(life), _removed(life)


def _long_enough(life: CleanLife) -> bool:
    if life.fitted is None or life.removed is None:
        return False
    return life.removed - life.fitted >= _LEAST_LIFE


def _ends_later(life: CleanLife, than: date) -> bool:
    """True where the part was in place, and not yet seen failed, well after a day."""
    sound = life.day("last_sound_on")
    ends = [day for day in (life.removed, sound, life.boat.watched_to) if day]
    return min(ends) > than + _MONTHS_APART
