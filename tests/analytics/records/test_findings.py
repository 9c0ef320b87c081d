"""Findings as sentences and as a table."""

from analytics.records.findings import (
    FINDING_COLUMNS,
    Finding,
    FleetError,
    findings_table,
    of_rows,
    told,
)
from analytics.records.spelling import MOST_LOOKED_UP, Spelling


def test_a_sentence_says_where_what_and_what_to_do() -> None:
    one = Finding("parts.csv", 7, "boat", "Wern", "a boat", "rejected", "Correct it.")
    assert one.sentence() == (
        "parts.csv row 7, boat: found 'Wern', expected a boat. Correct it. [rejected]"
    )
    whole = Finding("hours.csv", None, "", "", "a file", "noted", "Add it.")
    assert whole.sentence() == "hours.csv: expected a file. Add it. [noted]"


def test_a_finding_of_several_rows_names_the_first_and_counts_the_others() -> None:
    whole = Finding("parts.csv", None, "size", "", "millimetres", "noted", "Read so.", "inch_size")
    (one,) = of_rows(whole, [9, 3, 7])
    assert one.rows == (3, 7, 9)
    assert one.sentence().startswith("parts.csv row 3 and 2 more, size: ")
    assert of_rows(whole, []) == []
    (alone,) = of_rows(whole, [4])
    assert (alone.rows, alone.also) == ((4,), ())
    assert findings_table([one, whole])["also"].tolist() == ["7, 9", ""]


def test_a_sentence_is_one_short_line_that_no_terminal_obeys() -> None:
    one = Finding("parts.csv", 7, "boat", "\x1b[31m\n" + "x" * 10_000, "a boat", "rejected", "Do.")
    assert one.sentence().isprintable()
    assert len(one.sentence()) < 250


def test_an_error_holds_all_its_findings() -> None:
    one = Finding("parts.csv", 7, "boat", "", "a boat", "stopped", "Do.")
    error = FleetError(iter([one, one]))
    assert error.findings == (one, one)
    assert str(error) == f"{one.sentence()}\n{one.sentence()}"


def test_the_table_is_ordered_by_file_and_row() -> None:
    found = [
        Finding("parts.csv", None, "", "", "", "noted", ""),
        Finding("parts.csv", 12, "", "", "", "noted", ""),
        Finding("parts.csv", 3, "", "", "", "noted", ""),
        Finding("boats.csv", 9, "", "", "", "noted", ""),
    ]
    table = findings_table(found)
    assert list(table.columns) == FINDING_COLUMNS
    assert table["row"].fillna(0).tolist() == [9, 3, 12, 0]
    assert findings_table([]).empty


def test_spelling_looks_past_capitals_and_gives_up_on_another_list() -> None:
    spelling = Spelling(["Penny Wren", "Quiet Otter"], 0.75)
    assert spelling.hint("PENNY WERN") == "Did you mean 'Penny Wren'? "
    assert spelling.hint("Tin Lantern") == ""
    for number in range(MOST_LOOKED_UP):
        spelling.hint(f"HULL-{number}")
    assert spelling.nearest("Quiet Oter") is None
    assert spelling.nearest("PENNY WERN") == "Penny Wren"


def test_many_findings_of_one_sort_are_told_as_one() -> None:
    blank = [
        Finding("parts.csv", row, "fitted_on", "", "when it was fitted", "assumed", f"Read {row}.")
        for row in range(9, 2, -1)
    ]
    wrong = [
        Finding("parts.csv", row, "boat", f"X{row}", "a boat", "rejected", "Mend it.")
        for row in range(20, 26)
    ]
    sentences = told([*blank, *wrong])
    # What was left out comes first and one by one, assumptions of one sort as one.
    assert len(sentences) == len(wrong) + 1
    assert all("[rejected]" in sentence for sentence in sentences[:-1])
    assert sentences[-1].startswith("7 alike (rows 3, 4, 5, …), the first: parts.csv row 3")
    assert told(blank[:3]) == [one.sentence() for one in reversed(blank[:3])]
