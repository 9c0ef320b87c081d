"""The component kinds that Tideworn knows, and what the trade expects of each.

A kind says which clock ages the part, where its failures are seen, and what a
person believes before looking at any records (the prior). Every number here is
a planning default that `fleet.toml` can overrule: shape bands and intervals
are common practice, no source; they are printed with every result.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

Clock = Literal["years", "hours"]
"""What ages a part: calendar years since it was fitted, or shaft hours run."""

NITRILE_STORAGE = 7.0
"""Years in store for nitrile-type rubber, ISO 2230 group B (read second-hand; sources differ)."""

NITRILE_LONGER = 3.0
"""Years more after an inspection, from the same source."""

ISO_2230 = "ISO 2230, group B, read second-hand"

DEFAULT_EARLY_DAYS = 90
"""Common practice, no source: a bad fit shows itself inside 60 to 90 days."""


@dataclass(frozen=True)
class Prior:
    """What is believed of a kind before its records are read, in trade terms.

    Ranges of the shape and of `worn_out` are those of the belief if it holds: a
    fifth of its weight says that it may not, see `ageing.prior`.

    Attributes
    ----------
    shape : float
        Median of the Weibull shape; the belief is lognormal about it.
    shape_factor : float
        The 90 % range of the shape is ``shape / shape_factor`` to
        ``shape * shape_factor``.
    at : float
        An age on the kind's clock that the trade quotes (the maker's interval).
    worn_out : tuple[float, float]
        5 % and 95 % points of the share of parts worn out by the age `at`;
        the belief is normal on the log-odds scale between them.
    early : tuple[float, float]
        5 % and 95 % points of the share of installs that fail early.
    accidents : float
        Accidents per part and year.
    accident_years : float
        How many part-years of watching that accident rate is worth.
    """

    shape: float
    shape_factor: float
    at: float
    worn_out: tuple[float, float]
    early: tuple[float, float] = (0.005, 0.06)
    accidents: float = 0.012
    accident_years: float = 40.0


@dataclass(frozen=True)
class Kind:
    """One kind of part, with the boundary that says what counts as inside it.

    Attributes
    ----------
    name : str
        As written in the `kind` column.
    label, boundary : str
        Words for people; `boundary` says what is inside the item.
    clock : {"years", "hours"}
        What ages it.
    prior : Prior
        Belief before the records.
    limit : float or None
        Age on the kind's clock at which it is replaced at the next lift.
    limit_years : float or None
        A calendar limit, for kinds that age by hours but carry one.
    limit_from : str
        Whose limit it is, shown beside it.
    causes : tuple[str, ...]
        Which of ``early``, ``wear_out`` and ``accident`` are modelled.
    early_days : int
        Days after fitting within which an early failure can fall.
    found_ashore_only : bool
        True where a failure shows only when the boat is lifted.
    stops_the_boat : bool
        True where a failure under way costs a tow and charter days.
    can_flood : bool
        True where an open failure lets water in.
    lost_days, tow : float or None
        Charter days that a failure under way costs, and the tow; None for those of
        the fleet's rates. They count only where the kind stops the boat.
    damage : float or None
        What water inside the boat would cost if it came to that: a scenario of its own,
        never part of an average. None where nobody has said.
    storage_years : float or None
        Years that a new part may lie in store before it is fitted; None where nothing
        limits it. `shelf_life_years` of prices.csv goes before it.
    storage_longer : float
        Years more that an inspection may grant.
    storage_from : str
        Whose storage life it is, shown beside it.
    family : {"averaged", "weibull", "lognormal"}
        The wear-out family; "averaged" lets the records choose, and averages over
        the families where they cannot tell them apart.
    apart : tuple[str, ...]
        Lots that are fitted on their own, because somebody judged them different.
    set_lots_apart : bool
        False where lots that are found to have a life of their own are counted with
        the others all the same.
    """

    name: str
    label: str
    boundary: str
    clock: Clock
    prior: Prior
    limit: float | None = None
    limit_years: float | None = None
    limit_from: str = "planning default"
    causes: tuple[str, ...] = ("early", "wear_out", "accident")
    early_days: int = DEFAULT_EARLY_DAYS
    found_ashore_only: bool = False
    stops_the_boat: bool = True
    can_flood: bool = True
    lost_days: float | None = None
    tow: float | None = None
    damage: float | None = None
    storage_years: float | None = None
    storage_longer: float = 0.0
    storage_from: str = "planning default"
    family: Literal["averaged", "weibull", "lognormal"] = "averaged"
    apart: tuple[str, ...] = ()
    set_lots_apart: bool = True

    @property
    def unit(self) -> str:
        """Unit of the kind's clock, for axes and tables."""
        return "years" if self.clock == "years" else "shaft hours"


KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind(
            name="bellows",
            label="Bellows",
            boundary="the rubber bellows of a face seal and its clamps",
            clock="years",
            # Rubber ages by chemistry, alike across units: a narrow, steep wear-out.
            prior=Prior(shape=4.0, shape_factor=1.6, at=8.0, worn_out=(0.02, 0.40)),
            limit=8.0,
            storage_years=NITRILE_STORAGE,
            storage_longer=NITRILE_LONGER,
            storage_from=ISO_2230,
        ),
        Kind(
            name="face_seal",
            label="Face seal",
            boundary="carbon face, rotor, O-rings and set screws",
            clock="hours",
            prior=Prior(shape=1.8, shape_factor=1.6, at=3000.0, worn_out=(0.05, 0.60)),
            storage_years=NITRILE_STORAGE,
            storage_longer=NITRILE_LONGER,
            storage_from=ISO_2230,
        ),
        Kind(
            name="lip_seal",
            label="Lip seal",
            boundary="lip seal body, its lips and water feed",
            clock="hours",
            prior=Prior(shape=2.3, shape_factor=1.6, at=1000.0, worn_out=(0.02, 0.40)),
            limit_years=7.0,
            storage_years=NITRILE_STORAGE,
            storage_longer=NITRILE_LONGER,
            storage_from=ISO_2230,
        ),
        Kind(
            name="packed_gland",
            label="Packed gland",
            boundary="the set of packing rings in a gland",
            clock="hours",
            prior=Prior(shape=1.5, shape_factor=1.6, at=600.0, worn_out=(0.05, 0.70)),
            # Packing is topped up and tightened afloat: a leak costs an hour, not a charter.
            stops_the_boat=False,
        ),
        Kind(
            name="gland_hose",
            label="Gland hose",
            boundary="the stern-tube hose and its clamps",
            clock="years",
            prior=Prior(shape=4.0, shape_factor=1.6, at=10.0, worn_out=(0.02, 0.50)),
            limit=12.0,
            storage_years=NITRILE_STORAGE,
            storage_longer=NITRILE_LONGER,
            storage_from=ISO_2230,
        ),
        Kind(
            name="cutless_bearing",
            label="Cutless bearing",
            boundary="bearing shell and rubber staves",
            clock="hours",
            prior=Prior(shape=2.8, shape_factor=1.6, at=2000.0, worn_out=(0.05, 0.60)),
            found_ashore_only=True,
            stops_the_boat=False,
            can_flood=False,
            storage_years=NITRILE_STORAGE,
            storage_longer=NITRILE_LONGER,
            storage_from=ISO_2230,
        ),
    )
}


def on_the_other_clock(kind: Kind) -> Kind:
    """The kind on the clock that is not its own: a wide prior there, its limit kept in years.

    An age in years means nothing in hours, so nothing that was said of one clock
    may be read on the other.
    """
    wide = replace(kind.prior, worn_out=(0.02, 0.60))
    if kind.clock == "years":
        years = kind.limit if kind.limit_years is None else kind.limit_years
        prior = replace(wide, at=2000.0)
        return replace(kind, clock="hours", prior=prior, limit=None, limit_years=years)
    prior = replace(wide, at=8.0)
    return replace(kind, clock="years", prior=prior, limit=kind.limit_years, limit_years=None)


def unknown_kind(name: str) -> Kind:
    """A kind of the user's own: calendar clock and a wide prior, until `fleet.toml` says more."""
    return Kind(
        name=name,
        label=name.replace("_", " ").capitalize(),
        boundary="as the fleet folder names it",
        clock="years",
        # From a rate that hardly rises with age to parts that all fail within a few years: 90 % of
        # fleets should be covered whatever ages the part (measured by simulation).
        prior=Prior(shape=3.0, shape_factor=4.0, at=8.0, worn_out=(0.002, 0.80)),
        limit_from="none given",
        stops_the_boat=False,
        can_flood=False,
    )
