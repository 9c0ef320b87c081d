"""Which groups are looked at, which are too small, and which cannot be told from each other."""

import numpy as np
import pandas as pd

from analytics.ageing.groups.fields import (
    ENOUGH_LIVES,
    ENOUGH_OF_LEVEL,
    NO_LEVEL,
    PLACE,
    groups_of,
)


def lives(n: int = 40, **columns: list[str]) -> pd.DataFrame:
    """Some lives, every fourth failed, each on a boat of its own unless told otherwise."""
    table = {
        "boat": [f"B{i:02d}" for i in range(n)],
        "position": ["single"] * n,
        "outcome": ["failed" if i % 4 == 0 else "in_service" for i in range(n)],
        "kind": ["bellows"] * n,
    } | {name: [""] * n for name in ("base", "lay_up", "water", "lot", "size", "part_no")}
    return pd.DataFrame(table | columns)


def halves(n: int, one: str, other: str) -> list[str]:
    return [one if i % 2 else other for i in range(n)]


def test_a_field_with_two_levels_is_looked_at() -> None:
    found = groups_of(lives(base=halves(40, "North", "South")))
    (field,) = found.fields
    assert (field.name, field.levels, field.looked_at) == ("base", ("North", "South"), 2)
    assert field.codes[:4].tolist() == [1, 0, 1, 0]
    assert found.places is None


def test_too_few_lives_or_failures_are_not_looked_at() -> None:
    n = ENOUGH_LIVES - 1
    assert not groups_of(lives(n, base=halves(n, "North", "South")))
    sound = lives(base=halves(40, "North", "South"))
    assert not groups_of(sound.assign(outcome="in_service"))
    assert not groups_of(lives())
    assert not groups_of(lives(base=["North"] * 40))


def test_a_small_level_has_no_factor_but_is_counted() -> None:
    lots = ["L1"] * ENOUGH_OF_LEVEL + ["L2"] * (ENOUGH_OF_LEVEL - 1) + ["L3"] * 20
    found = groups_of(lives(lot=lots + [""] * (40 - len(lots))))
    (field,) = found.fields
    assert field.levels == ("L1", "L3")
    assert field.looked_at == 3
    assert field.small == {"L2"}
    assert set(field.codes[5:9]) == {NO_LEVEL}


def test_one_large_level_stands_against_all_others() -> None:
    (field,) = groups_of(lives(lot=["L1"] * 8 + [""] * 32)).fields
    assert field.levels == ("L1",)


def test_fields_that_sort_alike_are_one_under_two_names() -> None:
    (field,) = groups_of(
        lives(size=halves(40, "25 mm", "30 mm"), part_no=halves(40, "A-25", "A-30"))
    ).fields
    assert (field.name, field.also) == ("size", ("part_no",))


def test_a_base_carries_the_lay_up_and_the_water_that_it_settles() -> None:
    bases = [("North", "South", "West")[i % 3] for i in range(42)]
    found = groups_of(lives(
        42,
        base=bases,
        lay_up=["afloat" if base == "North" else "ashore" for base in bases],
        water=["brackish" if base == "West" else "salt" for base in bases],
    ))  # fmt: skip
    assert [field.name for field in found.fields] == ["base"]
    assert found.fields[0].shares_with == ("lay_up", "water")
    assert [field.name for field in found.carried] == ["lay_up", "water"]
    assert found.carried[0].shares_with == ("base",)


def test_with_many_bases_a_lay_up_has_a_factor_beside_theirs() -> None:
    bases = [f"Base {i % 8}" for i in range(64)]
    found = groups_of(
        lives(64, base=bases, lay_up=["afloat" if int(b[-1]) < 4 else "ashore" for b in bases])
    )
    assert [field.name for field in found.fields] == ["base", "lay_up"]
    assert found.fields[1].shares_with == ("base",)


def test_places_are_looked_at_where_parts_followed_each_other() -> None:
    twice = lives(boat=[f"B{i // 2:02d}" for i in range(40)])
    found = groups_of(twice)
    assert found.places is not None
    assert found.places.name == PLACE
    assert len(found.places.levels) == 20
    assert found.places.codes[:4].tolist() == [0, 0, 1, 1]


def test_a_column_of_the_users_own_is_a_field_like_the_others() -> None:
    (field,) = groups_of(lives(yard=halves(40, "Own yard", "Outside yard"))).fields
    assert field.name == "yard"


def test_codes_of_other_lives() -> None:
    (field,) = groups_of(lives(base=halves(40, "North", "South"))).fields
    others = pd.DataFrame({"base": ["South", "East", None]})
    np.testing.assert_array_equal(field.codes_of(others), [1, NO_LEVEL, NO_LEVEL])
