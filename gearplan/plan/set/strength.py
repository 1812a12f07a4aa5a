"""Is the chain strong enough? Peak tension from engine and tyre, against the chain's tensile strength. SI."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gearplan.bike import library
from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.bike.text.written import against
from gearplan.drive.chain import tension
from gearplan.drive.gearing import engine_speed, overall_ratios
from gearplan.drive.sprocket import Values, pitch_radius
from gearplan.drive.tyre import rolling_radius
from gearplan.language import marked, tr
from gearplan.plan.driveset import DriveSet, keeps_chain
from gearplan.plan.findings import LEVELS, Finding, missing
from gearplan.setup.assumed import Assumed, listed
from gearplan.setup.limits import TyreLimits, tyre_limits
from gearplan.setup.machine import Power, power, thrust_limits
from gearplan.setup.ratios import box_ratios, growth, rolling

STRENGTH = marked("chain strength")

#: Where the table of chain sizes has its strengths and masses from; told here.
TABLE_SOURCES = (
    marked("from memory of the ordinary grade in ISO 10190 and JIS tables, ±5 %"),
    marked("typical of chains without seals, no source, ±15 %; sealed chains weigh about half as much again"),
)
#: Below the first the set is refused, below the second pointed out: common practice, no source.
REFUSED_BELOW, DOUBTED_BELOW = 2.0, 3.0


@dataclass(frozen=True, slots=True)
class Pulling:
    """What bounds the thrust, in SI: the engine's greatest torque in first gear and in the others, times efficiency.

    In first gear the clutch slips below the launch speed, so that what the engine gives below it counts in the
    other gears only. `limits` is None where the figures for them are missing; `assumed` is what was not entered.
    """

    first: float
    others: float
    limits: TyreLimits | None
    assumed: tuple[Assumed, ...] = ()


@dataclass(frozen=True, slots=True)
class Strength:
    """One set's chain under load: N, kg, kg/m; None where data lacks.

    `limited_by` says what bounds the thrust: "engine", "front wheel lifting" or "grip". `centrifugal` is the
    tension that the chain's own motion adds at the redline in top gear, not part of the peak.
    """

    thrust: float | None = None
    peak_tension: float | None = None
    limited_by: str = ""
    centrifugal: float | None = None
    tensile: float | None = None
    safety: float | None = None
    chain_mass: float | None = None


@lru_cache(maxsize=64)
def pulling(bike: Bike) -> Pulling | Finding:
    """What bounds the thrust, or the finding that names the fields still to be filled."""
    gives = power(bike)
    if not isinstance(gives, Power):
        return missing(STRENGTH, tr("The chain's load"), list(gives), aside=True)
    if not any(gives.torque):
        return missing(STRENGTH, tr("The chain's load"), [("engine.torque", tr("the torque curve"))], aside=True)
    first, others = (gives.peak_torque(least) * gives.efficiency for least in (gives.launch, 0.0))
    if first <= 0:
        fields = [("engine.torque", tr("torque below the limiter"))]
        return missing(STRENGTH, tr("The chain's load"), fields, aside=True)
    limits = tyre_limits(bike)
    return Pulling(first, others, limits, listed(*gives.assumed, *(limits.assumed if limits else ())))


def peak_thrust(
    pull: Pulling, overall: NDArray[np.float64], tyre_radius: Values, moved: Values
) -> tuple[NDArray[np.float64], NDArray[np.int_]]:
    """The greatest thrust (N) over all gears and speeds and what bounds it (index into `BOUNDS`).

    `overall` are the overall ratios [..., gear], `moved` how far the set moves the axle back (m, level share) from
    where wheelbase and centre of mass were measured; all broadcast. As the tyre stands: one that grows pulls less.
    """
    torque = pull.first * overall[..., 0]
    if overall.shape[-1] > 1:
        torque = np.maximum(torque, pull.others * overall[..., 1:].max(axis=-1))
    engine = torque / tyre_radius
    lift, grip = thrust_limits(pull.limits, moved)
    every = np.stack(np.broadcast_arrays(engine, lift, grip))
    return np.asarray(every.min(axis=0)), np.asarray(every.argmin(axis=0))


def safeties(
    bike: Bike, any_set: DriveSet, fronts: NDArray[np.int_], rears: NDArray[np.int_], moved: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Tensile strength over peak tension for many sprockets at once (they broadcast), NaN where the data lacks.

    Chain size and tyre are those of `any_set`; `moved` is how far each set moves the axle back (m, level share).
    """
    pull, (strong, _), size = pulling(bike), tensile(bike, any_set), library.chain_sizes().get(any_set.chain or "")
    box, rolled = box_ratios(bike), rolling(bike, any_set.tyre)
    if isinstance(pull, Finding) or size is None or box is None or rolled is None or strong is None:
        return np.full(np.broadcast_shapes(fronts.shape, rears.shape), np.nan)
    radius = rolling_radius(rolled.circumference)
    thrust, _ = peak_thrust(pull, overall_ratios(1.0, box, fronts, rears), radius, moved)
    # A centre of mass beyond the front axle leaves the rear tyre no load to pull with.
    peak = tension.chain_tension(np.where(thrust > 0, thrust, np.nan), radius, rears, size.pitch_mm * MM)
    return np.asarray(strong / peak)


