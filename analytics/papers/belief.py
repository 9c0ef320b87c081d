"""What is believed of a kind before its records, how much they add, and what hangs on it: in words.

Reasons for the default beliefs are common practice, no source; they are printed
so that whoever knows better can say so in `fleet.toml`.
"""

from __future__ import annotations

from collections.abc import Sequence

from analytics.ageing.belief import FigureName, Learned
from analytics.ageing.summary import Estimate
from analytics.outlook.doubt import STANCES, PriorDoubt, Stance, prior_under
from analytics.papers.words import count, percent, prior_is_default
from analytics.records.kinds import Kind, Prior

MOSTLY, HALF, LITTLE = 0.75, 0.5, 0.25
"""Shares that come from the records, from which the sentence changes (planning defaults)."""

STAYS, HANGS = 1.25, 1.6
"""Highest over lowest expected failures up to which an answer stays, and from which it hangs on
the prior (planning defaults)."""

NO_MATTER = 0.25
"""A difference of expected failures below which nobody would act otherwise (planning default)."""

HARDLY = 0.05
"""Expected failures below which there is nothing to plan for (planning default)."""

FIRST = 10
"""Parts and boats whose place in the order is followed."""

LONGEST: dict[str, float] = {"years": 200.0, "shaft hours": 200_000.0}
"""Lives beyond which a number would only feign to be known."""

FIGURES: dict[FigureName, str] = {
    "life_10": "age by which 10 % have failed",
    "scale": "scale of the wear-out",
    "shape": "shape (how sharply parts wear out)",
    "early": "share of bad fits",
    "accidents": "rate of accidents",
    "expected_failures": "expected failures of the season",
}

REASONS: dict[str, str] = {
    "bellows": "Rubber ages by chemistry, much alike in every part: a sharp wear-out. Makers and "
    "owners mostly speak of six to eight years, with a margin.",
    "face_seal": "A face wears with the hours its shaft turns, and heat, grit and misalignment "
    "spread the lives: a moderate wear-out.",
    "lip_seal": "A lip wears with shaft hours; about a thousand is often quoted, and many last "
    "much longer.",
    "packed_gland": "Packing dries and hardens by and by and is tightened in between: age tells "
    "something, not much. A set is often renewed every two to four years.",
    "gland_hose": "Rubber as in bellows, without their spring load: a sharp wear-out, most often "
    "renewed after eight to twelve years.",
    "cutless_bearing": "Staves wear with shaft hours, and the water they turn in matters much: a "
    "wear-out that is clear, not sharp.",
}

UNKNOWN_REASON = (
    "Nothing is known of this kind here: the belief is wide, and says no more than that parts wear "
    "out within some years or decades."
)

SHARED_REASONS = (
    "Bad fits: of 200 fittings 1 to 12, seen within the first months. Accidents: about one in 80 "
    "parts and years, worth 40 part-years of watching."
)

STANCE_WORDS: dict[Stance, str] = {
    "doubtful": "a doubtful belief",
    "as set": "the belief as it is set",
    "trusting": "a trusting belief",
}

NONE_IN_SERVICE = "No part is in service: nothing can fail in the season."

MEASURE = (
    "The share from the records is one minus the square of the range with the records over the "
    "range before them; 0 %: nothing learned, 100 %: nothing left to belief."
)

STANCES_LEAD = (
    "Doubtful: the same middle, every stated range twice as wide, so that the belief counts for "
    "about a quarter. Trusting: half as wide, so that it counts about four times."
)


def figure_of(one: Learned) -> str:
    """What a figure is, in words."""
    if one.figure == "scale":
        of = "63 %" if one.family == "weibull" else "half"
        return f"age by which {of} have worn out"
    return FIGURES[one.figure]


def named_with_unit(one: Learned) -> str:
    """A figure and its unit, for a table or above an axis."""
    named, unit = figure_of(one).capitalize(), unit_of(one.unit)
    return f"{named}, {unit}" if unit and unit != "failures" else named


