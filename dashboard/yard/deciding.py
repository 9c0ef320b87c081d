"""What a visitor decides about haul-outs: kept in the session as wishes, until taken along."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import cast

import pandas as pd
import streamlit as st

from analytics.decisions.haul_outs import HaulOuts
from analytics.papers.yard_sentences import wish_words
from analytics.records.reading import Records
from analytics.records.wishes import OF_WEEKS, What, Wish
from dashboard import choices
from dashboard.words import plain
from dashboard.yard import words as says

WISHES = "yard wishes"
LONGEST = 80
"""Letters of a name or a remark."""


def wishes_of(records: Records) -> tuple[Wish, ...]:
    """What was decided in this visit; at first what `plan.toml` says."""
    kept: tuple[Wish, ...] | None = st.session_state.get(WISHES)
    return records.wishes if kept is None else kept


def decide(found: HaulOuts, weeks: pd.DataFrame) -> None:
    """The form; a decision is kept, and the page drawn anew."""
    boats = [ask.boat for ask in found.problem.boats]
    left, right = st.columns(2)
    choices.only("yard decide boat", boats)
    boat = left.selectbox("Boat", boats, format_func=_raw, key="yard decide boat")
    chosen = right.selectbox(
        "What is decided", list(says.WHATS), format_func=says.WHATS.__getitem__, key="yard what"
    )
    what = cast(What, chosen)
    wish = _of_week(what, boat, found, weeks) if what in OF_WEEKS else _of_job(what, boat, found)
    if wish is None:
        st.info(says.NO_EXCEPTION)
        return
    left, right = st.columns(2)
    by = left.text_input(
        "Who accepts it (needed)" if what == "accepted" else "Who decided it",
        max_chars=LONGEST,
        key="yard by",
    ).strip()
    note = right.text_input("Why, if it should be kept", max_chars=LONGEST, key="yard note").strip()
    if what == "accepted" and not by:
        st.caption(says.NAME_NEEDED)
    st.button(
        "Apply",
        type="primary",
        disabled=what == "accepted" and not by,
        key="yard apply",
        on_click=_add,
        args=(found.wishes, replace(wish, by=by, note=note)),
    )


def decided(wishes: Sequence[Wish]) -> None:
    """What holds now, each with a way to take it back."""
    if not wishes:
        st.caption(says.NOBODY)
        return
    st.markdown("**Decided so far**")
    for at, wish in enumerate(wishes):
        with st.container(horizontal=True, vertical_alignment="center"):
            st.markdown(plain(wish_words(wish)), width="stretch")
            st.button("Take back", key=f"yard drop {at}", on_click=_drop, args=(tuple(wishes), at))


def _of_week(what: What, boat: str, found: HaulOuts, weeks: pd.DataFrame) -> Wish | None:
    starts: list[date] = [week.start for week in found.problem.yard.weeks if week.slots]
    if not starts:
        return None
    choices.only("yard week", starts)
    week = st.selectbox(
        "Week of",
        starts,
        format_func=lambda start: says.week_choice(start, weeks),
        key="yard week",
    )
    return Wish(what, boat, week)


def _of_job(what: What, boat: str, found: HaulOuts) -> Wish | None:
    hers = found.parts[(found.parts["boat"] == boat) & ~found.parts["done"].astype(bool)]
    if what == "accepted":
        (ask,) = [one for one in found.problem.boats if one.boat == boat]
        hers = hers[hers["job"].isin([job.key for job in ask.jobs if job.must])]
    places = dict.fromkeys(zip(hers["position"], hers["kind"], strict=True))
    named = {place: str(hers[(hers["position"] == place[0]) & (hers["kind"] == place[1])]["job"]
                        .iloc[0]) for place in places}  # fmt: skip
    if not named:
        return None
    choices.only("yard job", list(named))
    place = st.selectbox("Job", list(named), format_func=named.__getitem__, key="yard job")
    return Wish(what, boat, None, place[0], place[1])


def _add(before: tuple[Wish, ...], wish: Wish) -> None:
    """A later decision about the same thing goes before an earlier one."""
    same = ("promised", "pinned") if wish.what in ("promised", "pinned") else (wish.what,)

    def stays(one: Wish) -> bool:
        if one.boat != wish.boat or one.what not in same:
            return True
        if wish.what == "ruled_out":
            return one.week != wish.week
        return wish.week is None and one.job != wish.job

    st.session_state[WISHES] = (*filter(stays, before), wish)
    for name in ("yard by", "yard note"):
        st.session_state[name] = ""


def _drop(before: tuple[Wish, ...], at: int) -> None:
    st.session_state[WISHES] = before[:at] + before[at + 1 :]


def _raw(name: str) -> str:
    return name
