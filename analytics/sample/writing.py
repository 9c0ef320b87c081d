"""Text of the files of a fleet folder, and the folder on disk."""

import csv
import io
import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from pathlib import Path

from analytics.sample.records import part_number
from analytics.sample.scenario import Scenario

PRICE_COLUMNS = (
    "kind",
    "part_no",
    "part_price",
    "labour_hours",
    "shared_hours",
    "lead_time_days",
    "shelf_life_years",
)

_YEARLY_INCREASE = 0.03


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A CSV file (RFC 4180 quoting, but line feeds alone) with a header."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return out.getvalue()


def price_rows(scenario: Scenario) -> list[tuple[str, ...]]:
    """The rows of prices.csv: labour for the job alone, then where the shaft is drawn anyway.

    Of the lead time, its late side.
    """
    return [
        (
            kind.name,
            part_number(kind, size),
            str(price),
            f"{kind.labour_hours_alone:g}",
            f"{kind.labour_hours_shared:g}",
            str(kind.lead_days[1]),
            "" if kind.shelf_life_years is None else str(kind.shelf_life_years),
        )
        for kind in scenario.kinds
        for size, price in zip(scenario.shaft_sizes_mm, kind.prices, strict=True)
    ]


def settings_text(scenario: Scenario) -> str:
    """The text of fleet.toml."""
    rates = scenario.rates
    mid_lay_up = "01-15"
    lines = [
        "# Demo data, invented. No such boats, people or places; the prices are invented too.",
        f"name = {json.dumps(scenario.name, ensure_ascii=False)}",
        'note = "Demo data, invented: no such boats, people or places."',
        "demo = true",
        f"as_of = {scenario.as_of.isoformat()}",
        f"records_from = {scenario.records_from.isoformat()}",
        f'season_start = "{_month_day(scenario.season_start)}"',
        f'season_end = "{_month_day(scenario.season_end)}"',
        f'lift_on = "{mid_lay_up}"  # the lay-up lift that planned work is booked on',
        f'currency = "{scenario.currency}"',
        "shaft_share = 1.0  "
        "# share of meter hours that the shaft turns: these meters count shaft hours",
        "",
        "[rates]",
        f"labour_per_hour = {rates.labour_per_hour}",
        f"emergency_multiplier = {rates.emergency_multiplier:g}",
        f"lift_and_launch = {rates.lift_and_launch}",
        f"tow = {rates.tow}",
        f"lost_day = {rates.lost_day}",
        f"lost_days = {rates.lost_days}",
        f"price_increase = {_YEARLY_INCREASE}  # a year, of what parts cost",
        f"labour_increase = {_YEARLY_INCREASE}  # a year, of every other rate",
        f"price_date = {scenario.as_of.isoformat()}",
        'tax = "net"',
    ]
    for kind in scenario.kinds:
        if not kind.limits_years:
            continue
        limit = sorted(kind.limits_years)[len(kind.limits_years) // 2]
        lines += ["", f"[kinds.{kind.name}]"]
        if kind.clock == "years":
            lines.append(f"limit = {limit}  # years; replaced at the first lift after it")
        else:
            lines.append(
                f"limit_years = {limit}  # runs on hours, but the written limit is in years"
            )
    return "\n".join(lines) + "\n"


def write_files(files: Mapping[str, str], folder: Path) -> list[Path]:
    """Write the files of an invented fleet into a folder, making it if need be.

    Returns
    -------
    list of Path
        The files written, in the order given.

    Raises
    ------
    ValueError
        If the folder is a file, or holds anything but an invented fleet: nothing is written.
    """
    if folder.exists() and not folder.is_dir():
        raise ValueError(f"{folder} is a file; name an empty or a new folder instead")
    held = sorted(path.name for path in folder.iterdir()) if folder.exists() else []
    foreign = [name for name in held if name not in files]
    if foreign:
        raise ValueError(
            f"{folder} holds other files ({', '.join(foreign[:3])}); "
            "name an empty or a new folder, or move them away first"
        )
    if held and not _is_invented(folder / "truth.json"):
        # A real fleet folder has files of the same names; only truth.json tells them apart.
        raise ValueError(
            f"{folder} holds a fleet that may be real (it has no truth.json that says it is "
            "invented); name an empty or a new folder instead"
        )
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for name, text in files.items():
        path = folder / name
        path.write_bytes(text.encode("utf-8"))
        paths.append(path)
    return paths


def _is_invented(truth: Path) -> bool:
    try:
        held = json.loads(truth.read_bytes())
    except (OSError, ValueError):
        return False
    return isinstance(held, dict) and held.get("invented") is True


def _month_day(month_day: tuple[int, int]) -> str:
    return date(2000, *month_day).strftime("%m-%d")