def strength_levels(safety: Values) -> NDArray[np.int_]:
    """The verdict on safety factors as indices of `LEVELS`; one that is not known says nothing against a set."""
    factor = np.asarray(safety, float)
    return np.where(factor < REFUSED_BELOW, 2, np.where(factor < DOUBTED_BELOW, 1, 0))


#: What bounds the thrust; `tr` tells it.
BOUNDS = (marked("engine"), marked("front wheel lifting"), marked("grip"))


def tensile(bike: Bike, chosen: DriveSet) -> tuple[float | None, str]:
    """Tensile strength of the set's chain (N) and where it comes from: its maker's own, else an ordinary grade's."""
    own, whence = makers_own(bike, chosen, "tensile_kn")
    if own is not None:
        return own * 1e3, whence
    size = library.chain_sizes().get(chosen.chain or "")
    if size is None or size.tensile_kn is None:
        return None, ""
    return size.tensile_kn * 1e3, tr(size.sources["tensile_kn"])


def mass_per_metre(bike: Bike, chosen: DriveSet) -> tuple[float | None, str]:
    """Mass of the set's chain (kg/m) and where it comes from."""
    own, whence = makers_own(bike, chosen, "mass_kg_per_m")
    if own is not None:
        return own, whence
    size = library.chain_sizes().get(chosen.chain or "")
    if size is None or size.mass_kg_per_m is None:
        return None, ""
    return size.mass_kg_per_m, tr(size.sources["mass_kg_per_m"])


def makers_own(bike: Bike, chosen: DriveSet, key: str) -> tuple[float | None, str]:
    """What the maker says of the set's chain, by the key of `NewChain`, and of which chain it was entered.

    The new chain's value holds for sets of its size but those that keep the chain on the bike; without one, another
    chain of the fitted size is taken to be like the fitted.
    """
    new: float | None = getattr(bike.new_chain, key)
    on: float | None = getattr(bike.final_drive, f"chain_{key}")
    if new is not None and chosen.chain == bike.new_chain.size and not keeps_chain(bike, chosen):
        return new, tr("its maker's own, as entered for the new chain")
    if on is not None and chosen.chain == bike.final_drive.chain:
        return on, tr("its maker's own, as entered for the chain on the bike")
    return None, ""


def strength(
    bike: Bike,
    chosen: DriveSet,
    pull: Pulling | Finding,
    overall: tuple[float, ...] | None,
    tyre_radius: float | None,
    pitch: float | None,
    moved: float,
    top_speed: float | None,
) -> Strength:
    """One set's chain under load, as far as the data reaches."""
    q, _ = mass_per_metre(bike, chosen)
    strong, _ = tensile(bike, chosen)
    mass = None if q is None or pitch is None or chosen.links is None else q * chosen.links * pitch
    if isinstance(pull, Finding) or overall is None or tyre_radius is None or pitch is None or not chosen.rear:
        return Strength(tensile=strong, chain_mass=mass)
    thrust, bound = peak_thrust(pull, np.array(overall), tyre_radius, moved)
    if float(thrust) <= 0:
        return Strength(tensile=strong, chain_mass=mass)
    peak = float(tension.chain_tension(float(thrust), tyre_radius, chosen.rear, pitch))
    spun = None
    if q is not None and top_speed is not None:
        turning = float(engine_speed(top_speed, 1.0, tyre_radius, growth(bike)))
        chain_speed = turning * float(pitch_radius(chosen.rear, pitch))
        spun = float(tension.centrifugal_tension(q, chain_speed))
    return Strength(
        thrust=float(thrust),
        peak_tension=peak,
        limited_by=BOUNDS[int(bound)],
        centrifugal=spun,
        tensile=strong,
        safety=None if strong is None else strong / peak,
        chain_mass=mass,
    )


def strength_finding(bike: Bike, chosen: DriveSet, safety: float, peak_tension: float) -> Finding:
    """What is to be said of a set's safety factor (NaN where the tensile strength is not known)."""
    if math.isnan(safety):
        text = tr("No tensile strength is known for this chain: enter the maker's own.")
        field = "final_drive.chain_tensile_kn" if keeps_chain(bike, chosen) else "new_chain.tensile_kn"
        return Finding("check", STRENGTH, text, field=field, aside=True)
    limit = REFUSED_BELOW if safety < REFUSED_BELOW else DOUBTED_BELOW
    given = {"times": against(safety, limit, 1), "peak": peak_tension / 1000.0}
    strong = tensile(bike, chosen)[1]
    whence = tr("tensile strength: {source}; limits: common practice, no source", source=strong)
    level = LEVELS[int(strength_levels(safety))]
    if level == "does not fit":
        text = tr(
            "The chain is too weak: its tensile strength is {times} times the peak tension of {peak:.1f} kN, "
            "at least {usual:g} is usual.",
            **given,
            usual=REFUSED_BELOW,
        )
        return Finding(level, STRENGTH, text, safety, REFUSED_BELOW, "", whence, short=tr("The chain is too weak"))
    if level == "check":
        text = tr(
            "The chain is on the weak side: its tensile strength is {times} times the peak tension of {peak:.1f} kN, "
            "{usual:g} is usual. Watch its elongation.",
            **given,
            usual=DOUBTED_BELOW,
        )
        return Finding(level, STRENGTH, text, safety, DOUBTED_BELOW, "", whence)
    text = tr("The chain's tensile strength is {times} times the peak tension of {peak:.1f} kN.", **given)
    return Finding(level, STRENGTH, text, safety, DOUBTED_BELOW, "", whence)
