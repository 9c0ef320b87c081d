"""What the office wrote down of the true lives: rows of the fleet folder, as text."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from analytics.sample.boats import Boat, Line, day_of
from analytics.sample.chance import Chance
from analytics.sample.lives import Life
from analytics.sample.scenario import Habits, Scenario, TrueKind

BOAT_COLUMNS = (
    "boat",
    "base",
    "built_on",
    "joined_on",
    "left_on",
    "lay_up",
    "water",
    "hours_per_season",
)
PART_COLUMNS = (
    "boat",
    "position",
    "kind",
    "part_no",
    "size",
    "lot",
    "fitted_on",
    "removed_on",
    "reason",
    "found",
    "last_sound_on",
    "fitted_hours",
    "removed_hours",
    "note",
)

REASONS: Mapping[str, str] = {
    "wear_out": "failed",
    "early": "failed",
    "accident": "accident",
    "renewed": "replaced_sound",
    "other_work": "other_work",
    "still_fitted": "",
    "boat_left": "",
}
"""How the office words what truly ended a life."""

_NOTES = (
    "from the job card",
    "entered from the yard's sheet",
    "crew's report",
    "see the invoice",
    "done by the base",
    "done by the yard",
    "card hard to read",
    "part from stock",
)


@dataclass(slots=True)
class PartRow:
    """A row of parts.csv and the life behind it; `copied` marks a second entry of one life."""

    text: dict[str, str]
    boat: Boat
    line: Line
    life: Life
    copied: bool = False


@dataclass(slots=True)
class Reading:
    """A row of hours.csv."""

    boat: Boat
    line: Line
    day: int
    hours: float


def part_number(kind: TrueKind, shaft_mm: int) -> str:
    """The coined part number of a kind in a shaft size."""
    return f"TR-{kind.part_code}-{shaft_mm}"


def part_rows(
    scenario: Scenario, boat: Boat, line: Line, lives: list[Life], chance: Chance
) -> list[PartRow]:
    """The rows of parts.csv for the recorded lives on a line."""
    pen = _Pen(scenario.habits, boat, chance)
    records_from = scenario.records_from.toordinal()
    rows = []
    for life in lives:
        fitted = pen.fitted_on(life.fitted_on)
        removed = "" if life.ended_on is None else pen.day(life.ended_on)
        lot = _lot(scenario, life, chance)
        lot_lost = chance.happens(scenario.habits.lot_blank)
        if lot_lost or life.fitted_on < max(records_from, boat.seen_from):
            lot = ""
        meter_given = chance.happens(scenario.habits.meter_given) and life.kind.clock == "hours"
        note_given = chance.happens(scenario.habits.note_given)
        note = chance.pick(_NOTES)
        text = {
            "boat": boat.name,
            "position": line.position,
            "kind": life.kind.name,
            "part_no": part_number(life.kind, boat.boat_class.shaft_mm),
            "size": f"{boat.boat_class.shaft_mm} mm",
            "lot": lot,
            "fitted_on": fitted,
            "removed_on": removed,
            "reason": REASONS[life.ended],
            "found": life.found,
            "last_sound_on": pen.last_sound_on(life),
            "fitted_hours": "",
            "removed_hours": "",
            "note": note if note_given else "",
        }
        if meter_given and whole_date(fitted):
            text["fitted_hours"] = whole(line.hours.at(life.fitted_on))
        if meter_given and life.ended_on is not None and whole_date(removed):
            text["removed_hours"] = whole(line.hours.at(life.ended_on))
        rows.append(PartRow(text, boat, line, life))
    return rows


def boat_row(scenario: Scenario, boat: Boat, chance: Chance) -> dict[str, str]:
    """The row of boats.csv; a boat built before the records began has only its year."""
    run = [line.hours.at(boat.seen_to) - line.hours.at(boat.seen_from) for line in boat.lines]
    service = boat.lines[0].service
    seasons = service.at(boat.seen_to) - service.at(boat.seen_from)
    tens = round(sum(run) / len(run) / seasons / 10) if seasons > 0 else 0
    known = tens > 0 and not chance.happens(scenario.habits.hours_per_season_blank)
    built = iso(boat.built)
    return {
        "boat": boat.name,
        "base": boat.base.name,
        "built_on": built if boat.built >= scenario.records_from.toordinal() else built[:4],
        "joined_on": iso(boat.joined),
        "left_on": "" if boat.left is None else iso(boat.left),
        "lay_up": boat.base.lay_up,
        "water": boat.base.water,
        "hours_per_season": f"{tens}0" if known else "",
    }


def meter_readings(scenario: Scenario, boat: Boat, line: Line, chance: Chance) -> list[Reading]:
    """Readings at the start, near each season's end, and now and then within a season."""
    days = [boat.seen_from]
    for year in range(scenario.first_season, scenario.last_season + 1):
        season_end = day_of(year, scenario.season_end)
        within = day_of(year - 1, scenario.season_end) + chance.whole(150, 270)
        at_end = season_end - chance.whole(0, 6)
        wanted = [within] if chance.happens(scenario.habits.mid_season_reading) else []
        days += [day for day in [*wanted, at_end] if days[-1] < day <= boat.seen_to]
    return [Reading(boat, line, day, line.hours.at(day)) for day in days]