def value(amount: float, unit: str) -> str:
    """A figure with as many digits as mean something; shares and rates in a hundred parts."""
    if unit in LONGEST:
        if not amount < LONGEST[unit]:
            return f"more than {LONGEST[unit]:,.0f}"
        return f"{amount:,.0f}" if unit == "shaft hours" or amount >= 100 else f"{amount:.1f}"
    if unit in ("share", "a part and year"):
        return f"{amount * 100:.1f}"
    if not amount < 1000:
        return "more than 1,000"
    if unit == "failures" and amount < 0.95:
        return "less than 0.01" if 0 < amount < 0.005 else f"{amount:.2f}"
    return f"{amount:,.0f}" if amount >= 100 else f"{amount:.1f}"


def unit_of(unit: str) -> str:
    """The unit as it follows a number."""
    return {"share": "in 100 parts", "a part and year": "a year in 100 parts"}.get(unit, unit)


def range_of(estimate: Estimate, unit: str, to: str = " to ") -> str:
    """A 90 % range: "5.6 to 8.5"."""
    low, high = value(estimate.low, unit), value(estimate.high, unit)
    if high.startswith("more than") and low != high:
        return f"{low} to {high}"
    return low if low == high else f"{low}{to}{high}"


def estimate_of(estimate: Estimate, unit: str) -> str:
    """A middle value with its range: "6.9 (5.6 to 8.5)"."""
    return f"{value(estimate.median, unit)} ({range_of(estimate, unit)})"


def learned_sentence(one: Learned) -> str:
    """How much the records add to one figure: "The records narrow the range of the ..."."""
    figure, unit = figure_of(one), unit_of(one.unit)
    before = range_of(one.prior, one.unit, "–")
    after = f"{range_of(one.records, one.unit, '–')} {unit}".rstrip()
    if not one.fitted:
        return (
            f"The {figure}, {after}, is belief alone: from failures without survivors nothing can "
            "be learned of it."
        )
    share = one.from_records
    if one.conflict:
        return (
            f"The records move the {figure} from {before} to {after}: they do not bear out what "
            "was believed."
        )
    if share < -LITTLE:
        return (
            f"The records widen the range of the {figure} from {before} to {after}: they do not "
            "bear out what was believed, and do not say clearly what holds instead."
        )
    if share < LITTLE:
        return (
            f"The records hardly change the range of the {figure} ({before} before them, {after} "
            "with them): nearly all of this is belief."
        )
    verdict = (
        "most of what is said of it comes from the records"
        if share >= MOSTLY
        else "more of it comes from the records than from belief"
        if share >= HALF
        else "more of it is belief than records"
    )
    return f"The records narrow the range of the {figure} from {before} to {after}: {verdict}."


def conflict_sentence(figures: Sequence[Learned]) -> str | None:
    """A warning where records and belief do not go together; None where they do."""
    apart = [one for one in figures if one.conflict]
    if not apart:
        return None
    worst = max(apart, key=lambda one: abs(one.surprise))
    listed = "; ".join(
        f"{figure_of(one)}: believed {range_of(one.prior, one.unit)}, with the records "
        f"{range_of(one.records, one.unit)} {unit_of(one.unit)}".rstrip()
        for one in apart
    )
    which = "lower" if worst.surprise < 0 else "higher"
    return (
        f"Belief and records do not go together ({listed}). The records point {which} than the "
        "belief allows for by chance. The figures shown lie between the two and may fit neither: "
        "look for mixed causes, a bad lot, and wrong or missing dates first, then set a belief "
        "with a reason."
    )


