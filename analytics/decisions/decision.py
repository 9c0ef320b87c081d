"""A decision at yearly lay-up lifts: renewed or left, and what is to come of either.

At each yearly lay-up lift a part is renewed or left. With W(a) the expected cost to come of a
part of age a that is left, and n a new one (Bellman's equation; Puterman, Markov decision
processes, 1994; from memory)::

    W(a) = d [ q(a) (failed + V(renewed since)) + (1 - q(a)) V(a + 1) ]
    V(a) = min( W(a), planned + W(n) )

with q(a) the chance of failing until the next lift and d the discount of a year. A part that
fails afloat is renewed at once, half a year before the next lift on average; what only a lift
shows is renewed at the next.

Of a boat that leaves nothing is worth anything from that day on, V = W = 0, neither of the part
that is left nor of a new one in its place: both are counted over the same years. What only a lift
shows and no lift of hers will show costs nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

DISCOUNT = 0.03
"""Share by which a cost a year from now weighs less than one today (planning default)."""

_SETTLED = 1e-9


@dataclass(frozen=True)
class Decision:
    """Costs of one decision at yearly lifts, for many parts at once.

    Attributes
    ----------
    planned, failed : ndarray, shape (n_parts,)
        Cost of a renewal at a lift, and of a failure with the renewal that follows.
    found_at_lift : bool
        Whether a failure waits for the next lift.
    discount : float
        Share a year.
    """

    planned: Floats
    failed: Floats
    found_at_lift: bool
    discount: float = DISCOUNT

    def some(self, chosen: npt.NDArray[np.intp]) -> Decision:
        """Of some of the parts."""
        return replace(self, planned=self.planned[chosen], failed=self.failed[chosen])

    def of_new(self, fails: Floats, fails_half: Floats) -> tuple[Floats, Floats]:
        """Expected cost to come of parts that are left, by age, over an endless horizon.

        Parameters
        ----------
        fails, fails_half : ndarray, shape (n_parts, n_ages)
            Chance that a part of age 0, 1, ... years, or of half a year more, fails until the
            next lift, given that it lasted so long.

        Returns
        -------
        ndarray, shape (n_parts, n_ages)
            At ages 0, 1, ... years.
        ndarray, shape (n_parts,)
            Just after the lift that follows a failure afloat, half a year old.

        Raises
        ------
        ValueError
            If the discount is not above 0: the cost to come over an endless horizon has no end.
        """
        if not self.discount > 0:
            raise ValueError(f"a discount above 0 is needed, not {self.discount}")
        d = 1.0 / (1.0 + self.discount)
        planned, failed = self.planned[:, None], self.failed[:, None]
        whole, half = np.zeros_like(fails), np.zeros_like(fails)
        while True:
            renewed = planned + whole[:, :1]
            value = np.minimum(whole, renewed)
            value_half = np.minimum(half, renewed)
            # The oldest age stands for every older one.
            next_whole = np.concatenate([value[:, 1:], value[:, -1:]], axis=1)
            next_half = np.concatenate([value_half[:, 1:], value_half[:, -1:]], axis=1)
            after = failed + (whole[:, :1] if self.found_at_lift else value_half[:, :1])
            new_whole = d * (fails * after + (1.0 - fails) * next_whole)
            new_half = d * (fails_half * after + (1.0 - fails_half) * next_half)
            change = max(np.abs(new_whole - whole).max(), np.abs(new_half - half).max())
            whole, half = new_whole, new_half
            if change <= _SETTLED * (1.0 + np.abs(whole).max()):
                return whole, half[:, 0]

    def until_leaving(
        self, fails: Floats, fails_half: Floats, years: int, share: Floats
    ) -> tuple[Floats, Floats]:
        """The same, where a boat leaves after so many years.

        Parameters
        ----------
        fails, fails_half : ndarray, shape (n_parts, n_ages)
            As of `of_new`.
        years : int
            The last of them may be short.
        share : ndarray, shape (n_parts,)
            Of a year of wear, in the last.

        Returns
        -------
        ndarray, shape (years + 1, n_parts, n_ages)
            At ages 0, 1, ... years, with 0, 1, ... years to go.
        ndarray, shape (years + 1, n_parts)
            Half a year old.
        """
        d = 1.0 / (1.0 + self.discount)
        planned, failed = self.planned[:, None], self.failed[:, None]
        whole = np.zeros((years + 1, *fails.shape))
        half = np.zeros_like(whole)
        for left in range(1, years + 1):
            now, now_half = whole[left - 1], half[left - 1]
            if left == 1:
                short = [1.0 - (1.0 - one) ** share[:, None] for one in (fails, fails_half)]
                cost = 0.0 if self.found_at_lift else failed
                whole[1], half[1] = (d * one * cost for one in short)
                continue
            renewed = planned + now[:, :1]
            value, value_half = np.minimum(now, renewed), np.minimum(now_half, renewed)
            after = failed + (now[:, :1] if self.found_at_lift else value_half[:, :1])
            for to, chance, later in ((whole, fails, value), (half, fails_half, value_half)):
                older = np.concatenate([later[:, 1:], later[:, -1:]], axis=1)
                to[left] = d * (chance * after + (1.0 - chance) * older)
        return whole, half[:, :, 0]

    def of_old(
        self,
        fails: Floats,
        new: Floats,
        renewed_half: Floats,
        afterwards: Floats,
        gone: npt.NDArray[np.bool_] | None = None,
    ) -> Floats:
        """Expected cost to come of parts in service that are left, at each coming lift.

        Parameters
        ----------
        fails : ndarray, shape (n_parts, n_lifts)
            Chance of failing between each lift and the next, given that it lasted so long.
        new, renewed_half : ndarray, shape (n_parts,) or (n_parts, n_lifts + 1)
            Of `of_new`, for a part renewed at a lift and half a year before one; where it is
            not the same at each of them, for that lift.
        afterwards : ndarray, shape (n_parts,)
            Cost to come of a part that is left at the lift after the last of `fails`.
        gone : ndarray of bool, shape (n_parts, n_lifts + 1), optional
            Whether the boat has left by each of these lifts.

        Returns
        -------
        ndarray, shape (n_parts, n_lifts)
        """
        d = 1.0 / (1.0 + self.discount)
        shape = len(fails), fails.shape[1] + 1
        each = [
            one if one.ndim == 2 else np.tile(one[:, None], shape[1]) for one in (new, renewed_half)
        ]
        new, renewed_half = each
        gone = np.zeros(shape, dtype=bool) if gone is None else gone
        renewed = self.planned[:, None] + new
        found = self.failed[:, None] + np.zeros(shape)
        if self.found_at_lift:
            after = np.where(gone, 0.0, found + new)
        else:
            after = found + np.where(gone, 0.0, np.minimum(renewed_half, renewed))
        left = np.empty_like(fails)
        value = np.where(gone[:, -1], 0.0, np.minimum(afterwards, renewed[:, -1]))
        for lift in reversed(range(fails.shape[1])):
            fail = fails[:, lift]
            left[:, lift] = d * (fail * after[:, lift + 1] + (1.0 - fail) * value)
            left[gone[:, lift], lift] = 0.0
            value = np.where(gone[:, lift], 0.0, np.minimum(left[:, lift], renewed[:, lift]))
        return left
