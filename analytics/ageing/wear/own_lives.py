"""The life of each part by its own readings: what moves its risk away from that of its kind.

A part that is read wears out at ``life = room / rate``, so a curve of lives and
the part's readings speak of the same unknown. For each draw of the curve::

    p(life | curve, readings)  ~  p(life | curve) p(readings | rate = room / life)

Its survival is kept as what has to be added to the log scale of the curve for
the curve to give it, age by age: `OwnCurves.shift`. So whatever works with a
curve and a shift of it (the risk of a season, simulated futures) works with
readings too. That the part was sound when last seen is a record and not a
reading: it is left to whoever asks, as for any other part.

The curve is that of the failures alone, so the part's own readings count once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from analytics.ageing.clocks import CENSORED
from analytics.ageing.fit import Ageing
from analytics.ageing.posterior import Posterior
from analytics.ageing.wear.hours_to_limit import Wear
from analytics.ageing.wear.straight_lines import PER, Paths, peak, straight_line_terms
from analytics.ageing.wear.wear_and_failures import ASSUMPTION, disagreement, failed_within_limit
from analytics.ageing.wear.wear_contribution import Curve
from analytics.lives import IN_SERVICE

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

LEFT_OUT = "The risk of each bearing therefore leaves its readings out."

_STRETCH = 0.35
_GRID = np.linspace(-5.2, 5.2, 81)
"""Steps about the likeliest rate, further apart further out."""

_MOST = 600.0
"""No cumulative hazard above this is told apart: nobody is left."""

_LEAST_AGE = 1e-6

_CELLS_AT_ONCE = 200_000


@dataclass(frozen=True)
class OwnLives:
    """Lives of the parts in service that have readings.

    Attributes
    ----------
    posterior : Posterior
        Curves that the readings move.
    node : ndarray of int, shape (n_read,)
        Which of the nodes of all parts in service (`outlook.chances.AgesAhead`) are meant.
    n_nodes : int
        How many of those there are.
    first : ndarray of int, shape (n_parts,)
        First of `node` of each part with readings.
    life : ndarray of int, shape (n_parts,)
        The parts, as in `Lives.table`.
    paths : Paths
        A path per part and a row per node.
    renew : ndarray, shape (n_read,)
        Renew limit in mm.
    rate_factor : ndarray, shape (n_read,)
        By what hours are stretched in `paths`, see `hours_to_limit.size_factor`.
    group_shift : ndarray, shape (n_draws, n_parts), or None
        What the groups of each part add to its log life.
    log_error, offset : ndarray, shape (n_draws,)
        Draws of the error of a reading (log mm) and the offset of new clearances (mm).
    said : tuple of str
        The assumption; why no part is moved, where none is.
    """

    posterior: Posterior
    node: Ints
    n_nodes: int
    first: Ints
    life: Ints
    paths: Paths
    renew: Floats
    rate_factor: Floats
    group_shift: Floats | None
    log_error: Floats
    offset: Floats
    said: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.life)

    def part(self, draws: slice | Ints) -> OwnCurves:
        """The curves of some draws; a draw that is asked for twice is worked out once."""
        asked = np.arange(len(self.posterior))[draws]
        once, where = np.unique(asked, return_inverse=True)
        shape = len(once), len(self.node)
        log_room, at_rate, width = np.empty((3, *shape))
        found = _Steps(log_room, at_rate, width, np.empty((*shape, len(_GRID))))
        for rows, some in self._some_at_once():
            step = max(1, _CELLS_AT_ONCE // (len(some.node) * len(_GRID)))
            for at in range(0, len(once), step):
                chunk = slice(at, at + step)
                for whole, of in zip(vars(found).values(), some._steps(once[chunk]), strict=True):
                    whole[chunk, rows] = of
        if not np.array_equal(once, asked):
            found = _Steps(*(of[where] for of in vars(found).values()))
        return OwnCurves(self, self._curve(asked), found)

    def _some_at_once(self) -> Iterator[tuple[slice, OwnLives]]:
        """Some of the parts at a time, with their rows: few enough to stay at hand."""
        most, ends = max(1, _CELLS_AT_ONCE // len(_GRID)), np.append(self.first, len(self.node))
        begin = 0
        while begin < len(self.first):
            # At least one part, however many rows it has.
            end = max(begin + 1, int(np.searchsorted(ends, ends[begin] + most, "right")) - 1)
            rows, shift = slice(int(ends[begin]), int(ends[end])), self.group_shift
            first = self.first[begin:end] - ends[begin]
            yield (
                rows,
                replace(
                    self,
                    node=self.node[rows],
                    first=first,
                    life=self.life[begin:end],
                    paths=replace(self.paths.some_rows(rows), first=first),
                    renew=self.renew[rows],
                    rate_factor=self.rate_factor[rows],
                    group_shift=None if shift is None else shift[:, begin:end],
                ),
            )
            begin = end

    def _curve(self, draws: Ints) -> Curve:
        shift = None if self.group_shift is None else self.group_shift[draws][:, self.paths.path]
        return Curve.of(self.posterior, self.posterior.parameters.part(draws), shift)

    def _steps(self, draws: Ints) -> tuple[Floats, Floats, Floats, Floats]:
        """Of some draws: what there is to wear away, where the grid lies, and hazards on it."""
        paths, curve, offset = self.paths, self._curve(draws), self.offset[draws]
        a, b, k = straight_line_terms(paths, self.log_error[draws], offset)
        room = np.maximum(self.renew - paths.new - offset[:, None], 1e-3) * PER
        log_room = np.log(room / self.rate_factor)
        spread = np.maximum((curve.log_age(0.84) - curve.log_age(0.16)) / 2, 1e-3)
        at, width = peak(a, b, log_room - curve.log_age(0.5), spread + 0 * a)
        # Steps before rows, so that rows are dealt with in long runs.
        away = (np.sinh(_STRETCH * _GRID) / _STRETCH)[:, None]
        log_rates = at[:, None] + width[:, None] * away
        rates = np.exp(np.minimum(log_rates, 150.0))
        inside = rates * (b[:, None] - 0.5 * a[:, None] * rates)
        inside += curve.log_density(log_room[:, None] - log_rates)
        top = inside.max(axis=1)
        inside -= top[:, None]
        mass = np.exp(inside, out=inside)
        mass *= np.cosh(_STRETCH * _GRID)[:, None]
        # From the slowest on: what wears more slowly is left. A sliver stands for the far end.
        steps = np.concatenate([mass[:, :1], (mass[:, 1:] + mass[:, :-1]) / 2], axis=1)
        left = np.cumsum(steps, axis=1, out=steps)
        log_left = np.log(np.maximum(left, 1e-300, out=left), out=left)
        log_left += (k + top + np.log(width))[:, None]
        # Relative to the likeliest day of fitting of each part, by its readings alone.
        best = np.maximum.reduceat(log_left[:, -1], self.first, axis=1)[:, paths.path]
        found = np.minimum(best[:, None] - log_left, _MOST)
        found[..., np.isneginf(paths.log_weight)] = _MOST
        return log_room, at, width, np.moveaxis(found, 1, -1)


@dataclass(frozen=True)
class OwnCurves:
    """Cumulative hazards of wearing out by the readings, for some draws.

    Attributes
    ----------
    lives : OwnLives
    curve : Curve
        Without the readings.
    steps : _Steps
        The hazards, rows of shape (n_draws, n_read). For an undated part they are those of the
        part being of this day of fitting and sound, over the likeliest day.
    """

    lives: OwnLives
    curve: Curve
    steps: _Steps

    def shift(self, age: Floats) -> Floats:
        """What the readings add to the log scale, so that the curve gives the own survival.

        Parameters
        ----------
        age : ndarray, shape (n_nodes,) or (n_draws, n_nodes)
            Ages of all parts in service, at each node; in the hours expected so far, in
            which readings are laid on their paths.

        Returns
        -------
        ndarray, shape (n_draws, n_nodes)
            Beside the effects of groups; 0 for parts without readings.
        """
        shape = self.steps.at.shape
        total = np.zeros((shape[0], self.lives.n_nodes))
        if not len(self.lives):
            return total
        own = np.maximum(age[..., self.lives.node], _LEAST_AGE)
        log_age = np.broadcast_to(np.log(own), shape)
        total[:, self.lives.node] = log_age - self._on_curve(self.steps.hazard_at(log_age))
        return total

    def worn_at(self, node: Ints, sound: Floats, waited: Floats) -> Floats:
        """Age at which the own cumulative hazard has risen by `waited` since a part was sound.

        Parameters
        ----------
        node : ndarray of int, shape (n_draws, n_parts)
            The node of fitting of each part in service.
        sound, waited : ndarray, shape (n_draws, n_parts)
            Age when last known sound, and a standard exponential draw.

        Returns
        -------
        ndarray, shape (n_draws, n_parts)
            NaN for parts without readings.
        """
        found = np.full(node.shape, np.nan)
        column = np.full(self.lives.n_nodes, -1, dtype=np.int64)
        column[self.lives.node] = np.arange(len(self.lives.node))
        for part in np.flatnonzero((column[node] >= 0).any(axis=0)):
            at = column[node[:, part]]
            log_age = np.log(np.maximum(sound[:, part], _LEAST_AGE))
            chosen = self.steps.picked(at)
            wanted = np.minimum(chosen.hazard_at(log_age) + waited[:, part], _MOST)
            found[:, part] = np.maximum(np.exp(chosen.log_age_at(wanted)), sound[:, part])
        return found

    def _on_curve(self, hazard: Floats) -> Floats:
        """Log of the age at which the curve alone has a cumulative hazard."""
        family, shape, scale = self.curve.family, self.curve.log_shape, self.curve.log_scale
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(family.age_at(np.maximum(hazard, 1e-12), shape, scale)))


@dataclass(frozen=True)
class _Steps:
    """Cumulative hazards on steps of the log rate, the slowest (oldest) first.

    Attributes
    ----------
    log_room, at, width : ndarray, shape (...)
        What there is to wear away, and the log rate and spread about which the steps lie.
    hazard : ndarray, shape (..., n_steps)
    """

    log_room: Floats
    at: Floats
    width: Floats
    hazard: Floats

    def picked(self, column: Ints) -> _Steps:
        """One column of each row."""
        row = np.arange(len(column))
        return _Steps(*(getattr(self, name)[row, column] for name in vars(self)))

    def hazard_at(self, log_age: Floats) -> Floats:
        """Between the steps along straight lines; beyond the oldest age along the last of them."""
        away = _STRETCH * (self.log_room - log_age - self.at) / self.width
        place = (np.arcsinh(away) / _STRETCH - _GRID[0]) / (_GRID[1] - _GRID[0])
        low = np.clip(np.floor(place), 0, len(_GRID) - 2).astype(np.int64)
        older = np.take_along_axis(self.hazard, low[..., None], axis=-1)[..., 0]
        younger = np.take_along_axis(self.hazard, low[..., None] + 1, axis=-1)[..., 0]
        share = np.minimum(place - low, 1.0)
        return np.asarray(np.clip(older + share * (younger - older), 0.0, _MOST))

    def log_age_at(self, hazard: Floats) -> Floats:
        """The other way round."""
        above = (self.hazard >= hazard[..., None]).sum(axis=-1)
        low = np.clip(above - 1, 0, len(_GRID) - 2)
        older = np.take_along_axis(self.hazard, low[..., None], axis=-1)[..., 0]
        younger = np.take_along_axis(self.hazard, low[..., None] + 1, axis=-1)[..., 0]
        drop = np.maximum(older - younger, 1e-300)
        place = low + np.clip((older - hazard) / drop, -len(_GRID), 1.0)
        steps = _GRID[0] + place * (_GRID[1] - _GRID[0])
        away = self.width * np.sinh(_STRETCH * steps) / _STRETCH
        return np.asarray(self.log_room - self.at - away)


def own_lives(ageing: Ageing, wear: Wear | None, seed: int = 0) -> OwnLives:
    """The lives of the parts of a kind in service, each by its own readings.

    Parameters
    ----------
    ageing : Ageing
        Of the kind and group of `wear`; with life factors or without.
    wear : Wear or None
        None where nothing was read.
    seed : int
        As in `outlook.chances.ages_ahead`, for levels that the records do not hold; and for
        whether readings and failures disagree.

    Returns
    -------
    OwnLives
        Without parts, and with the reason in `said`, where the failures are not of
        the kind that readings speak of: a part is then not judged by them.

    Raises
    ------
    ValueError
        If the kind is not the same, or does not age by shaft hours.
    """
    posterior, nodes = ageing.posterior, ageing.nodes
    in_service = (ageing.table["outcome"] == IN_SERVICE).to_numpy()
    serving = in_service[nodes.life]
    n_nodes = int(serving.sum())
    if wear is None:
        return _nobody(posterior, n_nodes, ())
    if ageing.kind.name != wear.kind or ageing.kind.clock != "hours":
        raise ValueError("readings of wear move a kind of the same name that ages by shaft hours")
    told = (failed_within_limit(wear), disagreement(posterior, wear, seed))
    apart = [one for one in told if one]
    if apart:
        return _nobody(posterior, n_nodes, (ASSUMPTION, *apart, LEFT_OUT))
    number = {life: i for i, life in enumerate(ageing.table["life"])}
    limited = np.array([limit is not None for limit in wear.limits])
    known = np.array([number.get(life, -1) for life in wear.table["life"]], dtype=np.int64)
    read = np.flatnonzero(limited & (known >= 0) & (wear.nodes.outcome == CENSORED))
    read = read[in_service[known[read]]]
    if not len(read):
        return _nobody(posterior, n_nodes, (ASSUMPTION,))
    theirs = np.concatenate([np.flatnonzero(nodes.life == life) for life in known[read]])
    rows = np.concatenate([np.flatnonzero(wear.nodes.life == path) for path in read])
    if len(theirs) != len(rows) or not np.array_equal(nodes.start[theirs], wear.nodes.start[rows]):
        raise ValueError("the lives and the readings are not of the same records")
    paths, sizes = _rows(wear.paths, rows, read)
    factors, n = posterior.factors, len(posterior)
    beside = np.arange(n) % len(wear.shared)
    renew = np.array([limit.renew_mm if limit else np.nan for limit in wear.limits])[read]
    return OwnLives(
        posterior=posterior,
        node=(np.cumsum(serving) - 1)[theirs].astype(np.int64),
        n_nodes=n_nodes,
        first=paths.first,
        life=ageing.table["life"].to_numpy()[known[read]],
        paths=paths,
        renew=np.repeat(renew, sizes),
        rate_factor=np.repeat(wear.size_factor[read], sizes),
        group_shift=None if factors is None else factors.of(ageing.table.iloc[known[read]], seed),
        log_error=wear.shared.log_error[beside],
        offset=wear.shared.offset[beside],
        said=(ASSUMPTION,),
    )


def _rows(paths: Paths, rows: Ints, chosen: Ints) -> tuple[Paths, Ints]:
    """The rows of some paths, in the order given, and how many each has."""
    sizes = np.diff(np.append(paths.first, len(paths.n)))[chosen]
    names = ("log_weight", "n", "w", "sh", "shh", "sy", "shy", "syy", "new", "new_sd")
    first = (np.cumsum(sizes) - sizes).astype(np.int64)
    return Paths(first=first, **{name: getattr(paths, name)[rows] for name in names}), sizes


def _nobody(posterior: Posterior, n_nodes: int, said: tuple[str, ...]) -> OwnLives:
    none, numbers = np.empty(0), np.empty(0, dtype=np.int64)
    names = ("log_weight", "n", "w", "sh", "shh", "sy", "shy", "syy", "new", "new_sd")
    paths = Paths(first=numbers, **dict.fromkeys(names, none))
    n = len(posterior)
    return OwnLives(posterior, numbers, n_nodes, numbers, numbers, paths, none, none, None,
                    np.zeros(n), np.zeros(n), said)  # fmt: skip
