"""One rule after another, each on a handful of events of one place."""

from datetime import date

import pytest

from analytics.records.events.assembling import Assembled, assemble
from analytics.records.events.life import LIFE_COLUMNS
from analytics.records.events.told import Told
from analytics.records.tables import PARTS
from tests.analytics.records.events.event_tables import event, table

AS_OF = date(2026, 10, 31)


def read(*events: dict[str, object], **options: object) -> Assembled:
    return assemble(table(events), as_of=AS_OF, **options)  # type: ignore[arg-type]


def lives(*events: dict[str, object]) -> list[tuple[str, str, str]]:
    return spans(read(*events))


def spans(assembled: Assembled) -> list[tuple[str, str, str]]:
    return [(one["fitted_on"], one["removed_on"], one["reason"]) for one in assembled.lives]


def outcomes(assembled: Assembled) -> list[str]:
    return [fate.outcome for _, fate in sorted(assembled.fates.items())]


def told(assembled: Assembled, sort: str) -> Told:
    (one,) = (told for told in assembled.findings if told.sort == sort)
    return one


def test_an_end_of_a_part_that_nobody_fitted_is_told() -> None:
    one_end = read(event("2016-07-01", "failed"), event("2016-12-01", "replaced"))
    assert not [one for one in one_end.findings if one.sort == "fit_date_unknown"]
    two = read(event("2016-07-01", "failed"), event("2018-12-01", "replaced"))
    finding = told(two, "fit_date_unknown")
    assert (finding.line, finding.found, finding.beside) == (3, "replaced 2018-12-01", 2)
    # Something was in place in between: it is the life of that part that ends.
    between = read(
        event("2016-07-01", "failed"),
        event("2016-10-01", "seen", condition="sound"),
        event("2016-12-01", "replaced", "replaced_sound"),
    )
    assert spans(between) == [
        ("", "2016-07-01", "failed"),
        ("", "2016-12-01", "replaced_sound"),
        ("2016-12-01", "", ""),
    ]


def test_worn_without_a_reason_is_not_said_to_count_as_sound() -> None:
    worn = {"flags": "degraded"}
    unknown = read(event("2019-05-02", "replaced", "unknown", **worn))
    assert not [one for one in unknown.findings if one.sort == "seen_degraded"]
    assert told(read(event("2019-05-02", "replaced", "other_work", **worn)), "seen_degraded")


def test_a_row_has_every_column_of_the_plain_layout() -> None:
    (life,) = read(event("2014-06-03", "fitted")).lives
    assert tuple(life) == LIFE_COLUMNS
    assert {column.name for column in PARTS.columns} <= set(LIFE_COLUMNS)


