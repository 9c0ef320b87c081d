"""What to look at first, counted by hand on a fleet of four boats."""

import random
from dataclasses import replace

import pandas as pd
import pytest

from analytics.papers.attention import COLUMNS, attention, findings_of
from analytics.records.findings import Finding
from analytics.records.sorts import EFFECTS, SORTS

# source, boat, kind, outcome
LIVES = pd.DataFrame(
    [
        ("parts.csv:2", "A", "bellows", "in_service"),
        ("parts.csv:3", "A", "bellows", "failed"),
        ("parts.csv:4", "B", "bellows", "in_service"),
        ("parts.csv:5", "B", "face_seal", "in_service"),
        ("jobs.csv:12; jobs.csv:40", "C", "bellows", "in_service"),
        ("jobs.csv:40; book.xlsx, sheet a:b; c:7", "C", "face_seal", "failed"),
        ("parts.csv:6", "D", "bellows", "in_service"),
        ("parts.csv:6", "D", "face_seal", "in_service"),
    ],
    columns=["source", "boat", "kind", "outcome"],
)


def found(
    row: int | None, sort: str, also: tuple[int, ...] = (), file: str = "parts.csv", **more: str
) -> Finding:
    cells = {"field": "fitted_on", "found": "", "expected": "a day", "remedy": "Look it up."}
    done = more.pop("done", "assumed")
    return Finding(file, row, **(cells | more), done=done, sort=sort, also=also)  # type: ignore[arg-type]


def lines(*findings: Finding) -> pd.DataFrame:
    table = attention(findings, LIVES)
    assert list(table.columns) == COLUMNS
    return table.set_index("group")


def test_rows_parts_and_boats_are_counted_once_each() -> None:
    table = lines(
        found(2, "fit_date_unknown"),
        found(2, "fit_date_unknown"),
        found(3, "fit_date_unknown", also=(4, 5)),
        found(12, "fit_date_unknown", file="jobs.csv"),
        found(40, "fit_date_unknown", file="jobs.csv"),
    )
    bellows, seals = (table.loc[f"fit_date_unknown {kind}"] for kind in ("bellows", "face_seal"))
    # Rows 2, 3 and 4, and 12 and 40 of the jobs; the parts of rows 2 and 4, and that of C.
    assert (bellows["rows_touched"], bellows["parts_in_service"], bellows["boats"]) == (5, 3, 3)
    assert bellows["says"] == "5 bellows without a fitting date: the risk of 3 boats is wider"
    assert bellows["file"] == "jobs.csv; parts.csv"
    assert bellows["rows"] == "jobs.csv: 12, 40; parts.csv: 2, 3, 4"
    # Row 5, and row 40 of the jobs, which became a seal that failed.
    assert (seals["rows_touched"], seals["parts_in_service"], seals["boats"]) == (2, 1, 1)
    assert seals["says"] == "2 face seals without a fitting date: the risk of 1 boat is wider"


def test_a_row_that_became_two_lives_counts_for_both_kinds() -> None:
    table = lines(found(6, "year_only"))
    assert table["boats"].to_dict() == {"year_only bellows": 1, "year_only face_seal": 1}


def test_names_of_sheets_may_hold_the_marks_that_part_sources() -> None:
    table = lines(found(7, "year_only", file="book.xlsx, sheet a:b; c"))
    assert table["kind"].tolist() == ["face_seal"]


def test_a_row_that_became_no_life_touches_no_boat() -> None:
    (line,) = lines(found(99, "boat_name_unknown", done="rejected")).to_dict("records")
    assert (line["kind"], line["rows_touched"], line["boats"]) == ("", 1, 0)
    assert line["says"] == "Boats' names that are not in the list (1 row): left out of the fit"


def test_a_finding_on_a_whole_file_counts_the_rows_it_names() -> None:
    table = lines(
        found(None, "file_missing", file="lifts.csv", done="noted"),
        found(None, "year_only", also=(2, 4)),
    )
    assert table.loc["file_missing", "rows_touched"] == 0
    assert table.loc["file_missing", "rows"] == ""
    assert table.loc["file_missing", "says"] == (
        "Tables that are not there: good to know, and changes nothing"
    )
    assert table.loc["year_only bellows", "rows"] == "2, 4"
    assert table.loc["year_only bellows", "boats"] == 2


def test_findings_of_no_sort_are_grouped_by_column_expected_and_done() -> None:
    table = lines(
        found(2, ""),
        found(5, "", remedy="Ask."),
        found(4, "", remedy="Ask."),
        found(4, "", expected="a number"),
        found(3, "no such sort", done="rejected"),
    )
    assert table[["title", "effect", "rows_touched", "boats"]].to_dict("split")["data"] == [
        ["fitted_on: expected a day", "loses", 1, 0],
        ["fitted_on: expected a day", "widens", 3, 2],
        ["fitted_on: expected a number", "widens", 1, 1],
    ]
    assert table["remedy"].tolist() == ["Look it up.", "Ask.", "Look it up."]
    assert set(table["sort"]) == {""}


