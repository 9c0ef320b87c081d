"""Values of settings: what a finding shows of them, and whole numbers within bounds."""

import pytest

from analytics.records import setting_values as values


def test_what_stood_there_is_shown_whatever_it_was() -> None:
    assert values.as_found(True) == "true"  # as the file has it
    assert values.as_found(1.5) == "1.5"
    assert values.as_found("") == ""
    assert len(values.as_found("x" * 1000)) == 200
    # Python prints no number of more than 4,300 digits unless told to.
    assert values.as_found(10**5000) == "something too large to show"
    nested: list[object] = []
    for _ in range(100_000):
        nested = [nested]
    assert values.as_found(nested) == "something too large to show"


@pytest.mark.parametrize("value", [0, 8, 3.0, True, "3", None])
def test_whole_numbers_within_bounds(value: object) -> None:
    assert values.whole(1, 7)(3) == 3
    with pytest.raises(values.WrongValue, match="a whole number from 1 to 7"):
        values.whole(1, 7)(value)
