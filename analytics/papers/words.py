"""One vocabulary for page, paper and terminal."""

from __future__ import annotations

import calendar

import pandas as pd

from analytics.ageing.fit import FEW, Ageing, FleetAgeing
from analytics.ageing.groups.lots import apart_sentence, of_a_lot_apart
from analytics.ageing.prior import DOUBT
from analytics.decisions.costing import price_day_known
from analytics.records.kinds import KINDS, Kind, on_the_other_clock, unknown_kind
from analytics.records.settings import Settings

REASON_LABELS = {
    "failed": "failed",
    "accident": "accident",
    "in_service": "still fitted",
    "replaced_sound": "replaced while sound",
    "other_work": "out for other work",
    "boat_left": "boat left",
    "unknown": "removed, reason not known",
}

FIELD_LABELS = {
    "base": "base",
    "lay_up": "lay-up",
    "water": "water",
    "lot": "lot",
    "size": "size",
    "part_no": "part number",
}
"""What lives are sorted by, in words."""

POSITION_LABELS = {"single": "", "port": "port", "starboard": "starboard"}


def percent(share: float) -> str:
    """A share as people say it: "12 %", "less than 1 %"."""
    if share < 0.005:
        return "less than 1 %" if share > 0 else "0 %"
    if share > 0.995:
        return "more than 99 %"
    return f"{share:.0%}".replace("%", " %")


def in_a_hundred(share: float, low: float, high: float) -> str:
    """A risk with its range in whole boats or parts: "about 12 in 100 (likely 6 to 21)"."""
    return f"about {share * 100:.0f} in 100 (likely {low * 100:.0f} to {high * 100:.0f})"


def count(number: int, one: str, many: str = "") -> str:
    """A number of things, in the singular where it is one."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def age(low: float, high: float, kind: Kind) -> str:
    """An age on the kind's clock; a range where the fitting is not known to the day."""
    digits = 1 if kind.clock == "years" else 0
    ends = [f"{bound:,.{digits}f}" for bound in (low, high)]
    shown = ends[0] if ends[0] == ends[1] else " to ".join(ends)
    return f"{shown} {kind.unit}"


def money(amount: float, currency: str) -> str:
    """An amount with its currency code, in whole units; what has no price is not known."""
    if amount != amount:
        return "not known"
    return f"{currency} {amount:,.0f}"


def part(kind: str, position: str) -> str:
    """A kind of part and, on a boat with two shafts, its side."""
    return place(kind.replace("_", " "), position)


def place(boat: str, position: str) -> str:
    """A boat and, where it has two shafts, the side."""
    side = POSITION_LABELS.get(position, position)
    return f"{boat}, {side}" if side else boat


def how_sure(ageing: Ageing) -> str:
    """One sentence on how much the records say about a kind."""
    counted = f"{count(ageing.lives, 'life', 'lives')}, {count(ageing.failures, 'failure')}"
    if ageing.grade == "only failures, not fitted":
        return (
            f"Not fitted ({counted} and nothing else): from failures alone the life of a part "
            "cannot be told. What follows is the prior; export the parts that did not fail too."
        )
    if ageing.grade == "too few failures to say":
        return (
            f"Too few failures to say ({counted}; {FEW} worn-out failures are needed): "
            "what follows is mostly the prior, not these records."
        )
    if ageing.grade == "indicative":
        return f"Indicative ({counted}): the range is wide, and a few more failures would move it."
    return f"Usable ({counted})."


def drawn_with_difficulty(ageing: Ageing) -> str:
    """That the draws behind a curve were hard to come by; empty where they were not."""
    if ageing.posterior.method != "random walk":
        return ""
    return (
        "These records pull in several directions, so that the usual way of drawing curves did "
        "not settle and a slower one was used: the figures may move a little with the seed."
    )


WITHOUT_REASON = 0.1
"""Share of removals without a reason from which it is said beside every risk (planning default)."""


