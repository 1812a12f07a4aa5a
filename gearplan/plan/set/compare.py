"""Fitted against proposed, gear by gear: what the chart draws and the table beside it says."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import RPM
from gearplan.drive import gearing
from gearplan.plan.set.evaluate import SetResult

#: Points to a line that is bent by the tyre's growth.
_CURVED = 12


@dataclass(frozen=True, slots=True)
class SpeedLines:
    """The saw-tooth of one set: road speeds in m/s, engine speeds in rad/s.

    `gear_speed` [gear, point] are each gear's road speeds at the engine speeds `gear_engine` [point], from idle to
    the redline; two points, more where the tyre grows. `run_speed` and `run_engine` are a run through the gears
    with every up-shift at the redline.
    """

    idle: float
    redline: float
    gear_speed: NDArray[np.float64]
    gear_engine: NDArray[np.float64]
    run_speed: NDArray[np.float64]
    run_engine: NDArray[np.float64]

    @property
    def redline_speed(self) -> NDArray[np.float64]:
        """Road speed of each gear at the redline."""
        return self.gear_speed[:, -1]


@dataclass(frozen=True, slots=True)
class GearRow:
    """One gear, fitted and proposed; SI, None where data lacks.

    `step` is how much the ratio falls to the next gear (a fraction), `after_shift` the engine speed just
    after the up-shift out of this gear at the redline; both None for the last gear. `over` says for which set the
    engine speed at the cursor is beyond the limiter, so that it cannot be.
    """

    gear: int
    overall: tuple[float | None, float | None]
    step: float | None
    after_shift: float | None
    speed_at_redline: tuple[float | None, float | None]
    engine_at_cursor: tuple[float | None, float | None]
    over: tuple[bool, bool]


def speed_lines(bike: Bike, result: SetResult) -> SpeedLines | None:
    """The lines of the speed chart; None while ratios, tyre or redline are missing. No idle counts as 0."""
    redline_rpm, radius = bike.engine.redline_rpm, result.rolling_radius
    if redline_rpm is None or radius is None or result.overall_ratio is None:
        return None
    overall = np.array(result.overall_ratio)
    redline, idle = redline_rpm * RPM, (bike.engine.idle_rpm or 0.0) * RPM
    growth = result.tyre_growth
    points = _CURVED if growth else 2
    engine = np.linspace(idle, redline, points)
    run_speed, run_engine = gearing.run_path(
        overall, radius, min(idle, redline), redline, redline, growth=growth, points=points
    )
    return SpeedLines(
        idle=idle,
        redline=redline,
        gear_speed=gearing.road_speed(engine, overall[:, None], radius, growth),
        gear_engine=engine,
        run_speed=run_speed,
        run_engine=run_engine,
    )


def fastest(bike: Bike, result: SetResult, front: int, rear: int) -> float | None:
    """Road speed (m/s) at the redline in the last gear with other sprockets on the same motorcycle, if it is known."""
    redline_rpm, radius, ratio = bike.engine.redline_rpm, result.rolling_radius, result.final_ratio
    if redline_rpm is None or radius is None or ratio is None or not result.overall_ratio:
        return None
    overall = result.overall_ratio[-1] / ratio * rear / front
    return float(gearing.road_speed(redline_rpm * RPM, overall, radius, result.tyre_growth))


def gear_rows(bike: Bike, on: SetResult, proposed: SetResult, cursor: float) -> tuple[GearRow, ...]:
    """One row a gear; `cursor` is the road speed in m/s at which the engine speeds are wanted."""
    ratios = proposed.gear_ratios
    if ratios is None:
        return ()
    steps = shift_steps(bike, ratios)
    pairs = zip(_engine_at(on, cursor), _engine_at(proposed, cursor), strict=True)
    return tuple(
        GearRow(
            gear=i + 1,
            overall=(_of(on.overall_ratio, i), _of(proposed.overall_ratio, i)),
            step=steps[i][0],
            after_shift=steps[i][1],
            speed_at_redline=(_of(on.speed_at_redline, i), _of(proposed.speed_at_redline, i)),
            engine_at_cursor=pair,
            over=(_is_over(bike, pair[0]), _is_over(bike, pair[1])),
        )
        for i, pair in enumerate(pairs)
    )


def shift_steps(bike: Bike, ratios: tuple[float, ...]) -> tuple[tuple[float | None, float | None], ...]:
    """Of each gear how much the ratio falls to the next (a fraction), and the engine speed (rad/s) after that up-shift
    at the redline; None for the last gear, and where the redline is not known."""
    steps: list[float | None] = [*(np.asarray(gearing.step_percent(np.array(ratios))) / 100).tolist(), None]
    after: list[float | None] = [None] * len(ratios)
    if bike.engine.redline_rpm is not None:
        dropped = gearing.after_shift(bike.engine.redline_rpm * RPM, np.array(ratios))
        after = [*np.asarray(dropped).tolist(), None]
    return tuple(zip(steps, after, strict=True))


def _is_over(bike: Bike, engine: float | None) -> bool:
    end = bike.engine.end_rpm
    return engine is not None and end is not None and engine > end * RPM


def engine_speeds(result: SetResult, speed: float) -> tuple[float, ...] | None:
    """Engine speed in each gear (rad/s) at a road speed (m/s); None while ratios or tyre are missing."""
    if result.overall_ratio is None or result.rolling_radius is None:
        return None
    found = gearing.engine_speed(speed, np.array(result.overall_ratio), result.rolling_radius, result.tyre_growth)
    return tuple(np.asarray(found).tolist())


def _engine_at(result: SetResult, speed: float) -> tuple[float | None, ...]:
    return engine_speeds(result, speed) or (None,) * len(result.gear_ratios or ())


def _of(values: tuple[float, ...] | None, index: int) -> float | None:
    return None if values is None else values[index]