def test_order_is_by_effect_then_boats_then_rows() -> None:
    done = {"stops": "stopped", "loses": "rejected"}
    one_of_each = [
        replace(
            found(2, next(s.key for s in SORTS.values() if s.effect == effect)),
            done=done.get(effect, "noted"),
        )
        for effect in EFFECTS
    ]
    assert lines(*reversed(one_of_each))["effect"].tolist() == list(EFFECTS)
    table = lines(
        found(99, "year_only", also=(98, 97)),
        found(2, "placeholder_date"),
        found(2, "month_or_season_only", also=(3,)),
        found(2, "day_month_order", also=(4,)),
    )
    assert table["sort"].tolist() == [
        "day_month_order",
        "month_or_season_only",
        "placeholder_date",
        "year_only",
    ]


def test_what_was_read_all_the_same_loses_nothing() -> None:
    lost = replace(found(2, "boat_name_shared"), done="rejected")
    kept = replace(found(3, "boat_name_shared"), done="noted")
    assert lines(kept, lost)["effect"].tolist() == ["loses", "informs"]
    only = replace(found(2, "only_failures"), done="ignored")
    assert lines(only)["effect"].tolist() == ["loses"]


def test_a_group_says_what_can_be_done_about_all_of_it() -> None:
    one = replace(found(2, "fit_date_unknown"), remedy="Between 2001 and 2004. An invoice helps.")
    other = replace(found(3, "fit_date_unknown"), remedy="Between 2011 and 2014. An invoice helps.")
    assert lines(one, other)["remedy"].tolist() == ["An invoice helps."]


@pytest.mark.parametrize("sort", SORTS.values(), ids=lambda sort: sort.key)
def test_every_sort_makes_a_sentence(sort: object) -> None:
    key = sort.key  # type: ignore[attr-defined]
    for one in (found(2, key), found(99, key, also=(98,)), found(None, key)):
        (says,) = lines(one)["says"]
        assert says[0].isupper() or says[0].isdigit()
        assert says.count(": ") == 1
        assert "  " not in says


def test_order_of_findings_and_lives_changes_nothing() -> None:
    findings = [
        found(row, sort, remedy=remedy)
        for row in (2, 3, 4, 5, 99)
        for sort in ("year_only", "", "side_missing")
        for remedy in ("a", "b")
    ]
    first = attention(findings, LIVES)
    random.Random(0).shuffle(findings)
    shuffled = LIVES.sample(frac=1, random_state=1).reset_index(drop=True)
    pd.testing.assert_frame_equal(first, attention(findings, shuffled))


def test_the_findings_behind_each_line_are_all_of_them() -> None:
    findings = [
        *(found(2, "year_only"), found(5, "year_only"), found(99, "year_only")),
        *(found(2, ""), found(None, "setting", file="fleet.toml")),
        found(3, "year_only", also=(5,)),
    ]
    table = attention(findings, LIVES)
    behind = {group: findings_of(group, findings, LIVES) for group in table["group"]}
    assert behind["year_only bellows"] == [findings[0], findings[5]]
    assert behind["year_only face_seal"] == [findings[1], findings[5]]
    assert behind["year_only"] == [findings[2]]
    assert {one for each in behind.values() for one in each} == set(findings)
    assert findings_of("no such group", findings, LIVES) == []


def test_nothing_found_and_no_lives() -> None:
    assert attention([], LIVES).empty
    assert list(attention([], LIVES).columns) == COLUMNS
    assert findings_of("year_only", [], LIVES) == []
    (line,) = attention([found(2, "year_only")], LIVES.head(0)).to_dict("records")
    assert (line["kind"], line["rows_touched"], line["boats"]) == ("", 1, 0)


def test_many_rows_are_named_up_to_twenty() -> None:
    (rows,) = lines(found(100, "words_unknown", also=tuple(range(101, 200))))["rows"]
    assert rows == ", ".join(map(str, range(100, 120))) + ", …"


def test_a_hundred_thousand_findings_take_seconds() -> None:
    n = 20_000
    rows = range(2, n + 2)
    lives = pd.DataFrame(
        {
            "source": [f"jobs.csv:{row}; jobs.csv:{row + n}" for row in rows],
            "boat": [f"boat {row % 500}" for row in rows],
            "kind": ["bellows" if row % 2 else "face_seal" for row in rows],
            "outcome": ["in_service" if row % 3 else "failed" for row in rows],
        }
    )
    findings = [found(row, "year_only", file="jobs.csv", remedy=f"Do {row}.") for row in rows]
    table = attention(findings, lives)
    assert table["rows_touched"].sum() == n
    assert table["boats"].tolist() == [250, 250]


def test_a_word_that_was_read_as_unknown_changes_the_results() -> None:
    """Only noted, and all the same another reason than the one written."""
    table = lines(
        found(2, "words_unknown", done="noted", field="reason"),
        found(3, "words_unknown", done="rejected", field="reason"),
        found(4, "cell_unreadable", done="noted"),
    )
    assert table["effect"].to_dict() == {
        "words_unknown bellows [noted]": "changes",
        "words_unknown bellows": "loses",
        "cell_unreadable bellows [noted]": "informs",
    }