def without_reason(table: pd.DataFrame) -> str:
    """That removals say no reason, where many do; they count as not failed.

    Parameters
    ----------
    table : DataFrame
        Rows of `lives.table`.
    """
    removed = int((~table["outcome"].isin(["in_service", "boat_left"])).sum())
    unknown = int((table["outcome"] == "unknown").sum())
    if not unknown or unknown < WITHOUT_REASON * removed:
        return ""
    return (
        f"{unknown:,} of {count(removed, 'removal says', 'removals say')} no reason, and "
        f"{'counts' if unknown == 1 else 'count'} as not failed. Had some been failures, parts "
        "would last shorter and the risk be higher than shown: fill in the reasons."
    )


LIKELY_WORN = 0.5
"""Chance of being worn already from which a part is named (planning default)."""

_NAMED_WORN = 6


def likely_worn(parts: pd.DataFrame) -> str:
    """Which parts have more likely than not worn already, unseen: to be looked at first.

    Parameters
    ----------
    parts : DataFrame
        Of `season_risk`.
    """
    worn = parts[parts["risk_hidden"].astype(float) >= LIKELY_WORN]
    worn = worn.sort_values(["risk_hidden", "boat", "position"], ascending=[False, True, True])
    if worn.empty:
        return ""
    named = [
        f"{place(row['boat'], row['position'])}, {row['kind'].replace('_', ' ')} "
        f"({percent(row['risk_hidden'])})"
        for _, row in worn.head(_NAMED_WORN).iterrows()
    ]
    more = f" and {len(worn) - _NAMED_WORN} more" if len(worn) > _NAMED_WORN else ""
    return (
        "More likely than not worn already, where only a lift shows it: "
        f"{'; '.join(named)}{more}. Look at these at the next lift."
    )


def prior_sentence(kind: Kind) -> str:
    """The belief that stands before the records, so that nobody mistakes it for data."""
    prior, unit = kind.prior, kind.unit
    low, high = prior.worn_out
    return (
        f"Before the records: by {prior.at:,.0f} {unit}, {percent(low)} to {percent(high)} are "
        f"believed worn out; shape {prior.shape / prior.shape_factor:.1f} to "
        f"{prior.shape * prior.shape_factor:.1f}. Either may be wrong with a chance of "
        f"{percent(DOUBT)}, and next to nothing is then known of it. "
        + (
            "A planning default (common practice, no source); fleet.toml can say otherwise."
            if prior_is_default(kind)
            else "Wider than for other parts of the kind: this lot was found to have a life "
            "of its own."
            if _of_a_lot_apart(kind)
            else "Set in fleet.toml."
        )
    )


def prior_is_default(kind: Kind) -> bool:
    """True where a kind is believed to be what the catalogue says, on whichever clock."""
    own = KINDS.get(kind.name) or unknown_kind(kind.name)
    return kind.prior in (own.prior, on_the_other_clock(own).prior)


def _of_a_lot_apart(kind: Kind) -> bool:
    own = KINDS.get(kind.name) or unknown_kind(kind.name)
    return kind.prior in [of_a_lot_apart(one).prior for one in (own, on_the_other_clock(own))]


