"""The form of a belief: its fields in trade terms, and what is wrong with what was entered.

No Streamlit. Shares and rates are entered in a hundred parts, as people say them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

from analytics.ageing.own_belief import prior_lines, read_prior
from analytics.papers.words import count
from analytics.records.kinds import Kind, Prior

Entered = Mapping[str, float]
"""What stands in the fields, by their names."""


@dataclass(frozen=True)
class Field:
    """A field of the form.

    Attributes
    ----------
    name : str
    label, help : str
        `label` may hold "{unit}", the unit of the kind's clock.
    least, most : float
        What it must lie above, and may be at most.
    step : float
        Of its buttons.
    """

    name: str
    label: str
    help: str
    least: float
    most: float
    step: float


MOST_YEARS, MOST_HOURS = 200.0, 200_000.0

FIELDS: dict[str, Field] = {
    field.name: field
    for field in (
        Field(
            "at",
            "An age that the trade quotes, {unit}",
            "The maker's interval, or the age at which such parts are usually renewed.",
            0.0,
            MOST_HOURS,
            1.0,
        ),
        Field(
            "worn_low",
            "Worn out by then, of 100 parts, at least",
            "You would be surprised (1 in 20) if it were fewer.",
            0.0,
            99.99,
            1.0,
        ),
        Field(
            "worn_high",
            "Worn out by then, of 100 parts, at most",
            "You would be surprised (1 in 20) if it were more.",
            0.0,
            99.99,
            1.0,
        ),
        Field(
            "shape",
            "Shape: how sharply they wear out",
            "1: age tells nothing. 2: old parts fail more often. 4: most fail within a few years "
            "of each other.",
            0.2,
            20.0,
            0.1,
        ),
        Field(
            "shape_factor",
            "The shape may be lower or higher by a factor of",
            "1.6 about a shape of 4 means: 9 times in 10 between 2.5 and 6.4.",
            1.0,
            10.0,
            0.1,
        ),
        Field(
            "early_low",
            "Bad fits in 100 fittings, at least",
            "Fittings that fail within the first months because of the work or the part.",
            0.0,
            99.99,
            0.5,
        ),
        Field(
            "early_high",
            "Bad fits in 100 fittings, at most",
            "Fittings that fail within the first months because of the work or the part.",
            0.0,
            99.99,
            0.5,
        ),
        Field(
            "accidents",
            "Accidents a year in 100 parts",
            "Line round the shaft, grounding: whatever ends a part at any age.",
            0.0,
            1000.0,
            0.1,
        ),
        Field(
            "accident_years",
            "That rate is worth so many part-years of watching",
            "40: it counts as much as ten boats watched for four years.",
            0.0,
            100_000.0,
            5.0,
        ),
    )
}

ROWS = (
    ("at",),
    ("worn_low", "worn_high"),
    ("shape", "shape_factor"),
    ("early_low", "early_high"),
    ("accidents", "accident_years"),
)
"""How the fields stand on the page."""

PAIRS = (("worn_low", "worn_high"), ("early_low", "early_high"))


def fields_of(kind: Kind) -> list[Field]:
    """The fields that mean something for a kind."""
    left_out = set()
    if "early" not in kind.causes:
        left_out |= {"early_low", "early_high"}
    if "accident" not in kind.causes:
        left_out |= {"accidents", "accident_years"}
    return [field for name, field in FIELDS.items() if name not in left_out]


def rows_of(kind: Kind) -> list[list[Field]]:
    """The same fields, row by row."""
    asked = {field.name: field for field in fields_of(kind)}
    rows = [[asked[name] for name in row if name in asked] for row in ROWS]
    return [row for row in rows if row]


def label(field: Field, kind: Kind) -> str:
    """The label of a field on the clock of a kind."""
    return field.label.format(unit=kind.unit)


def entered_of(prior: Prior) -> dict[str, float]:
    """A belief as it stands in the form."""
    return {
        "at": prior.at,
        "worn_low": _hundred(prior.worn_out[0]),
        "worn_high": _hundred(prior.worn_out[1]),
        "shape": prior.shape,
        "shape_factor": prior.shape_factor,
        "early_low": _hundred(prior.early[0]),
        "early_high": _hundred(prior.early[1]),
        "accidents": _hundred(prior.accidents),
        "accident_years": prior.accident_years,
    }


def belief_of(kind: Kind, entered: Entered) -> tuple[Prior | None, list[str]]:
    """The belief that was entered, or what is wrong with it.

    Parameters
    ----------
    kind : Kind
    entered : mapping of str to float
        Fields of `fields_of`; what the others would hold stays as it is.

    Returns
    -------
    Prior or None
        As `fleet.toml` would give it back; None where something is wrong.
    list of str
        For each wrong value what was found and what is expected.
    """
    wrong = []
    for field in fields_of(kind):
        value, most = entered[field.name], field.most
        if field.name == "at" and kind.clock == "years":
            most = MOST_YEARS
        if not (isfinite(value) and field.least < value <= most):
            wrong.append(
                f"{label(field, kind)}: found {value:g}, expected a number above {field.least:g}, "
                f"at most {most:,g}."
            )
    for low, high in PAIRS:
        if low in entered and not wrong and not entered[low] < entered[high]:
            wrong.append(
                f"{label(FIELDS[low], kind)}, and at most: found {entered[low]:g} and "
                f"{entered[high]:g}, expected the lower number first."
            )
    if wrong:
        return None, wrong
    standing = entered_of(kind.prior)
    all_fields = {**standing, **entered}
    if all_fields == standing:
        return kind.prior, []
    prior = Prior(
        shape=all_fields["shape"],
        shape_factor=all_fields["shape_factor"],
        at=all_fields["at"],
        worn_out=(_share(all_fields["worn_low"]), _share(all_fields["worn_high"])),
        early=(_share(all_fields["early_low"]), _share(all_fields["early_high"])),
        accidents=_share(all_fields["accidents"]),
        accident_years=all_fields["accident_years"],
    )
    # What is tried is what the file would give: its own reader has the last word.
    read, findings = read_prior(kind.name, prior_lines(kind.name, prior))
    wrong = [f"{one.field}: found {one.found}, expected {one.expected}." for one in findings]
    return (None, wrong) if wrong else (read, [])


def wrong_lead(wrong: list[str]) -> str:
    """That nothing was tried."""
    return f"Not tried: {count(len(wrong), 'value is', 'values are')} not what is expected."


def _hundred(share: float) -> float:
    return round(share * 100, 10)


def _share(hundredths: float) -> float:
    return round(hundredths / 100, 12)
