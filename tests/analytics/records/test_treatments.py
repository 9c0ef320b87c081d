"""What is said once for all rows of a sort: that it is said, of which rows, and that it is true.

The policies are the project's own (common practice, no source).
"""

import pytest

from analytics.lives import Lives, table_of_lives
from analytics.records.findings import Finding
from tests.analytics.records.fleet_folder import SETTINGS, part, read

BOATS = [
    {"boat": "Penny Wren", "joined_on": "2005", "left_on": ""},
    {"boat": "Otter", "joined_on": "2013-04", "left_on": "2018-06-03"},
]
OTTER = part(boat="Otter")
BY_HOURS = part(kind="lip_seal")


def lives_of(*parts: dict[str, str], **others: object) -> Lives:
    return table_of_lives(read(*parts, **{"boats": BOATS, **others}))


def said_of(lives: Lives, sort: str) -> list[tuple[str, tuple[int, ...], str]]:
    return [(one.file, one.rows, one.done) for one in lives.findings if one.sort == sort]


def seen(lives: Lives, row: int) -> str:
    table = lives.table.set_index("source")
    return f"{table.at[f'parts.csv:{row}', 'seen_from']:%F}"


def test_fitted_before_records() -> None:
    lives = lives_of(part(fitted_on="2007"), part(kind="gland_hose"), OTTER)
    assert said_of(lives, "fitted_before_records") == [("parts.csv", (2,), "noted")]
    assert seen(lives, 2) == "2010-01-01"


def test_bought_second_hand() -> None:
    lives = lives_of(part(), OTTER, part(boat="Otter", kind="gland_hose", fitted_on="2014"))
    assert said_of(lives, "bought_second_hand") == [("boats.csv", (3,), "noted")]
    assert seen(lives, 3) == "2013-04-30"
    assert said_of(lives, "fitted_before_records") == []


@pytest.mark.parametrize(
    ("reason", "sort"),
    [("other_work", "removed_for_other_work"), ("replaced_sound", "renewed_by_age")],
)
def test_removed_for_other_work_and_renewed_by_age(reason: str, sort: str) -> None:
    sound = part(removed_on="2015-06-03", reason=reason)
    failed = part(kind="gland_hose", removed_on="2015-06-03", reason="failed")
    lives = lives_of(sound, failed, sound | {"kind": "lip_seal"})
    assert said_of(lives, sort) == [("parts.csv", (2, 4), "noted")]
    assert (lives.table["outcome"] == reason).sum() == 2


def test_boat_left() -> None:
    lives = lives_of(part(), OTTER, part(boat="Otter", kind="gland_hose", fitted_on="2014"))
    assert said_of(lives, "boat_left") == [
        ("parts.csv", (3, 4), "noted"),
        ("boats.csv", (3,), "noted"),
    ]
    assert set(lives.table.loc[lives.table["boat"] == "Otter", "outcome"]) == {"boat_left"}


HOURS = [
    {"boat": "Penny Wren", "read_on": day, "hours": read_then}
    for day, read_then in (("2012-05-01", "0"), ("2016-05-01", "1200"))
]


def test_shaft_share_assumed() -> None:
    lives = lives_of(BY_HOURS, hours=HOURS)
    assert said_of(lives, "shaft_share_assumed") == [("fleet.toml", (), "noted")]
    for line in ("shaft_share = 0.8", "shaft_share = 1"):
        assert not said_of(
            lives_of(BY_HOURS, hours=HOURS, settings=SETTINGS + line), "shaft_share_assumed"
        )
    # Where no meter counts, or nothing ages by hours, it does not matter.
    assert not said_of(lives_of(BY_HOURS), "shaft_share_assumed")
    assert not said_of(lives_of(part(), hours=HOURS), "shaft_share_assumed")


def test_hours_between_readings() -> None:
    read_twice = BY_HOURS | {
        "removed_on": "2015-06-03",
        "reason": "failed",
        "fitted_hours": "0",
        "removed_hours": "900",
    }
    after = BY_HOURS | {"fitted_on": "2015-06-03"}
    lives = lives_of(read_twice, after, OTTER | {"kind": "lip_seal"}, hours=HOURS)
    assert said_of(lives, "hours_between_readings") == [("parts.csv", (3,), "noted")]


ASHORE = part(kind="cutless_bearing", removed_on="2015-11-20", reason="failed")


def test_failure_found_ashore_and_last_sound_missing() -> None:
    told = ASHORE | {"last_sound_on": "2014-11-01"}
    lives = lives_of(told, ASHORE | {"position": "", "boat": "Otter"})
    assert said_of(lives, "failure_found_ashore") == [("parts.csv", (2,), "noted")]
    assert said_of(lives, "last_sound_missing") == [("parts.csv", (3,), "assumed")]
    by_lift = lives_of(
        ASHORE,
        lifts=[{"boat": "Penny Wren", "lifted_on": "2013-11-01", "launched_on": "2014-04-01"}],
    )
    assert said_of(by_lift, "failure_found_ashore") == [("parts.csv", (2,), "assumed")]
    assert not said_of(by_lift, "last_sound_missing")
    # A failure seen afloat is one of its day.
    afloat = lives_of(ASHORE | {"found": "afloat"})
    assert not said_of(afloat, "last_sound_missing")


def test_each_is_said_once_and_names_rows_that_are_there() -> None:
    many = [
        part(boat=boat, kind=kind, fitted_on="2007", removed_on="2015", reason=reason)
        for boat in ("Penny Wren", "Otter")
        for kind, reason in (("bellows", "other_work"), ("lip_seal", "replaced_sound"))
    ]
    findings: tuple[Finding, ...] = lives_of(*many, hours=HOURS).findings
    keys = [one.sort for one in findings if one.done == "noted"]
    assert len(keys) == len(set(keys))
    assert all(row in range(2, 6) for one in findings for row in one.rows)
