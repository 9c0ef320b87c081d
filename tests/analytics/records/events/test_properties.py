"""What holds of every table of events, and true histories that come back as they were."""

from datetime import date, timedelta
from itertools import groupby, pairwise
from typing import Any

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.dates import parse_window
from analytics.records.events.assembling import Assembled, assemble
from analytics.records.events.rows import PLACE_ACTIONS
from analytics.records.tables import REASONS
from tests.analytics.records.events.event_tables import event, table

FIRST = date(2012, 1, 1)
BOATS = ("Grey Plover", "Blue Tern")
ACTIONS = (*PLACE_ACTIONS, "upkeep", "meter", "engine", "left", "other")


@st.composite
def windows(draw: st.DrawFn) -> str:
    day = FIRST + timedelta(days=draw(st.integers(0, 1200)))
    return draw(st.sampled_from([f"{day}", f"{day}", f"{day:%Y-%m}", f"{day:%Y}"]))


EVENTS = st.builds(
    event,
    windows(),
    st.sampled_from(ACTIONS),
    st.sampled_from(["", *REASONS]),
    boat=st.sampled_from(BOATS),
    position=st.sampled_from(["port", "starboard"]),
    kind=st.sampled_from(["bellows", "face_seal"]),
    condition=st.sampled_from(["", "sound", "degraded", "failed"]),
    serial=st.sampled_from(["", "", "S1", "S2"]),
    lot=st.sampled_from(["", "", "L1"]),
    job=st.sampled_from(["", "J1", "J2"]),
    to_boat=st.sampled_from(["", *BOATS]),
    flags=st.sampled_from(["", "warranty", "recall by_age", "degraded"]),
    hours=st.sampled_from([float("nan"), 100.0, 250.5]),
    fit=st.just("") | windows(),
    note=st.sampled_from(["", "looked tired"]),
)


@st.composite
def tables(draw: st.DrawFn) -> pd.DataFrame:
    events: list[dict[str, Any]] = draw(st.lists(EVENTS, max_size=25))
    lines = draw(st.lists(st.integers(2, 30), min_size=len(events), max_size=len(events)))
    return table(one | {"line": line} for one, line in zip(events, lines, strict=True))


def read(events: pd.DataFrame) -> Assembled:
    positions = dict.fromkeys(BOATS, ("port", "starboard"))
    return assemble(events, as_of=date(2014, 12, 31), positions=positions)


def _place(life: dict[str, str]) -> tuple[str, ...]:
    return life["boat"], life["position"], life["kind"]


@given(tables())
def test_every_line_has_one_fate_and_what_was_left_out_is_told(events: pd.DataFrame) -> None:
    result = read(events)
    assert set(result.fates) == set(events["line"])
    for line, fate in result.fates.items():
        assert (fate.outcome == "used") == (fate.told is None)
        if fate.told is not None:
            assert line in (fate.told.line, *fate.told.also)
            assert fate.told.done == fate.outcome
            assert fate.told in result.findings
    assert {line for lines in result.lines for line in lines} <= set(result.fates)
    assert all(result.lines)


@given(tables())
def test_windows_are_ordered_and_places_hold_one_part(events: pd.DataFrame) -> None:
    result = read(events)
    for life in result.lives:
        fitted, here, removed, sound = (
            parse_window(life[name])
            for name in ("fitted_on", "here_since", "removed_on", "last_sound_on")
        )
        assert life["reason"] in ("", *REASONS)
        assert removed or not life["reason"]
        if removed:
            assert not fitted or fitted.lo <= removed.hi
            assert not here or here.lo <= removed.hi
            assert not sound or sound.hi <= removed.hi
        assert not (fitted and here) or fitted.lo <= here.hi
    for _, lives in groupby(result.lives, _place):
        *before, _last = lives
        assert all(life["removed_on"] for life in before), "only the last is still in place"


