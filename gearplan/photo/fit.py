"""Least squares over all unknowns of a photograph, and how surely they are known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gearplan.photo.camera import Floats
from gearplan.photo.model import AT, NAMES, Model
from gearplan.photo.points import Point, Sight
from gearplan.photo.start import start

#: A tilt and its opposite look nearly alike: the fit begins from four (rad).
_TILTS = tuple((yaw, pitch) for yaw in (0.1, -0.1) for pitch in (0.1, -0.1))
#: Minima whose sum of squares is within this of the best are all possible.
_POSSIBLE = 9.0
#: So many steps at most, and for one numbering of many: a good one is there long before.
_ROUNDS, _QUICK_ROUNDS = 60, 15
#: The fit is there when a step changes the sum of squares by less.
_CLOSE = 1e-4
#: Step for the derivatives, alike in m, rad and logarithms.
_STEP = 1e-6
#: Two minima are one if no unknown differs by more of its doubt.
_SAME = 0.05


@dataclass(frozen=True, slots=True)
class Fit:
    """What the points say of the unknowns: possible minima with their weights, best first.

    `minima` (n, unknowns), `covariances` (n, unknowns, unknowns), `weights` (n); `squares` is the least sum of squares.
    """

    model: Model
    minima: Floats
    covariances: Floats
    weights: Floats
    squares: float

    @property
    def misses(self) -> Floats:
        """How far each of the model's points lies from where the best minimum has it (px); (points, 2)."""
        return np.asarray(self.model.misses(self.minima[:1])[0])


def fit(points: tuple[Point, ...], sight: Sight, *, quick: bool = False) -> Fit | None:
    """Fit the points; None where there are too few to begin with. `quick` tries one start, for comparing numberings."""
    begin = start(points, sight)
    if begin is None:
        return None
    model = Model(points, sight, begin)
    beginnings = np.repeat(model.before[None], 1 if quick else len(_TILTS), axis=0)
    for name in ("roll", "log_focal"):
        beginnings[:, AT[name]] = begin.unknowns[AT[name]]
    if not quick:
        beginnings[:, [AT["yaw"], AT["pitch"]]] = _TILTS
    minima, squares = _minima(model, beginnings, _QUICK_ROUNDS if quick else _ROUNDS)
    best = np.argsort(squares)
    minima, squares = minima[best], squares[best]
    if not np.isfinite(squares[0]):
        return None
    possible = squares <= squares[0] + _POSSIBLE
    return _mixed(model, minima[possible], squares[possible])


def _mixed(model: Model, minima: Floats, squares: Floats) -> Fit:
    """The distinct minima, each weighed by how likely it is: e^(−χ²/2) times the room that it leaves."""
    steep = slopes(model, minima)
    covariances = np.asarray(np.linalg.inv(np.swapaxes(steep, 1, 2) @ steep), float)
    kept: list[int] = []
    for each in range(len(minima)):
        doubt = np.sqrt(np.diag(covariances[each]))
        if all((abs(minima[each] - minima[other]) > _SAME * doubt).any() for other in kept):
            kept.append(each)
    rooms = 0.5 * np.linalg.slogdet(covariances[kept])[1]
    likely = rooms - squares[kept] / 2
    weights = np.asarray(np.exp(likely - likely.max()), float)
    return Fit(model, minima[kept], covariances[kept], weights / weights.sum(), float(squares[0]))


def slopes(model: Model, unknowns: Floats) -> Floats:
    """The derivatives of all residuals, by central differences; (n, rows, unknowns)."""
    count = len(NAMES)
    steps = np.eye(count) * _STEP
    moved = unknowns[:, None, None] + np.stack([steps, -steps])[None]
    found = model.residuals(moved.reshape(-1, count)).reshape(len(unknowns), 2, count, -1)
    return np.asarray(np.swapaxes(found[:, 0] - found[:, 1], 1, 2) / (2 * _STEP))


def _minima(model: Model, beginnings: Floats, rounds: int) -> tuple[Floats, Floats]:
    """Levenberg and Marquardt's method from several beginnings at once: the minima and their sums of squares.

    Source: D. W. Marquardt, J. Soc. Indust. Appl. Math. 11 (1963) 431–441, damping by the diagonal.
    """
    at = beginnings.copy()
    residuals = model.residuals(at)
    squares = (residuals**2).sum(1)
    damping = np.full(len(at), 1e-2)
    open_, moved = np.ones(len(at), bool), np.ones(len(at), bool)
    steep_at = np.empty((len(at), residuals.shape[1], len(NAMES)))
    for _ in range(rounds):
        which = np.flatnonzero(open_)
        if not len(which):
            break
        # Where a step was refused, the slopes are still those from before.
        new_at = which[moved[which]]
        if len(new_at):
            steep_at[new_at] = slopes(model, at[new_at])
        steep = steep_at[which]
        turned = np.swapaxes(steep, 1, 2)
        normal = turned @ steep
        downhill = (turned @ residuals[which, :, None])[..., 0]
        diagonal = np.einsum("nii->ni", normal)
        damped = normal + damping[which, None, None] * np.einsum("ni,ij->nij", diagonal, np.eye(len(NAMES)))
        tried = at[which] - np.linalg.solve(damped, downhill[..., None])[..., 0]
        with np.errstate(all="ignore"):
            new = model.residuals(tried)
            sums = (new**2).sum(1)
        better = np.isfinite(sums) & (sums < squares[which])
        done = better & (squares[which] - sums < _CLOSE)
        taken = which[better]
        moved[which] = better
        at[taken], residuals[taken], squares[taken] = tried[better], new[better], sums[better]
        damping[which] = np.where(better, damping[which] / 10, damping[which] * 10)
        open_[which[done | (damping[which] > 1e8)]] = False
    return at, squares
