"""Replacements per position by hand, term by term, and from lives."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from analytics.ageing.nonparametric.recurrence import MeanNumber, against, from_lives, mean_number
from tests.analytics.ageing.folders import fleet_of

WINDOW = st.tuples(st.integers(0, 4), st.integers(0, 9), st.integers(1, 6))
EVENT = st.tuples(st.integers(0, 5), st.integers(0, 16))


def counted(
    windows: list[tuple[object, float, float]], events: list[tuple[object, float]]
) -> MeanNumber:
    return mean_number(
        pd.DataFrame(windows, columns=["position", "begin", "end"]),
        pd.DataFrame(events, columns=["position", "time"]),
    )


def test_by_hand() -> None:
    # A from 0 to 10; B from 0 to 4 and again from 6 on; C from 5 on.
    found = counted(
        [("A", 0, 10), ("B", 0, 4), ("B", 6, 10), ("C", 5, 10)],
        [("A", 2), ("B", 4), ("A", 5), ("B", 5), ("C", 8), ("C", 8), ("D", 3)],
    )
    # Nobody watched B at 5, nor D at all. At 5, C is not watched yet.
    assert found.unwatched == 2
    assert found.positions == 3
    assert found.times.tolist() == [2, 4, 5, 8]
    assert found.watched.tolist() == [2, 2, 1, 3]
    assert found.events.tolist() == [1, 1, 1, 2]
    assert found.mean.tolist() == pytest.approx([1 / 2, 1, 2, 2 + 2 / 3])
    at = found.at([1, 4.5, 10, 11])["replacements_per_position"].tolist()
    assert at == pytest.approx([0, 1, 2 + 2 / 3, np.nan], nan_ok=True)
    assert list(found.table().columns)[:3] == [
        "years_watched",
        "positions_watched",
        "replacements",
    ]


@for_all(st.lists(WINDOW, min_size=1, max_size=14), st.lists(EVENT, max_size=25))
def test_mean_and_variance_are_the_written_sums(
    windows: list[tuple[int, int, int]], events: list[tuple[int, int]]
) -> None:
    spans = [(place, float(begin), float(begin + more)) for place, begin, more in windows]
    found = counted(spans, [(place, float(time)) for place, time in events])
    places = sorted({place for place, _, _ in spans})
    moments = sorted({time for _, time in events})
    watched = np.array(
        [[any(p == q and b < t <= e for q, b, e in spans) for t in moments] for p in places]
    ).reshape(len(places), len(moments))
    number = np.array([[events.count((p, t)) for t in moments] for p in places])
    number = number.reshape(watched.shape) * watched
    some = number.sum(axis=0) > 0
    watched, number = watched[:, some], number[:, some]
    y, d = watched.sum(axis=0), number.sum(axis=0)
    adds = np.cumsum((number - watched * (d / y)) / y, axis=1)
    assert found.watched.tolist() == y.tolist()
    assert found.events.tolist() == d.tolist()
    assert found.unwatched == len(events) - number.sum()
    np.testing.assert_allclose(found.mean, np.cumsum(d / y), rtol=1e-12)
    np.testing.assert_allclose(found.error**2, (adds**2).sum(axis=0), atol=1e-12)


@pytest.mark.parametrize(
    ("windows", "events", "said"),
    [
        ([("A", 3, 3)], [], "end after it begins"),
        ([("A", 0, np.nan)], [], "both must be known"),
        ([("A", 0, 1)], [("A", np.nan)], "needs a time"),
    ],
)
def test_what_is_refused(
    windows: list[tuple[object, float, float]], events: list[tuple[object, float]], said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        counted(windows, events)


def test_no_replacements_and_no_positions() -> None:
    for windows in ([("A", 0.0, 5.0)], []):
        found = counted(windows, [])
        assert found.table().empty
    assert counted([("A", 0.0, 5.0)], []).at([3.0])["replacements_per_position"].tolist() == [0.0]


def test_positions_of_a_fleet() -> None:
    fleet = fleet_of([
        # In place when first watched in 2005; renewed after 5.5 years, and again in 2016.
        "A,port,bellows,,,2000-01-01,2010-06-30,replaced_sound",
        "A,port,bellows,,,2010-06-30,2016-06-30,failed,ashore,2014-06-30",
        "A,port,bellows,,,2016-07-20",
        # The other side comes later; an accident is a replacement too.
        "A,starboard,bellows,,,2012-01-01,2015-01-01,accident",
        "A,starboard,bellows,,,2015-01-01",
        # Nothing is known of three years between two parts.
        "B,single,bellows,,,2006-01-01,2008-01-01,other_work",
        "B,single,bellows,,,2011-01-01",
        "B,single,lip_seal,,,2006-01-01,2008-01-01,failed",
    ])  # fmt: skip
    found = from_lives(fleet.lives, "bellows")
    assert found.positions == 3
    assert found.events.tolist() == [1, 1, 1, 1]
    assert found.unit == "years"
    # B after 2 years, A starboard after 3, A port after 5.5 and 11.5; B is away from 2 to 5.
    assert found.times.tolist() == pytest.approx([2, 3, 5.5, 11.5], abs=0.01)
    assert found.watched.tolist() == [3, 2, 3, 3]
    assert found.longest == pytest.approx(19.5, abs=0.01)
    failures = from_lives(fleet.lives, "bellows", outcomes=("failed",))
    assert failures.times.tolist() == pytest.approx([11.5], abs=0.01)
    first = from_lives(fleet.lives, "bellows", outcomes=("failed",), on="first")
    assert first.times.tolist() == pytest.approx([9.5], abs=0.01)


def test_an_expected_number_held_against_it() -> None:
    rng = np.random.default_rng(1)
    windows = [(k, 0.0, 10.0) for k in range(80)]
    events = [(k, float(t)) for k in range(80) for t in rng.uniform(0, 10, rng.poisson(2))]
    found = counted(windows, events)
    years = np.linspace(1, 10, 10)
    assert against(found, years, 0.2 * years).sentence is None
    few = against(found, years, 0.1 * years).sentence
    assert few is not None
    assert "positions needed more replacements than expected" in few
