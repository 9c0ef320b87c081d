"""Published data sets written as fleet folders, so that the whole program runs on them.

The sources give ages only. Dates here are nominal: every record ends on `AS_OF`, and a day of
fitting is chosen so that the age on that day is the published one.
"""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

AS_OF = date(2025, 12, 31)
YEAR_BEFORE = AS_OF - timedelta(days=365)

FANS_HOURS_A_YEAR = 500.0
"""The source gives no rate of use; any will do, because only hours age a fan."""

CAGES_HOURS_AHEAD = 300.0
"""The published question: each cage still running runs this much further."""

CAGES_IN_SERVICE = {
    50: 288, 150: 148, 250: 124, 350: 111, 450: 106, 550: 99, 650: 110, 750: 114, 850: 119,
    950: 127, 1050: 123, 1150: 93, 1250: 47, 1350: 41, 1450: 27, 1550: 11, 1650: 6, 1850: 1,
    2050: 2,
}  # fmt: skip
"""Bearing cages still running, by hours (1,697 of 1,703).

Abernethy and others 1983, AFWAL-TR-83-2079, as grouped in Meeker & Escobar 1998, chapter 8; the
books were not seen, the numbers come from the data file of an open R package.
"""

CAGES_FAILED = (230, 334, 423, 990, 1009, 1510)
"""Hours at which the other six cages failed; same source."""


def bearing_cages() -> list[tuple[float, bool]]:
    """Hours and whether it failed, of each of the 1,703 bearing cages."""
    running = [(float(h), False) for h, n in CAGES_IN_SERVICE.items() for _ in range(n)]
    return running + [(float(h), True) for h in CAGES_FAILED]


def cages_fleet() -> dict[str, bytes]:
    """The bearing cages, one a boat, and a season in which each runs 300 h further."""
    # A season of 365 days is a little less than the year of 365.25 that a rate counts by.
    rate = CAGES_HOURS_AHEAD * 365.25 / 365
    return _by_hours("bearing_cage", bearing_cages(), rate, 'family = "weibull"\n')


def fans_fleet(fans: Iterable[tuple[float, bool]], family: str = "weibull") -> dict[str, bytes]:
    """The generator fans, one a boat."""
    return _by_hours("fan", list(fans), FANS_HOURS_A_YEAR, f'family = "{family}"\n')


def valve_seats_fleet(rows: Iterable[tuple[str, int, bool]]) -> dict[str, bytes]:
    """Engines as boats and the times between replacements as lives.

    Parameters
    ----------
    rows
        Engine, day of its age, and whether a seat was replaced then (else: last seen).
        The source does not say which seat, so that these lives are those of no one seat.
    """
    histories: dict[str, list[tuple[int, bool]]] = {}
    for engine, day, replaced in rows:
        histories.setdefault(engine, []).append((day, replaced))
    boats, parts = ["boat,joined_on"], ["boat,kind,fitted_on,removed_on,reason"]
    for engine, history in histories.items():
        began = AS_OF - timedelta(days=history[-1][0])
        boats.append(f"{engine},{began}")
        fitted = 0
        for day, replaced in history:
            removed = f"{began + timedelta(days=day)},failed" if replaced else ","
            parts.append(f"{engine},valve_seat,{began + timedelta(days=fitted)},{removed}")
            fitted = day
    return {
        "fleet.toml": _settings("valve_seat", date(1990, 1, 1), 'clock = "years"\n'),
        "boats.csv": _csv(boats),
        "parts.csv": _csv(parts),
    }


def _by_hours(
    kind: str, lives: Sequence[tuple[float, bool]], hours_a_year: float, more: str = ""
) -> dict[str, bytes]:
    boats, hours = ["boat,lay_up,hours_per_season"], ["boat,read_on,hours"]
    parts = ["boat,kind,fitted_on,removed_on,reason,fitted_hours,removed_hours"]
    for number, (age, failed) in enumerate(lives, start=1):
        boat = f"U{number:04d}"
        boats.append(f"{boat},afloat,{hours_a_year:.9f}")
        if failed:
            parts.append(f"{boat},{kind},{YEAR_BEFORE},{AS_OF},failed,0,{age:g}")
        else:
            parts.append(f"{boat},{kind},{YEAR_BEFORE},,,0,")
            hours.append(f"{boat},{AS_OF},{age:g}")
    return {
        "fleet.toml": _settings(kind, YEAR_BEFORE, 'clock = "hours"\n' + more),
        "boats.csv": _csv(boats),
        "parts.csv": _csv(parts),
        "hours.csv": _csv(hours),
    }


def _settings(kind: str, records_from: date, more: str) -> bytes:
    return (
        f"as_of = {AS_OF}\n"
        f"records_from = {records_from}\n"
        "shaft_share = 1.0\n"
        'season_start = "12-31"\n'
        'season_end = "12-30"\n'
        f"[kinds.{kind}]\n"
        'causes = ["wear_out"]\n' + more
    ).encode()


def _csv(lines: list[str]) -> bytes:
    return ("\n".join(lines) + "\n").encode()