@given(tables())
def test_a_part_is_fitted_when_the_one_before_it_may_have_come_out(events: pd.DataFrame) -> None:
    for _, lives in groupby(read(events).lives, _place):
        for life, follower in pairwise(lives):
            removed = parse_window(life["removed_on"])
            fitted = parse_window(follower["here_since"] or follower["fitted_on"])
            assert removed
            assert not fitted or removed.lo <= fitted.hi


@given(tables(), st.randoms(use_true_random=False))
def test_the_order_of_rows_changes_nothing(events: pd.DataFrame, random: Any) -> None:
    shuffled = list(range(len(events)))
    random.shuffle(shuffled)
    first, second = read(events), read(events.iloc[shuffled])
    assert first == second
    numbered_anew = read(events.iloc[shuffled].assign(line=range(2, len(events) + 2)))
    assert numbered_anew.lives == first.lives
    assert numbered_anew.readings == first.readings


TELL_AS = ("one row", "two rows", "failure first", "gap")


@st.composite
def histories(draw: st.DrawFn) -> tuple[list[dict[str, Any]], list[tuple[str, ...]]]:
    """The true lives of one place, and events that tell of them."""
    day = FIRST
    events: list[dict[str, Any]] = []
    lives: list[tuple[str, ...]] = []
    dated = draw(st.booleans())
    fitted = str(day) if dated else ""
    if dated:
        events.append(event(day, "fitted"))
    for _ in range(draw(st.integers(0 if dated else 1, 6))):
        length = draw(st.integers(70, 2000))
        sound = draw(st.sampled_from(["", str(day + timedelta(days=length // 2))]))
        if sound:
            events.append(
                event(sound, "seen", condition=draw(st.sampled_from(["sound", "degraded"])))
            )
        day += timedelta(days=length)
        reason = draw(st.sampled_from([one for one in REASONS if one != "boat_left"]))
        way = draw(st.sampled_from(TELL_AS))
        reason = "failed" if way == "failure first" else reason
        lives.append((fitted, str(day), reason, sound))
        next_on = day
        if way == "one row":
            events.append(event(day, "replaced", reason))
        elif way == "two rows":
            events += [event(day, "fitted"), event(day, "removed", reason)]
        elif way == "failure first":
            next_on = day + timedelta(days=draw(st.integers(0, 60)))
            events += [event(day, "failed"), event(next_on, "replaced", "unknown")]
        else:
            next_on = day + timedelta(days=draw(st.integers(0, 300)))
            events += [event(day, "removed", reason), event(next_on, "fitted")]
        day, fitted = next_on, str(next_on)
    if draw(st.booleans()):
        lives.append((fitted, "", "", ""))
    else:
        ended = day + timedelta(days=draw(st.integers(70, 900)))
        events.append(event(ended, "removed", "accident"))
        lives.append((fitted, str(ended), "accident", ""))
    return events, lives


@given(st.lists(histories(), max_size=3), st.randoms(use_true_random=False))
def test_a_true_history_comes_back_as_it_was(
    places: list[tuple[list[dict[str, Any]], list[tuple[str, ...]]]], random: Any
) -> None:
    rows = [
        one | {"boat": f"B{number}"} for number, (events, _) in enumerate(places) for one in events
    ]
    random.shuffle(rows)
    result = assemble(table(rows))
    names = ("boat", "fitted_on", "removed_on", "reason", "last_sound_on")
    assert [tuple(life[name] for name in names) for life in result.lives] == [
        (f"B{number}", *life) for number, (_, lives) in enumerate(places) for life in lives
    ]
    assert all(fate.outcome == "used" for fate in result.fates.values())


class _StoppedError(Exception):
    pass


def test_progress_is_told_and_may_stop_it() -> None:
    one = table([event("2014", "seen", condition="sound")])
    events = one.loc[[0] * 120_000].assign(line=range(120_000))
    calls: list[tuple[int, int]] = []
    assemble(events, progress=lambda done, total: calls.append((done, total)))
    assert calls == [(50_000, 120_000), (100_000, 120_000), (120_000, 120_000)]

    def stop(done: int, total: int) -> None:
        raise _StoppedError

    with pytest.raises(_StoppedError):
        assemble(events, progress=stop)