def doubt_sentence(doubt: PriorDoubt, kind: str = "", group: str = "") -> str:
    """Whether the expected failures hang on the belief; of all kinds unless one is named."""
    expected = doubt.expected(kind, group)
    low, high = min(expected.values()), max(expected.values())
    shown = {stance: _number(number) for stance, number in expected.items()}
    if doubt.parts.empty:
        return NONE_IN_SERVICE
    if high < HARDLY:
        return (
            f"Hardly any failure is expected in season {doubt.season.year} under any of the three "
            "beliefs: the answer does not hang on the prior."
        )
    if len(set(shown.values())) == 1:
        moved = (
            f"The expected failures of season {doubt.season.year} stay at {shown['as set']} under "
            "a doubtful and under a trusting belief"
        )
    else:
        moved = (
            f"The expected failures of season {doubt.season.year}, {shown['as set']} with the "
            f"belief as it is set, are {shown['doubtful']} under a doubtful belief and "
            f"{shown['trusting']} under a trusting one"
        )
    if high - low < NO_MATTER or high <= STAYS * low:
        return f"{moved}: the answer does not hang on the prior."
    if high <= HANGS * low:
        return (
            f"{moved}: the answer hangs somewhat on the prior. Plan for "
            f"{_number(low)} to {_number(high)}, and for the luck about them."
        )
    return (
        f"{moved}: the answer hangs on the prior. These records cannot settle it; say what is "
        "believed, and why, before acting on the number."
    )


def order_sentence(doubt: PriorDoubt) -> str:
    """Whether the parts of highest risk stay the same whatever is believed."""
    parts = doubt.parts
    if parts.empty:
        return NONE_IN_SERVICE
    if len(parts) == 1:
        return "One part is in service: there is no order to change."
    top = parts.head(min(FIRST, (len(parts) + 1) // 2))
    kept = {
        stance: int((top[f"rank_{stance}"] <= len(top)).sum())
        for stance in ("doubtful", "trusting")
    }
    if min(kept.values()) == len(top):
        same = f"The {count(len(top), 'part')} of highest risk stay the same"
        if len(top) == 1:
            same = "The part of highest risk stays the same"
        return f"{same} whatever is believed."
    return (
        f"Of the {len(top)} parts of highest risk, {kept['doubtful']} stay among the {len(top)} "
        f"under a doubtful belief and {kept['trusting']} under a trusting one."
    )


def stance_sentence(kind: Kind, stance: Stance) -> str:
    """What one of the three beliefs is, in trade terms."""
    return f"{STANCE_WORDS[stance].capitalize()}: {belief(kind, prior_under(kind.prior, stance))}."


def stance_sentences(kind: Kind) -> list[str]:
    """The three beliefs, in trade terms."""
    return [stance_sentence(kind, stance) for stance in STANCES]


def belief(kind: Kind, prior: Prior) -> str:
    """A belief in trade terms, in one breath."""
    low, high = prior.worn_out
    told = [
        f"by {prior.at:,.4g} {kind.unit} {percent(low)} to {percent(high)} have worn out"
        if prior.at < 10_000
        else f"by {prior.at:,.0f} {kind.unit} {percent(low)} to {percent(high)} have worn out",
        f"shape {prior.shape / prior.shape_factor:.1f} to {prior.shape * prior.shape_factor:.1f}",
    ]
    if "early" in kind.causes:
        told.append(f"{prior.early[0] * 100:.1f} to {prior.early[1] * 100:.1f} bad fits in 100")
    if "accident" in kind.causes:
        told.append(
            f"{prior.accidents * 100:.1f} accidents a year in 100 parts, worth "
            f"{prior.accident_years:,.0f} part-years"
        )
    return "; ".join(told)


def reason(kind: Kind) -> str:
    """Why the belief of a kind is what it is."""
    if not prior_is_default(kind):
        return "Set in fleet.toml, in place of the planning default."
    own = REASONS.get(kind.name, UNKNOWN_REASON)
    return f"{own} {SHARED_REASONS} Planning default: common practice, no source."


def _number(expected: float) -> str:
    """Expected failures: one digit after the point, two where they are few."""
    return value(expected, "failures") if expected < 100 else f"{expected:,.0f}"
