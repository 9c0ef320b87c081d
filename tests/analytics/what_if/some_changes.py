"""Changes of every sort, for tests that must hold for all of them."""

from datetime import date

from hypothesis import strategies as st

from analytics.what_if.changes import (
    AS_SET,
    RATES,
    Added,
    Changes,
    Factors,
    Limits,
    NewSeason,
    Sold,
)

words = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=12)
NAMES = st.lists(words, min_size=1, max_size=2).map(" ".join)
ages = st.one_of(st.none(), st.just(AS_SET), st.floats(0.1, 1e6))
factors = st.builds(
    Factors,
    st.floats(0, 20),
    st.dictionaries(NAMES, st.floats(0, 20), max_size=3),
    st.dictionaries(NAMES, st.floats(0, 20), max_size=3),
)
days = st.dates(date(2001, 1, 1), date(2059, 12, 31))
month_days = st.one_of(
    st.none(), st.dates(date(2001, 1, 1), date(2001, 12, 31)).map(lambda day: (day.month, day.day))
)
days_of_year = month_days.filter(bool)
seasons = st.one_of(
    st.builds(NewSeason, days_of_year, month_days, month_days, st.booleans()),
    st.builds(NewSeason, end=days_of_year, lift_on=month_days),
)
limits = st.one_of(
    st.builds(Limits, st.none() | st.floats(0.1, 1e6), ages), st.builds(Limits, years=st.none())
)
changes = st.builds(
    Changes,
    name=NAMES,
    seasons_ahead=st.one_of(st.none(), st.integers(1, 15)),
    limits=st.dictionaries(NAMES, limits, max_size=3),
    season=st.one_of(st.none(), seasons),
    hours=factors,
    prices=factors,
    rates=st.dictionaries(st.sampled_from(sorted(RATES)), st.floats(0, 1), max_size=6),
    sold=st.lists(st.builds(Sold, NAMES, days), max_size=3).map(tuple),
    added=st.lists(
        st.builds(Added, NAMES, days, st.integers(1, 16), st.one_of(st.just(""), NAMES)), max_size=3
    ).map(tuple),
)
