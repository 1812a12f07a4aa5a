"""The engine's torque as everything computes with it: as entered, or an assumed shape; corrected if that is asked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.checks import peak_problem
from gearplan.bike.profile import Engine
from gearplan.bike.text.units import RPM, ZERO_CELSIUS
from gearplan.drive.engine.powercorrection import TRUSTED, correction_factor
from gearplan.drive.engine.shape import assumed_shape
from gearplan.language import tr
from gearplan.setup.assumed import Assumed, assumptions_text, usual

#: Fields whose absence keeps the pull from being computed, as (path, label).
Lacking = tuple[tuple[str, str], ...]

#: A curve that ends before this share of the limiter is said to be held from there on.
_REACHES = 0.97
_PEAKS = (
    ("peak_torque_nm", tr("the peak torque")),
    ("peak_torque_rpm", tr("the engine speed of the peak torque")),
    ("peak_power_kw", tr("the peak power")),
    ("peak_power_rpm", tr("the engine speed of the peak power")),
)
_CURVE = ("engine.torque", tr("the torque curve (or peak torque and peak power, each with its engine speed)"))


@dataclass(frozen=True, slots=True)
class EngineTorque:
    """Points (rpm, N·m) in rising order, where they come from, the factor they are corrected by, what is assumed."""

    points: tuple[tuple[float, float], ...]
    origin: Literal["entered", "assumed shape"]
    factor: float
    assumed: tuple[Assumed, ...]

    @property
    def peak(self) -> float:
        """The greatest torque of its points (N·m)."""
        return max(torque for _, torque in self.points)


@lru_cache(maxsize=64)
def engine_torque(engine: Engine) -> EngineTorque | Lacking:
    """The torque that the engine gives, or the fields that are missing for it."""
    assumed: list[Assumed] = []
    limiter = engine.end_rpm
    origin: Literal["entered", "assumed shape"] = "entered"
    if engine.torque:
        points = sorted(dict(sorted(engine.torque)).items())
        if limiter is not None and points[-1][0] < _REACHES * limiter:
            assumed.append(
                _noted("torque", tr("torque held from {points:.0f} rpm to the limiter", points=points[-1][0]))
            )
    else:
        lacking = _lacking_peaks(engine)
        if lacking:
            return lacking
        if problem := peak_problem(engine):
            return ((f"engine.{problem.key}", tr("peak torque and peak power that agree")),)
        points = _shape(engine, limiter)
        origin = "assumed shape"
        assumed.append(_noted("torque", tr("the torque curve's shape, from its peaks")))
    if engine.torque_at is None:
        assumed.append(_noted("torque_at", tr("torque as at the crank")))
    factor = _factor(engine, assumed)
    return EngineTorque(tuple((rpm, torque * factor) for rpm, torque in points), origin, factor, tuple(assumed))


def _lacking_peaks(engine: Engine) -> Lacking:
    """The peaks still to be entered once somebody has begun with them; else the curve itself."""
    missing = tuple((f"engine.{key}", label) for key, label in _PEAKS if not getattr(engine, key))
    return (_CURVE,) if len(missing) == len(_PEAKS) else missing


def _shape(engine: Engine, limiter: float | None) -> list[tuple[float, float]]:
    torque, torque_at, power, power_at = (getattr(engine, key) for key, _ in _PEAKS)
    ends = limiter if limiter is not None else power_at
    speeds, torques = assumed_shape(torque, torque_at * RPM, power * 1e3, power_at * RPM, ends * RPM)
    return list(zip((speeds / RPM).tolist(), torques.tolist(), strict=True))


def _noted(key: str, told: str) -> Assumed:
    return Assumed(f"engine.{key}", told)


def _factor(engine: Engine, assumed: list[Assumed]) -> float:
    if engine.correction is None:
        return 1.0
    if engine.tested_pressure_hpa is None or engine.tested_temperature_c is None:
        told = tr("torque uncorrected, for want of pressure and temperature at the test")
        assumed.append(_noted("tested_pressure_hpa", told))
        return 1.0
    dry = usual("engine", "tested_humidity_percent")
    assert dry is not None
    assert dry.value is not None
    humidity = dry.value if engine.tested_humidity_percent is None else engine.tested_humidity_percent
    factor = correction_factor(
        engine.correction,
        engine.tested_pressure_hpa * 100,
        engine.tested_temperature_c + ZERO_CELSIUS,
        humidity / 100,
    )
    if engine.tested_humidity_percent is None and engine.correction != "DIN 70020":
        assumed.append(replace(dry, told=tr("dry air at the test")))
    if not TRUSTED[0] <= factor <= TRUSTED[1]:
        told = tr(
            "a correction of {factor:.3f}, beyond the {trusted:g} to {trusted2:g} that ISO 1585 allows",
            factor=factor,
            trusted=TRUSTED[0],
            trusted2=TRUSTED[1],
        )
        assumed.append(_noted("correction", told))
    return factor


@dataclass(frozen=True, slots=True)
class EngineCurves:
    """Torque (N·m) and power (kW) over engine speed (rpm), dense enough to draw."""

    rpm: NDArray[np.float64]
    torque: NDArray[np.float64]
    power: NDArray[np.float64]


def engine_curves(gives: EngineTorque) -> EngineCurves:
    """The curves as everything computes with them: torque linear between its points."""
    known = np.array(gives.points)
    rpm = np.unique(np.concatenate([known[:, 0], np.linspace(known[0, 0], known[-1, 0], 80)]))
    torque = np.interp(rpm, known[:, 0], known[:, 1])
    return EngineCurves(rpm, torque, torque * rpm * RPM / 1e3)


def engine_words(gives: EngineTorque | Lacking) -> str:
    """Peak torque and power, and what was done to the curve, in words; or what is missing for it."""
    if not isinstance(gives, EngineTorque):
        return tr("Still missing: {join}.", join=", ".join((label for _, label in gives)))
    curves = engine_curves(gives)
    t, p = int(np.argmax(curves.torque)), int(np.argmax(curves.power))
    told = tr(
        "Peak {torque:.1f} N·m at {rpm:.0f} rpm and {power:.1f} kW at {rpm2:.0f} rpm.",
        torque=curves.torque[t],
        rpm=curves.rpm[t],
        power=curves.power[p],
        rpm2=curves.rpm[p],
    )
    if gives.factor != 1.0:
        told += tr(" Corrected by {factor:.3f}.", factor=gives.factor)
    if gives.assumed:
        told += tr(" Assumed: {assumptions_text}.", assumptions_text=assumptions_text(gives.assumed))
    return told
