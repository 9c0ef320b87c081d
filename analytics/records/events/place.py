"""The events of one place, one after another, read as the lives of the parts that sat there."""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping

from analytics.records.events import words
from analytics.records.events.bought import filled_by_bought
from analytics.records.events.life import Life
from analytics.records.events.order import in_order
from analytics.records.events.rows import Rows
from analytics.records.events.told import Telling
from analytics.records.events.windows import UNKNOWN, apart
from analytics.records.kinds import Kind

SAME_EVENT = 7
"""Days. Common practice, no source: two entries of one job lie within a week of each other."""

SAME_FAILURE = 60
"""Days. Common practice, no source: a part that failed is mostly renewed within two months, and
until then whatever is seen in its place is of the same failure."""

EMPTY = 365
"""Days. Common practice, no source: a part found failed may wait for the next lay-up, but no
longer than a year, unless another was fitted in between."""

_RENEWALS = ("replaced", "refurbished")
"""Actions that end one life and begin another."""


class Place:
    """Reads the events of one place at a time; between two of them nothing is kept.

    Parameters
    ----------
    rows : Rows
    telling : Telling
    kinds : mapping of str to Kind
        For the clock of a refurbished part.
    left : container of str
        Boats known to have left the fleet.
    last_day : int
        Last day watched.
    """

    def __init__(
        self,
        rows: Rows,
        telling: Telling,
        kinds: Mapping[str, Kind],
        left: Container[str],
        last_day: int,
    ) -> None:
        self.rows, self.telling, self.kinds = rows, telling, kinds
        self.left, self.last_day = left, last_day
        self.lives: list[Life] = []
        self.open: Life | None = None
        self.last: Life | None = None
        self.bought: dict[int, list[int]] = {}
        self.steps: dict[str, Callable[[int], None]] = {
            "fitted": self._fitted,
            "replaced": self._replaced,
            "removed": self._removed,
            "failed": self._removed,
            "moved": self._removed,
            "seen": self._seen,
            "refurbished": self._refurbished,
        }

    def read(self, first: int, after: int, step_done: Callable[[], None]) -> list[Life]:
        """The lives of the place whose events are `first` up to, not including, `after`."""
        rows = self.rows
        self.lives, self.open, self.last, self.bought = [], None, None, {}
        events = range(first, after)
        if "bought" in rows.deed[first:after]:
            self.bought = filled_by_bought(rows, events, self.telling)
        for i in in_order(rows, events):
            if rows.deed[i] != "bought":
                self.steps[rows.deed[i]](i)
                if rows.flags[i]:
                    self._flags(i)
            step_done()
        self._left_empty(first)
        for life in self.lives:
            life.settle()
            if life.ended_by == "followed":
                words.removal_missing(self.telling, rows, life)
        return self.lives

    # What the events say.

    def _fitted(self, i: int) -> None:
        life = self.open
        if life is not None:
            if self._same_fitting(life, i):
                self._merge_fitting(life, i)
                return
            self._followed(life, i)
        self._begin(i, "fitted")

    def _replaced(self, i: int) -> None:
        life = self.open
        if life is not None and self._same_replacement(life, i):
            if self.last is not None:
                self._same_end(self.last, i, "merged")
            self._merge_fitting(life, i)
            return
        self._close(i)
        self._begin(i, "replaced")

    def _removed(self, i: int) -> None:
        life, last, rows = self.open, self.last, self.rows
        if (
            life is not None
            and last is not None
            and rows.job[i]
            and life.begun_by in ("fitted", "replaced")
            and rows.job[i] == rows.job[life.begin_event]
            and self._near(last, i, SAME_EVENT)
            and not last.another_part(rows, i)
        ):
            # The removal of the old part, written down after the fitting of the new one.
            self._same_end(last, i, "merged")
            return
        self._close(i)

    def _seen(self, i: int) -> None:
        rows, life, last = self.rows, self.open, self.last
        condition = rows.condition[i]
        if condition == "degraded":
            words.degraded(self.telling, rows, i)
        if life is None:
            if last is not None and self._near(last, i, _quiet_after(last)):
                words.seen_after_removal(self.telling, rows, i, last)
                return
            if last is not None:
                words.in_place_unfitted(self.telling, rows, i)
            life = self._begin(i, "seen")
        elif not condition:
            words.seen_nothing_said(self.telling, rows, i)
            return
        if condition:
            life.seen_sound(rows.lo[i], rows.hi[i], rows.line[i])

    def _refurbished(self, i: int) -> None:
        rows, life = self.rows, self.open
        kind = self.kinds.get(rows.kind[i])
        renews = kind is not None and kind.clock == "hours"
        words.refurbished(self.telling, rows, i, renews)
        if not renews:
            return
        if life is not None and life.begun_by != "seen" and self._same_day(life, i):
            return  # told of as refurbished and fitted again
        old = self._close(i)
        new = self._begin(i, "refurbished")
        new.part_no, new.size = new.part_no or old.part_no, new.size or old.size
        new.lot, new.serial = new.lot or old.lot, new.serial or old.serial

    def _flags(self, i: int) -> None:
        flags = self.rows.flags[i].split()
        if "warranty" in flags:
            words.warranty(self.telling, self.rows, i)
        if "recall" in flags and self._reason(i) not in ("failed", "accident"):
            words.recalled(self.telling, self.rows, i, self.last)
        known = self._reason(i) not in ("", "unknown", "failed")
        if "degraded" in flags and known and self.rows.condition[i] != "degraded":
            words.degraded(self.telling, self.rows, i)

    # Beginning and ending lives.

    def _begin(self, i: int, by: str) -> Life:
        rows, last = self.rows, self.last
        life = Life(by, i, rows.line[i])
        if by != "seen":
            life.fit_lo, life.fit_hi = self._fit(i)
            if last is not None and life.fit_lo < last.end_lo:
                # There was no room for it before.
                life.fit_lo, life.fit_hi = last.end_lo, max(life.fit_hi, last.end_lo)
            life.began_after_end = last is not None and self._near(last, i, SAME_EVENT)
            life.arrives = rows.link[i]
        life.describe(rows, i)
        for issue in self.bought.get(i, ()):
            life.describe(rows, issue)
            life.lines.append(rows.line[issue])
        life.remark(rows.note[i])
        self.lives.append(life)
        self.open = life
        return life

    def _fit(self, i: int) -> tuple[int, int]:
        """When the new part was fitted, if that took longer than the rest of the event."""
        rows = self.rows
        if rows.fit_lo[i] == UNKNOWN:
            return rows.lo[i], rows.hi[i]
        return rows.fit_lo[i], rows.fit_hi[i]

    def _close(self, i: int) -> Life:
        """End the open life, or one that nobody told of; or see that it is the same end again."""
        rows, life, last = self.rows, self.open, self.last
        if life is None:
            if last is not None and self._is_same_end(last, i):
                says_more = rows.deed[i] in _RENEWALS or (
                    last.ended_by == "failed" and rows.deed[i] != "failed"
                )
                self._same_end(last, i, "used" if says_more else "merged")
                return last
            if last is not None:
                words.ended_unfitted(self.telling, rows, i, last)
            life = Life("", i, -1)
            self.lives.append(life)
        self._end(life, i)
        return life

    def _end(self, life: Life, i: int) -> None:
        rows = self.rows
        life.end_event, life.end_line, life.ended_by = i, rows.line[i], rows.deed[i]
        life.end_lo, life.end_hi = rows.lo[i], rows.hi[i]
        life.reason, life.found = self._reason(i), rows.found[i]
        life.seen_sound(rows.sound_lo[i], rows.sound_hi[i], rows.line[i])
        if rows.deed[i] not in _RENEWALS:
            life.describe(rows, i)
            life.leaves = rows.link[i]
        life.remark(rows.note[i])
        self.last, self.open = life, None

    def _followed(self, life: Life, i: int) -> None:
        """The part was gone when another was fitted, and nobody wrote down when or why."""
        lo, hi = self._fit(i)
        life.end_event, life.ended_by, life.reason = i, "followed", "unknown"
        life.end_lo, life.end_hi = max(lo, min(life.fit_lo, hi)), hi
        self.last, self.open = life, None

    # The same thing told twice.

    def _is_same_end(self, last: Life, i: int) -> bool:
        """True where an end told of while nothing is fitted is the one before it."""
        rows = self.rows
        # The marks on a renewal are those of the new part.
        if rows.deed[i] not in _RENEWALS and last.another_part(rows, i):
            return False
        one_job = rows.job[i] != "" and rows.job[i] == rows.job[last.end_event]
        if last.ended_by == "failed":
            # Whatever was seen in its place since then would have begun another life.
            return self._near(last, i, EMPTY)
        return self._near(last, i, SAME_FAILURE if one_job else SAME_EVENT)

    def _same_end(self, last: Life, i: int, outcome: str) -> None:
        """Put a further entry of an end with the first; the first one's day stands."""
        rows = self.rows
        reason = self._reason(i)
        if last.ended_by == "followed":
            # Until now nobody had said that the old part came out.
            last.ended_by, last.end_line = rows.deed[i], rows.line[i]
        if last.ended_by == "failed" and outcome == "used" and reason == "accident":
            # What the strip-down showed says more than the leak that led to it.
            differ, last.reason = last.reason not in ("failed", "accident"), "accident"
        else:
            differ = last.weigh(reason)
        last.seen_sound(rows.sound_lo[i], rows.sound_hi[i], rows.line[i])
        last.remark(rows.note[i])
        last.lines.append(rows.line[i])
        if rows.deed[i] not in _RENEWALS:
            last.describe(rows, i)
            last.leaves = max(last.leaves, rows.link[i])
        if outcome == "merged":
            last.found = last.found or rows.found[i]
        words.same_end(self.telling, rows, i, last, outcome, differ)

    def _merge_fitting(self, life: Life, i: int) -> None:
        life.describe(self.rows, i)
        for issue in self.bought.get(i, ()):
            life.describe(self.rows, issue)
            life.lines.append(self.rows.line[issue])
        life.remark(self.rows.note[i])
        life.lines.append(self.rows.line[i])
        life.arrives = max(life.arrives, self.rows.link[i])
        if life.begun_by != "refurbished":
            words.same_fitting(self.telling, self.rows, i, life)

    def _same_fitting(self, life: Life, i: int) -> bool:
        return (
            life.begun_by in ("fitted", "replaced", "refurbished")
            and self._same_day(life, i)
            and not life.another_part(self.rows, i)
        )

    def _same_replacement(self, life: Life, i: int) -> bool:
        """True unless it ends what the first entry began."""
        return self._same_fitting(life, i) and (life.begun_by == "replaced" or life.began_after_end)

    def _same_day(self, life: Life, i: int) -> bool:
        """True where an event is within a week of the one that a life began with."""
        rows, begin = self.rows, life.begin_event
        if (
            abs(rows.lo[i] - rows.lo[begin]) > SAME_EVENT
            or abs(rows.hi[i] - rows.hi[begin]) > SAME_EVENT
        ):
            return False
        if rows.hi[i] - rows.lo[i] <= SAME_EVENT:
            return True
        # Twice in 2015: one may well have followed the other, unless they are the same throughout.
        if rows.job[i] and rows.job[begin]:
            return rows.job[i] == rows.job[begin]
        return rows.note[i] == rows.note[begin] and rows.reason[i] == rows.reason[begin]

    def _near(self, last: Life, i: int, days: int) -> bool:
        rows = self.rows
        return apart(rows.lo[i], rows.hi[i], last.end_lo, last.end_hi) <= days

    def _reason(self, i: int) -> str:
        """Why a part was removed, as far as the event says."""
        rows = self.rows
        reason, deed, flags = rows.reason[i], rows.deed[i], rows.flags[i]
        if reason in ("failed", "accident"):
            return reason
        if deed == "failed" or (rows.condition[i] == "failed" and reason in ("", "unknown")):
            return "failed"
        if deed == "moved":
            return "other_work"
        if deed == "refurbished" or "recall" in flags:
            return "replaced_sound"
        if reason in ("", "unknown") and "by_age" in flags:
            return "replaced_sound"
        return reason

    def _left_empty(self, first: int) -> None:
        """Tell of a place whose part came out long ago, if its boat goes on."""
        last = self.last
        if self.open is not None or last is None or last.leaves >= 0:
            return
        gone = last.reason == "boat_left" or self.rows.boat[first] in self.left
        if not gone and self.last_day - last.end_hi > SAME_FAILURE:
            words.nothing_fitted(self.telling, last)


def _quiet_after(last: Life) -> int:
    """Days after an end in which what is seen is of the part that came out."""
    return SAME_FAILURE if last.ended_by == "failed" else SAME_EVENT