def assumptions(
    settings: Settings, ageing: FleetAgeing | None = None, *, money_too: bool = False
) -> list[str]:
    """What every outlook takes for granted, for the page that shows the numbers.

    With `ageing`, also which lots were set apart, and why.
    """
    rule, rates = settings.seasons, settings.rates
    lift = rule.next_lift(settings.as_of) if settings.as_of else None
    listed = [
        f"Records are taken as complete up to {settings.as_of}; removals were written down from "
        f"{settings.records_from or 'the first fitting on'}.",
        f"The season runs from {_day(rule.start)} to {_day(rule.end)}; planned work is done at a "
        f"lay-up lift, the next on {lift}.",
        "Risks are as things stand: nothing is renewed before the season. A boat that is known to "
        "leave counts until it does.",
        "Each kind has a curve, and bases, water, lay-up, sizes, part numbers, lots and shaft "
        "lines lengthen or shorten life by a factor where enough lives tell; factors are drawn "
        "towards none. They say what goes together, not why.",
        "Intervals hold 90 % and cover what is not known of the curve, of its family, of the "
        "factors, of fitting dates and of the hours that boats have run and will run. They do not "
        "cover records that are wrong, nor a future unlike the past.",
        "A bearing whose clearance was measured is judged by its own readings as well: it is taken "
        "to wear along a straight line and to fail where it reaches the limit of its size.",
        "A part bought later is taken as of none of the lots that were set apart.",
        "Boats laid up ashore run their shafts in the season, all others all year round; hours "
        "to come are those of boats.csv, or the past rate. A meter hour counts as "
        f"{settings.shaft_share:g} of a shaft hour.",
        "An undated part may have been fitted on any day its window allows; most likely when the "
        "boat was built, and seldom so long ago that it would have been renewed since.",
        "A bearing in service is known sound only at its boat's last lift, so what is said of the "
        "time before the season begins there. Any other part counts as sound up to the end of the "
        "records, where no failure is written down; its risk begins there.",
        "Parts removed sound, for other work or for an unknown reason count as not failed when "
        "removed. Where parts were replaced because they looked tired, the risk shown is too low.",
        "Accidents (line round the shaft, grounding) happen at a constant rate, whatever the age.",
    ]
    for (_, group), one in (ageing or {}).items():
        if group == "all":
            listed += [apart_sentence(lot, one.kind) for lot in one.set_apart]
    if money_too:
        listed += [
            price_basis(settings),
            f"Labour {rates.labour_per_hour:g} an hour. Jobs on one shaft line at one lay-up lift "
            "share the strip-down: the longest of them counts, once. What a job takes with the "
            "shaft drawn is shared_hours of prices.csv, all of its labour where that is blank. "
            f"After a failure labour and lift cost {rates.emergency_multiplier:g} times as much, "
            "and nothing is shared. What fails while a boat lies ashore for the lay-up is found "
            "there: a job alone at the planned price, without lift, tow and lost days.",
            "The parts budget of a season counts from the end of the season before to its own "
            "end, that of the first from the day after the last one watched; it finds a worn "
            "bearing when a lift does, and renews what fails, so its number of failures is not "
            "the season's.",
            "Parts budget: committed is the mean cost of renewals planned at a limit, forecast "
            "that of all others. Contingency is the P80 of the total less what is committed, and "
            "0 where that is less: the forecast is paid from it.",
            "Planned renewals, and worn parts that a lift finds, are paid in the month of the "
            "lay-up lift; what fails is paid in the month in which it fails.",
            "Parts budget: parts and labour only; haul-outs, tows and lost charter days are in "
            "the consequence of a failure, not in the budget.",
            "Consequence of a failure that stops the boat: part, labour and lift "
            f"({rates.lift_and_launch:g}) out of turn, tow ({rates.tow:g}) and "
            f"{rates.lost_days:g} lost days at {rates.lost_day:g}. Damage by water is not in it.",
        ]
        listed += [_own_consequence(kind) for kind in settings.kinds.values() if _is_told(kind)]
    return listed


def price_basis(settings: Settings) -> str:
    """In which currency, with which tax and of which day prices are, and how they rise."""
    rates = settings.rates
    tax = "tax not given" if rates.tax == "not given" else rates.tax
    of = "date not given" if rates.price_date == "not given" else f"of {rates.price_date}"
    if not price_day_known(settings):
        of += f" (taken as of {settings.as_of})"
    prices = f"Prices {settings.currency}, {tax}, {of}"
    if not rates.price_increase and not rates.labour_increase:
        return (
            f"{prices}; no inflation: no season is dearer, as fleet.toml sets neither "
            "price_increase nor labour_increase."
        )
    return (
        f"{prices}. Parts rise by {rates.price_increase * 100:g} % a year, labour and all other "
        f"rates by {rates.labour_increase * 100:g} %, up to the middle of the season year in "
        "which they are paid; no season is cheaper than the prices given."
    )


def _is_told(kind: Kind) -> bool:
    return kind.stops_the_boat and (kind.tow is not None or kind.lost_days is not None)


def _own_consequence(kind: Kind) -> str:
    """What a failure of one kind costs, where that is not what the fleet's rates say."""
    told = [] if kind.tow is None else [f"the tow costs {kind.tow:g}"]
    told += [] if kind.lost_days is None else [f"{kind.lost_days:g} charter days are lost"]
    return f"{kind.label}: {' and '.join(told)} in place of these (fleet.toml)."


def _day(month_day: tuple[int, int]) -> str:
    month = calendar.month_name[month_day[0]]
    return f"{month_day[1]} {month}"
