"""Ages at which parts wear out or fail early: a curve for every draw of the parameters and part."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from analytics.ageing.families import AVERAGED, CODES, FAMILIES, own_terms
from analytics.ageing.posterior import Posterior

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.intp]

NEVER = np.inf


class FailureAges:
    """Curves of the parts of one kind, with some draws of the parameters.

    Tables have a row per part (or per node of a part's window of fitting) and a column per
    draw, or one column where all draws are alike.

    Parameters
    ----------
    posterior : Posterior
    draws : ndarray of int, shape (n_draws,)
        Numbers of the draws; those beyond the posterior's begin again with the first.
    effects : ndarray, shape (n_parts, n_draws), or None
        What the groups of each part add to its log life.
    """

    def __init__(self, posterior: Posterior, draws: Ints, effects: Floats | None) -> None:
        chosen = draws % len(posterior)
        theta = posterior.parameters.part(chosen)
        names = CODES if posterior.kind.family == AVERAGED else (posterior.kind.family,)
        self.code = np.zeros(len(draws), dtype=np.int8)
        if theta.codes is not None:
            self.code[:] = theta.codes
        self.log_shape, log_scale = theta.log_shape.copy(), theta.log_scale.copy()
        self._families = []
        for code, name in enumerate(names):
            theirs = np.flatnonzero(self.code == code)
            if len(names) > 1:
                terms = own_terms(name, theta.log_shape[theirs], theta.log_scale[theirs])
                self.log_shape[theirs], log_scale[theirs] = terms
            if len(theirs):
                # As a slice where it can be: no copies.
                all_of_them = len(theirs) == len(draws)
                self._families.append((FAMILIES[name], code, None if all_of_them else theirs))
        self.log_scale = log_scale[None, :] if effects is None else log_scale + effects
        self.early = theta.early
        self.early_years = posterior.early_years
        self.accidents = posterior.accidents[chosen]

    def hazard(self, age: Floats, part: Ints) -> Floats:
        """Cumulative hazard of wearing out at a table of ages, shape (n_rows, n_draws).

        Parameters
        ----------
        part : ndarray of int, shape (n_rows,)
        """
        log_scale = self.log_scale[part if len(self.log_scale) > 1 else 0 * part]
        found = np.empty(log_scale.shape)
        for family, _, theirs in self._families:
            if theirs is None:
                return family.cumulative_hazard(age, self.log_shape, log_scale)
            some = age if age.shape[1] == 1 else age[:, theirs]
            found[:, theirs] = family.cumulative_hazard(
                some, self.log_shape[theirs], log_scale[:, theirs]
            )
        return found

    def age_at(self, cumulative: Floats, part: Ints, draw: Ints) -> Floats:
        """Age at which some parts have worn so far, shape (n,)."""
        log_scale, log_shape = at(self.log_scale, part, draw), self.log_shape[draw]
        found = np.empty(len(cumulative))
        code = self.code[draw] if len(self._families) > 1 else None
        for family, number, _ in self._families:
            if code is None:
                return family.age_at(cumulative, log_shape, log_scale)
            some = np.flatnonzero(code == number)
            found[some] = family.age_at(cumulative[some], log_shape[some], log_scale[some])
        return found


def at(table: Floats, row: Ints, draw: Ints) -> Floats:
    """Values of a table that may have one row for all parts, or one column for all draws."""
    n_rows, n_draws = table.shape
    if n_rows == 1:
        return np.asarray(table[0, 0 * draw if n_draws == 1 else draw])
    if n_draws == 1:
        return np.asarray(table[row, 0])
    return np.asarray(np.take(table.ravel(), row * n_draws + draw))