def lift_rows(boat: Boat) -> list[tuple[str, str, str, str, str]]:
    """The rows of lifts.csv: boat, lifted_on, launched_on, yard, reason."""
    exact_from = boat.base.exact_dates_from
    rows = []
    for lift in boat.lifts:
        unwritten = exact_from is not None and date.fromordinal(lift.lifted).year < exact_from
        if lift.lifted < boat.seen_from or unwritten:
            continue
        launched = iso(lift.launched) if lift.launched <= boat.seen_to else ""
        reason = "survey" if lift.survey else "lay-up"
        rows.append((boat.name, iso(lift.lifted), launched, f"{boat.base.name} yard", reason))
    return rows


def charter_rows(scenario: Scenario, boat: Boat, chance: Chance) -> list[tuple[str, str, str]]:
    """A few weeks' charters in the season after the last, Saturday to Saturday."""
    if boat.left is not None:
        return []
    year = scenario.last_season + 1
    first = day_of(year, scenario.season_start)
    first += (6 - date.fromordinal(first).isoweekday()) % 7
    weeks = (day_of(year, scenario.season_end) - first) // 7
    chosen = sorted(chance.shuffled(range(weeks))[: chance.whole(2, 4)])
    return [(boat.name, iso(first + 7 * w), iso(first + 7 * w + 7)) for w in chosen]


def slot_rows(scenario: Scenario, boats: int, chance: Chance) -> list[tuple[str, str, str]]:
    """Yard slots by week (its Monday) of the coming lay-up, a little more than one a boat."""
    first = date(scenario.last_season, *scenario.season_end) + timedelta(days=1)
    after = date(scenario.last_season + 1, *scenario.season_start)
    monday = first + timedelta(days=(8 - first.isoweekday()) % 7)
    usual = max(1, round(1.3 * boats / 20))
    rows = []
    while monday < after:
        holiday = date(monday.year, 12, 21) <= monday <= date(monday.year, 12, 31)
        slots = 0 if holiday else max(1, usual + chance.whole(-1, 1))
        rows.append((monday.isoformat(), str(slots), "yards closed" if holiday else ""))
        monday += timedelta(days=7)
    return rows


def iso(day: int) -> str:
    """An ordinal as an ISO 8601 date."""
    return date.fromordinal(day).isoformat()


def whole(value: float) -> str:
    """A number rounded half up to a whole one, as text."""
    return str(int(value + 0.5))


def whole_date(text: str) -> bool:
    """True for a date with year, month and day."""
    return len(text) == 10


class _Pen:
    """How one boat's office writes dates."""

    def __init__(self, habits: Habits, boat: Boat, chance: Chance) -> None:
        self.habits = habits
        self.boat = boat
        self.chance = chance

    def day(self, day: int) -> str:
        exact_from = self.boat.base.exact_dates_from
        text = iso(day)
        return text[:4] if exact_from is not None and int(text[:4]) < exact_from else text

    def fitted_on(self, day: int) -> str:
        draw = self.chance.uniform()
        if day >= self.boat.seen_from:
            return self.day(day)
        if draw < self.habits.old_fit_blank:
            return ""
        year_only = draw < self.habits.old_fit_blank + self.habits.old_fit_year_only
        return self.day(day)[:4] if year_only else self.day(day)

    def last_sound_on(self, life: Life) -> str:
        unwritten = self.chance.happens(self.habits.last_sound_blank)
        if life.sound_on is None or life.sound_on < self.boat.seen_from:
            return ""
        if life.kind.seen_ashore_only and unwritten:
            return ""
        return self.day(life.sound_on)


def _lot(scenario: Scenario, life: Life, chance: Chance) -> str:
    """The true lot: the half-year of making, up to ten months before the part was fitted."""
    made = date.fromordinal(life.fitted_on - chance.whole(0, 300))
    if life.bad_lot and scenario.bad_lot:
        return scenario.bad_lot.code
    return f"{life.kind.lot_code}-{made.year % 100:02d}{'A' if made.month <= 6 else 'B'}"