@pytest.mark.parametrize(
    ("events", "expected"),
    [
        pytest.param([("2014", "fitted", "")], [("2014", "", "")], id="fitted"),
        pytest.param(
            [("2014-06", "fitted", ""), ("2019-05-02", "replaced", "failed")],
            [("2014-06", "2019-05-02", "failed"), ("2019-05-02", "", "")],
            id="replaced",
        ),
        pytest.param(
            [("2014-06-03", "fitted", ""), ("2019-05-02", "removed", "other_work")],
            [("2014-06-03", "2019-05-02", "other_work")],
            id="removed",
        ),
        pytest.param(
            [("2014-06-03", "fitted", ""), ("2019-05-02", "failed", "")],
            [("2014-06-03", "2019-05-02", "failed")],
            id="failed",
        ),
        pytest.param(
            [("2019-05-02", "failed", "accident")],
            [("", "2019-05-02", "accident")],
            id="failed by accident, fitted nobody knows when",
        ),
        pytest.param(
            [("2019-05-02", "failed", ""), ("2019-07-01", "replaced", "")],
            [("", "2019-05-02", "failed"), ("2019-07-01", "", "")],
            id="renewed 60 days after the failure",
        ),
        pytest.param(
            [("2019-05-02", "failed", ""), ("2020-05-01", "replaced", "unknown")],
            [("", "2019-05-02", "failed"), ("2020-05-01", "", "")],
            id="renewed 365 days after it, and nothing fitted or seen between: one end",
        ),
        pytest.param(
            [("2019-05-02", "failed", ""), ("2019-11-02", "removed", "replaced_sound")],
            [("", "2019-05-02", "failed")],
            id="taken out half a year after the failure",
        ),
        pytest.param(
            [("2019-05-02", "failed", ""), ("2020-05-02", "replaced", "unknown")],
            [("", "2019-05-02", "failed"), ("", "2020-05-02", "unknown"), ("2020-05-02", "", "")],
            id="366 days after: another end",
        ),
        pytest.param(
            [("2019-05-02", "failed", ""), ("2019-05-20", "removed", "accident")],
            [("", "2019-05-02", "accident")],
            id="the strip-down shows an accident",
        ),
        pytest.param(
            [("2014-06-03", "fitted", ""), ("2019-05-02", "fitted", "")],
            [("2014-06-03", "2019-05-02", "unknown"), ("2019-05-02", "", "")],
            id="fitted while another is in place",
        ),
        pytest.param(
            [("2019-05-02", "fitted", ""), ("2019-05-02", "removed", "failed")],
            [("", "2019-05-02", "failed"), ("2019-05-02", "", "")],
            id="on one day the old part comes out first",
        ),
        pytest.param(
            [("2019", "fitted", ""), ("2019-05-02", "removed", "failed")],
            [("", "2019-05-02", "failed"), ("2019-05-02..2019-12-31", "", "")],
            id="and in one year",
        ),
        pytest.param(
            [("2011", "fitted", ""), ("2019", "fitted", ""), ("2019-05-02", "removed", "failed")],
            [("2011", "2019-05-02", "failed"), ("2019-05-02..2019-12-31", "", "")],
            id="a fitting of which only the year is told makes no missing removal",
        ),
        pytest.param(
            [
                ("2019-02-01", "fitted", ""),
                ("2019", "removed", "failed"),
                ("2019-06", "fitted", ""),
            ],
            [("2019-02-01", "2019", "failed"), ("2019-06", "", "")],
            id="a removal of which only the year is told lies between two fittings of it",
        ),
        pytest.param(
            [("2019-05-02", "replaced", ""), ("2019-05-09", "replaced", "failed")],
            [("", "2019-05-02", "failed"), ("2019-05-02", "", "")],
            id="replaced, entered twice",
        ),
        pytest.param(
            [("2019-05-02", "replaced", ""), ("2019-05-10", "replaced", "failed")],
            [
                ("", "2019-05-02", ""),
                ("2019-05-02", "2019-05-10", "failed"),
                ("2019-05-10", "", ""),
            ],
            id="replaced twice in eight days",
        ),
        pytest.param(
            [("2019-05-02", "removed", "unknown"), ("2019-05-05", "removed", "replaced_sound")],
            [("", "2019-05-02", "replaced_sound")],
            id="removed, entered twice",
        ),
        pytest.param(
            [("2019-05-02", "fitted", ""), ("2019-05-05", "fitted", "")],
            [("2019-05-02", "", "")],
            id="fitted, entered twice",
        ),
        pytest.param(
            [("2019-05-02", "fitted", ""), ("2019-05-05", "removed", "failed")],
            [("2019-05-02", "2019-05-05", "failed")],
            id="what ends the other is no second entry",
        ),
        pytest.param(
            [("2019-05-02", "fitted", ""), ("2019-05-05", "replaced", "failed")],
            [("2019-05-02", "2019-05-05", "failed"), ("2019-05-05", "", "")],
            id="nor is what replaces the first part of a place",
        ),
        pytest.param(
            [
                ("2014", "fitted", ""),
                ("2019-05-02", "fitted", ""),
                ("2019-05-04", "replaced", "failed"),
            ],
            [("2014", "2019-05-02", "failed"), ("2019-05-02", "", "")],
            id="a second list says why the old part came out",
        ),
        pytest.param(
            [("2015", "replaced", "failed"), ("2015", "replaced", "replaced_sound")],
            [("", "2015", "failed"), ("2015", "2015", "replaced_sound"), ("2015", "", "")],
            id="twice in a year: one may have followed the other",
        ),
    ],
)
def test_lives(events: list[tuple[str, str, str]], expected: list[tuple[str, str, str]]) -> None:
    assert lives(*(event(*one) for one in events)) == expected


@pytest.mark.parametrize("mark", ["serial", "lot"])
def test_two_fittings_of_different_marks_are_two(mark: str) -> None:
    first, second = (
        event(f"2019-05-0{day}", "fitted", **{mark: text}) for day, text in ((2, "A"), (5, "B"))
    )
    assert len(lives(first, second)) == 2
    second[mark] = "A"
    assert len(lives(first, second)) == 1


def test_the_marks_of_a_replacement_are_the_new_parts() -> None:
    old, new = read(
        event("2019-05-02", "failed", serial="A"), event("2019-05-20", "replaced", serial="B")
    ).lives
    assert (old["serial"], new["serial"]) == ("A", "B")
    assert old["removed_on"] == "2019-05-02"


