"""Facts of the fleet that a reader of its lives has to know how to take: where examples are."""

from __future__ import annotations

from collections.abc import Callable

from analytics.sample.mess.clean import CleanLife
from analytics.sample.mess.key import Expect


def _found_ashore(life: CleanLife) -> bool:
    return life.text["reason"] == "failed" and life.text["found"] == "ashore"


def _of(column: str) -> Callable[[CleanLife], str]:
    return lambda life: life.text[column]


def _says(text: str) -> Callable[[CleanLife], str]:
    return lambda life: text


Fact = tuple[str, Callable[[CleanLife], bool], str, Callable[[CleanLife], str], Expect]

SOUGHT_AT_ELLORN = ("year_only", "side_by_number", "fit_assumed_as_built")

FACTS: tuple[Fact, ...] = (
    (
        "fit_assumed_as_built",
        lambda life: (
            life.before is None
            and len(life.text["fitted_on"]) == 4
            and life.text["fitted_on"] == life.boat.text["built_on"][:4]
        ),
        "fitted",
        _of("fitted_on"),
        "told",
    ),
    (
        "failed_fit_date_unknown",
        lambda life: not life.text["fitted_on"] and life.text["reason"] == "failed",
        "fitted",
        _says("before the boat was watched"),
        "told",
    ),
    (
        "fit_date_unknown",
        lambda life: not life.text["fitted_on"] and not life.text["removed_on"],
        "fitted",
        _says("before the boat was watched"),
        "told",
    ),
    (
        "fitted_before_records",
        lambda life: life.fitted is not None and life.fitted < life.boat.watched_from,
        "fitted",
        _of("fitted_on"),
        "used",
    ),
    (
        "last_sound_missing",
        lambda life: _found_ashore(life) and not life.text["last_sound_on"],
        "sound",
        _says("the haul-out before"),
        "window",
    ),
    (
        "failure_found_ashore",
        lambda life: _found_ashore(life) and bool(life.text["last_sound_on"]),
        "found",
        _says("failed between when it was last seen sound and its removal"),
        "window",
    ),
    (
        "removed_for_other_work",
        lambda life: life.text["reason"] == "other_work",
        "reason",
        _says("other_work"),
        "used",
    ),
    (
        "renewed_by_age",
        lambda life: life.text["reason"] == "replaced_sound",
        "reason",
        _says("replaced_sound"),
        "used",
    ),
    (
        "year_only",
        lambda life: (
            len(life.text["fitted_on"]) == 4
            and int(life.text["fitted_on"]) >= life.boat.watched_from.year
        ),
        "fitted",
        _of("fitted_on"),
        "window",
    ),
    ("side_by_number", lambda life: life.boat.twin, "side", _of("position"), "rejected"),
)
