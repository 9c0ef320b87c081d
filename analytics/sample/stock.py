"""What the bases have in store: the rows of stock.csv.

A modest store of the sizes that a base's boats have, some of it made so long ago that it will
not keep much longer. All chances come from a stream that nothing else draws from.
"""

from collections.abc import Iterator, Sequence

import numpy as np

from analytics.sample.boats import Boat
from analytics.sample.chance import Chance
from analytics.sample.records import iso, part_number
from analytics.sample.scenario import Scenario, TrueKind

STOCK_COLUMNS = ("base", "kind", "part_no", "size", "quantity", "made_on", "note")

_OWN_STREAM = 5
"""The fleet, its mess and its clearances draw from the streams before this one."""

_SHARE_IN_STORE = 0.45
_NEARLY_OLD_SHARE = 0.35
_MOST = 2
_YEAR = 365


def stock_rows(scenario: Scenario, boats: Sequence[Boat], seed: int) -> list[tuple[str, ...]]:
    """The rows of stock.csv, and one of a part that lost its label.

    Parameters
    ----------
    boats
        All boats; those that left the fleet need no spares.
    seed
        That of the fleet.

    Returns
    -------
    list of tuple of str
        Cells of `STOCK_COLUMNS`.
    """
    chance = Chance(np.random.SeedSequence(seed, spawn_key=(_OWN_STREAM,)))
    rows: list[tuple[str, ...]] = []
    for base in scenario.bases:
        here = [boat for boat in boats if boat.base == base and boat.left is None]
        for kind, size in _in_use(scenario, here):
            # Drawn whether or not they are needed, so that one store does not move the others.
            held, quantity = chance.happens(_SHARE_IN_STORE), chance.whole(1, _MOST)
            made = _made_on(scenario, kind, chance)
            if held:
                rows.append(
                    (
                        base.name,
                        kind.name,
                        part_number(kind, size),
                        f"{size} mm",
                        str(quantity),
                        iso(made),
                        "",
                    )
                )
    if rows:
        base_name, kind_name = rows[0][:2]
        rows.append((base_name, kind_name, "", "", "1", "", "label lost"))
    return rows


def _in_use(scenario: Scenario, boats: Sequence[Boat]) -> Iterator[tuple[TrueKind, int]]:
    fitted = {
        (kind, boat.boat_class.shaft_mm)
        for boat in boats
        for line in boat.lines
        for kind in line.kinds
    }
    for kind in scenario.kinds:
        for size in scenario.shaft_sizes_mm:
            if (kind.name, size) in fitted:
                yield kind, size


def _made_on(scenario: Scenario, kind: TrueKind, chance: Chance) -> int:
    """A day of making: mostly of the last three years, now and then near the end of its life."""
    keeps = (kind.shelf_life_years or 7) * _YEAR
    old, share = chance.happens(_NEARLY_OLD_SHARE), chance.uniform()
    days = int(keeps * (0.8 + 0.25 * share)) if old else int(3 * _YEAR * share)
    return scenario.as_of.toordinal() - days
