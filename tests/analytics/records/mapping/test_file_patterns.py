"""Names of files with a * for what changes from one export to the next."""

from __future__ import annotations

from fnmatch import fnmatchcase

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.mapping.file_patterns import literal, pattern_of


@pytest.mark.parametrize(
    ("file", "pattern"),
    [
        ("jobs 2026-10.csv", "jobs *.csv"),
        ("export_20261031.xlsx", "export_*.xlsx"),
        ("Jobs Oct 2026.csv", "Jobs *.csv"),
        ("a/b/hours 03.04.2019.csv", "hours *.csv"),
        ("fleet 2026Q3.csv", "fleet *.csv"),
        ("log.2019-10-01T1200.csv", "log.*.csv"),
        ("bay 12 jobs.csv", "bay 12 jobs.csv"),
        ("jobs (2).csv", "jobs (2).csv"),
        ("marchdata.csv", "marchdata.csv"),
        ("2026-10.csv", "2026-10.csv"),
        ("jobs[1] 2019.csv", "jobs[[]1] *.csv"),
    ],
)
def test_dates_become_stars_and_other_numbers_stay(file, pattern):
    assert pattern_of(file) == pattern


@given(st.text(alphabet="ab[]*?!-_. 0129(", min_size=1, max_size=20))
def test_a_pattern_is_always_of_its_own_name(name):
    assert fnmatchcase(name, pattern_of(name))
    assert fnmatchcase(name, literal(name))


@given(st.text(alphabet="ab[]*?!", min_size=1), st.text(alphabet="ab[]*?!", min_size=1))
def test_a_literal_name_is_of_no_other(name, other):
    assert fnmatchcase(other, literal(name)) == (name == other)
