"""Sizes of parts against the boats' shafts.

An inch is 25.4 mm by definition (agreement of 1959; from memory).
"""

import pytest

from tests.analytics.records.fleet_folder import counts, part, read

BOAT = {"boat": "Penny Wren", "shaft_size": "25 mm"}


@pytest.mark.parametrize(
    ("size", "used"),
    [("25 mm", 1), ("1 in", 1), ("26 mm", 1), ("30 mm", 0), ("1 1/4 in", 0), ("", 1), ("big", 1)],
)
def test_size_not_of_boat(size: str, used: int) -> None:
    records = read(part(size=size), boats=[BOAT])
    assert counts(records).get("used", 0) == used
    sorts = [(one.sort, one.done) for one in records.findings if one.done == "rejected"]
    assert sorts == ([] if used else [("size_not_of_boat", "rejected")])
    # A boat that does not say its size has every size.
    assert counts(read(part(size=size))) == {"rows_read": 1, "used": 1}


def test_inch_size_is_one_finding_for_each_text() -> None:
    records = read(
        part(size="1 in"),
        part(kind="lip_seal", size="25 mm"),
        part(kind="gland_hose", size="1 in"),
        part(kind="face_seal", size='1"'),
        boats=[BOAT],
    )
    inches = [one for one in records.findings if one.sort == "inch_size"]
    assert sorted((one.found, one.rows) for one in inches) == [("1 in", (2, 4)), ('1"', (5,))]
    assert all("25.4 mm" in one.remedy for one in inches)
    # Told, and not made one size with 25 mm.
    assert records.tables["parts.csv"]["size"].tolist() == ["1 in", "25 mm", "1 in", '1"']
