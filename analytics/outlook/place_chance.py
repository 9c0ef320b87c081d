"""Chance of a place of its own: the same for one boat, position and kind whatever else there is.

Every number is a hash of the seed, the place, which life of its parts is meant, what
happens in it, and the number of the future. So nothing depends on what was drawn before:
another place, row, block of futures or policy moves no number. Under two policies a place
has the same chance in its n-th life in a future, which is what makes them comparable.

The hash is the output function of the SplitMix64 generator (Steele, Lea and Flood, 2014,
Fast splittable pseudorandom number generators; constants from memory, held against the
sequence printed for it), once over the stream and once over the stream and future together.
"""

from __future__ import annotations

import json
from hashlib import blake2b

import numpy as np
import numpy.typing as npt
import pandas as pd

Floats = npt.NDArray[np.float64]
Bits = npt.NDArray[np.uint64]
Ints = npt.NDArray[np.intp]

WEAR, EARLY, NEXT_ACCIDENT, START, READING = range(5)
"""What chance decides: how long a part wears, whether and when it fails early, how long until
the next accident, when an undated part was fitted, and the error of a reading on a day."""

_PLACE = ["boat", "position", "kind"]
_TOLD_APART_BY = ["start_lo", "start_hi", "part_no", "size", "lot"]

_STEP = np.uint64(0x9E3779B97F4A7C15)
_TIMES = np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB)
_SHIFTS = np.uint64(30), np.uint64(27), np.uint64(31)
_UNUSED = np.uint64(11)
"""A double holds 53 bits."""


def mixed(bits: Bits) -> Bits:
    """The output function of SplitMix64, in place."""
    moved = np.empty_like(bits)
    for shift, times in zip(_SHIFTS, (*_TIMES, None), strict=True):
        np.right_shift(bits, shift, out=moved)
        np.bitwise_xor(bits, moved, out=bits)
        if times is not None:
            np.multiply(bits, times, out=bits)
    return bits


def below(share: Floats) -> Bits:
    """Bits under which the uniform number of a share lies; rather a little too many."""
    wide = np.clip(share * (1.0 + 1e-9) + 1e-14, 0.0, 1.0) * 2.0**53
    return np.minimum(np.ceil(wide), 2.0**53 - 1).astype(np.uint64) << _UNUSED


class PlaceChance:
    """Uniform numbers by place, life, cause and future.

    Parameters
    ----------
    seed : int
    places : DataFrame
        Columns `boat, position, kind`, shape (n_parts,). Should two parts be in one place,
        the second counts as a place beside it: by the days between which they were fitted,
        part number, size and lot, where those are columns, whatever the order of the rows.
    n_futures : int
    """

    def __init__(self, seed: int, places: pd.DataFrame, n_futures: int) -> None:
        # As JSON, so that no two places whose names hold any mark of ours read the same.
        names = [
            json.dumps([int(seed), *map(str, name)])
            for name in zip(*(places[name] for name in _PLACE), strict=True)
        ]
        texts = (f"{name}{at}" for name, at in zip(names, _beside(names, places), strict=True))
        keys = [
            int.from_bytes(blake2b(text.encode(), digest_size=8).digest(), "little")
            for text in texts
        ]
        self._keys = np.array(keys, dtype=np.uint64)
        self._futures = mixed(np.arange(1, n_futures + 1, dtype=np.uint64) * _STEP)

    def every(self, parts: slice, life: int, cause: int) -> Bits:
        """Bits of some places in every future, shape (n_parts, n_futures)."""
        return mixed(self._streams(life, cause)[parts, None] ^ self._futures)

    def some(
        self, part: Ints, future: Ints, life: int | npt.NDArray[np.int64], cause: int, day: int = 0
    ) -> Floats:
        """Uniform numbers of some places and futures, shape (n,).

        Parameters
        ----------
        life : int or ndarray, shape (n,)
            Which life of the place, or which of its accidents, counted from 0.
        day : int
            For what may happen on several days of one life.
        """
        if isinstance(life, int):
            streams = self._streams(life, cause, day)[part]
        else:
            streams = mixed(self._keys[part] + _number(life, cause, day) * _STEP)
        streams ^= self._futures[future]
        return uniform(mixed(streams))

    def _streams(self, life: int, cause: int, day: int = 0) -> Bits:
        number = _number(np.array([life]), cause, day)
        return mixed(self._keys + number * _STEP)


def _beside(names: list[str], places: pd.DataFrame) -> list[int]:
    """How many others of the same name come before each, by what tells parts apart."""
    found = [0] * len(names)
    if len(set(names)) == len(names):
        return found
    told = [*_PLACE, *(name for name in _TOLD_APART_BY if name in places)]
    texts = [tuple(map(str, row)) for row in places[told].itertuples(index=False, name=None)]
    seen: dict[str, int] = {}
    for at in sorted(range(len(names)), key=texts.__getitem__):
        found[at] = seen[names[at]] = seen.get(names[at], -1) + 1
    return found


def uniform(bits: Bits) -> Floats:
    """Numbers from 0 up to but not including 1; the bits are used up."""
    np.right_shift(bits, _UNUSED, out=bits)
    # As signed numbers, which a processor turns into doubles faster.
    return np.asarray(bits.view(np.int64) * 2.0**-53, dtype=np.float64)


def exponential(uniforms: Floats) -> Floats:
    """Standard exponential numbers; a smaller uniform number is a smaller one."""
    return np.asarray(-np.log1p(-uniforms))


def _number(life: npt.NDArray[np.int64], cause: int, day: int) -> Bits:
    """A number of its own for every life, cause and day of a place."""
    return (life.astype(np.uint64) << np.uint64(40)) + np.uint64(1 + (cause << 32) + day)