def test_a_second_entry_fills_what_the_first_left_blank_and_says_so() -> None:
    assembled = read(
        event("2019-05-02", "fitted", lot="L7"), event("2019-05-03", "fitted", part_no="P1")
    )
    (life,) = assembled.lives
    assert (life["lot"], life["part_no"]) == ("L7", "P1")
    assert outcomes(assembled) == ["used", "merged"]
    assert told(assembled, "removal_entered_twice").beside == 2
    assert assembled.fates[3].told == told(assembled, "removal_entered_twice")


def test_lines_of_a_life_begin_with_the_removal_then_the_fitting() -> None:
    assembled = read(
        event("2014-06-03", "fitted"),
        event("2018-06-03", "seen", condition="sound"),
        event("2019-05-02", "failed"),
        event("2019-05-20", "removed"),
    )
    assert assembled.lines == [(4, 2, 3, 5)]


def test_missing_removal_points_at_the_new_fitting() -> None:
    one = told(read(event("2014", "fitted"), event("2019", "fitted")), "removal_missing")
    assert (one.line, one.beside) == (3, 2)


def test_no_removal_is_missing_where_a_second_list_tells_of_it() -> None:
    assembled = read(
        event("2014", "fitted"),
        event("2019-05-02", "fitted"),
        event("2019-05-04", "replaced", "failed"),
    )
    assert {one.sort for one in assembled.findings} == {"removal_entered_twice"}
    assert assembled.lines == [(4, 2), (3, 4)]


def test_nothing_fitted_after_a_removal_is_told_once_and_no_life_made_up() -> None:
    removal = event("2019-05-02", "removed", "failed")
    assembled = read(removal)
    assert told(assembled, "bought_not_fitted").line == 2
    assert len(assembled.lives) == 1
    gone = read(removal, left={"Grey Plover"})
    recent = read(event("2026-10-01", "removed", "failed"))
    assert not [*gone.findings, *recent.findings]


def test_bought_and_not_fitted_is_ignored() -> None:
    assembled = read(
        event("2014", "fitted", part_no="P2"), event("2019-05-02", "bought", part_no="P1")
    )
    assert spans(assembled) == [("2014", "", "")]
    assert outcomes(assembled) == ["used", "ignored"]
    assert told(assembled, "bought_not_fitted").line == 3


@pytest.mark.parametrize("by", ["job", "part_no"])
@pytest.mark.parametrize(("day", "joined"), [("2019-07-01", True), ("2019-07-02", False)])
def test_bought_joins_the_fitting_of_its_job_within_60_days(
    by: str, day: str, joined: bool
) -> None:
    assembled = read(
        event("2019-05-02", "bought", lot="L7", **{by: "X"}),
        event(day, "fitted", size="25 mm", **{by: "X"}),
    )
    (life,) = assembled.lives
    assert life["size"] == "25 mm"
    assert life["lot"] == ("L7" if joined else "")
    assert outcomes(assembled) == ["merged" if joined else "ignored", "used"]


def test_last_day_sound_before_a_failure() -> None:
    assembled = read(
        event("2014", "fitted"),
        event("2017-04-01", "seen", condition="sound"),
        event("2018-04-01", "seen", condition="degraded"),
        event("2019-04-01", "seen", condition="failed", found="ashore"),
        event("2019-04-10", "replaced", "failed"),
    )
    old, _ = assembled.lives
    assert (old["removed_on"], old["reason"], old["found"], old["last_sound_on"]) == (
        "2019-04-01",
        "failed",
        "ashore",
        "2018-04-01",
    )
    assert outcomes(assembled) == ["used"] * 5
    assert [one.line for one in assembled.findings if one.found == "degraded"] == [4]


def test_the_row_of_the_removal_may_say_itself_when_it_was_sound() -> None:
    old, _ = read(
        event("2014", "fitted"), event("2019", "replaced", "failed", sound="2018-04")
    ).lives
    assert old["last_sound_on"] == "2018-04"


def test_seen_before_any_fitting_was_in_place() -> None:
    assert lives(
        event("2014-04-01", "seen", condition="sound"), event("2019-04-01", "replaced", "failed")
    ) == [("", "2019-04-01", "failed"), ("2019-04-01", "", "")]


def test_seen_on_the_day_of_its_fitting_is_the_new_part() -> None:
    assert lives(event("2014-04-01", "seen", condition="sound"), event("2014-04-01", "fitted")) == [
        ("2014-04-01", "", "")
    ]


def test_seen_after_it_came_out() -> None:
    removed = event("2014-04-01", "removed", "failed")
    soon = read(removed, event("2014-04-05", "seen", condition="sound"))
    assert outcomes(soon) == ["used", "ignored"]
    later = read(removed, event("2016-04-05", "seen", condition="sound"))
    assert spans(later) == [("", "2014-04-01", "failed"), ("", "", "")]
    assert told(later, "fit_date_unknown").line == 3


def test_an_inspection_without_a_result_says_nothing() -> None:
    assembled = read(event("2014", "fitted"), event("2016", "seen"), event("2019", "failed"))
    assert assembled.lives[0]["last_sound_on"] == ""
    assert outcomes(assembled) == ["used", "ignored", "used"]


def test_upkeep_renews_nothing_and_is_told_once_for_each_text() -> None:
    greased = [event(f"201{n}-04-01", "upkeep", note="greased") for n in range(5)]
    assembled = read(event("2009", "fitted"), *greased, event("2019", "upkeep", hours=900.0))
    assert spans(assembled) == [("2009", "", "")]
    assert outcomes(assembled) == ["used", *["ignored"] * 5, "used"]
    one, two = (told for told in assembled.findings if told.sort == "upkeep_not_renewal")
    assert (one.line, one.also, one.found) == (3, (4, 5, 6, 7), "greased")
    assert two.done == "noted"
    assert assembled.readings == [
        {"boat": "Grey Plover", "position": "single", "read_on": "2019", "hours": "900"}
    ]
    assert assembled.reading_lines == [8]


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        ("face_seal", [("2014", "2019-04-01", "replaced_sound"), ("2019-04-01", "", "")]),
        ("bellows", [("2014", "", "")]),
        ("a_kind_of_their_own", [("2014", "", "")]),
    ],
)
def test_refurbished_renews_what_wears_by_hours(
    kind: str, expected: list[tuple[str, str, str]]
) -> None:
    assembled = read(
        event("2014", "fitted", kind=kind, serial="A"),
        event("2019-04-01", "refurbished", kind=kind),
    )
    assert spans(assembled) == expected
    assert {life["serial"] for life in assembled.lives} == {"A"}
    assert told(assembled, "part_refurbished").line == 3


def test_removed_refurbished_and_fitted_on_one_day() -> None:
    assembled = read(
        event("2014", "fitted", kind="face_seal"),
        *(
            event("2019-04-01", did, kind="face_seal")
            for did in ("fitted", "refurbished", "removed")
        ),
    )
    assert spans(assembled) == [("2014", "2019-04-01", "replaced_sound"), ("2019-04-01", "", "")]
    assert outcomes(assembled) == ["used"] * 4


@pytest.mark.parametrize(("given", "reason"), [("", "replaced_sound"), ("failed", "failed")])
def test_a_lot_called_back(given: str, reason: str) -> None:
    assembled = read(
        event("2014", "fitted", lot="L7"), event("2019", "replaced", given, flags="recall")
    )
    assert assembled.lives[0]["reason"] == reason
    recalls = [one.found for one in assembled.findings if one.sort == "recalled_lot"]
    assert recalls == ([] if given else ["L7"])


@pytest.mark.parametrize("given", ["", "failed"])
def test_warranty_is_a_failure_only_where_the_reason_says_so(given: str) -> None:
    assembled = read(event("2014", "fitted"), event("2019", "replaced", given, flags="warranty"))
    assert assembled.lives[0]["reason"] == given
    assert told(assembled, "warranty_swap").line == 3


def test_a_new_part_fitted_over_a_window() -> None:
    assert lives(
        event("2014", "fitted"),
        event("2019-04-01", "replaced", "failed", fit="2019-04-01..2019-04-20"),
        event("2019-04-10", "removed", "accident"),
    ) == [
        ("2014", "2019-04-01", "failed"),
        ("2019-04-01..2019-04-10", "2019-04-10", "accident"),
    ]


def test_the_removal_written_down_after_the_replacement_of_its_job() -> None:
    replaced = event("2019-04-01", "replaced", job="J1")
    removed = event("2019-04-03", "removed", "failed", job="J1")
    assert lives(replaced, removed) == [("", "2019-04-01", "failed"), ("2019-04-01", "", "")]
    removed["job"] = "J2"
    assert lives(replaced, removed)[1] == ("2019-04-01", "2019-04-03", "failed")


def test_places_do_not_mix() -> None:
    sides = [
        event("2014", "fitted", position=position, kind=kind)
        for position in ("port", "starboard")
        for kind in ("bellows", "face_seal")
    ]
    assert lives(*sides) == [("2014", "", "")] * 4
