"""Another chain size on the same bike: what it weighs, what it is good for, and what must change with it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gearplan.bike import library
from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.drive.sprocket import Values, pitch_radius
from gearplan.language import tr
from gearplan.plan.chain.run import other_dimensions
from gearplan.plan.driveset import DriveSet
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.plan.set.strength import makers_own

#: For sprockets that nobody has weighed: steel discs, as thick as fits between the plates, lightened so far.
_STEEL = 7850.0
_THICKNESS_OF_WIDTH = 0.93
_FRONT_SOLID, _REAR_SOLID = 0.8, 0.5
ASSUMED = tr(
    "Sprockets assumed: steel discs 0.93 of the chain's inner width thick (ISO 606), the front 80 % and the rear 50 % "
    "solid. Weigh them to be sure."
)


@dataclass(frozen=True, slots=True)
class DriveMass:
    """What a set weighs (kg); None where the chain's mass is not known. `equivalent` is the mass that, carried at
    the tyre's speed, would resist acceleration as the whole set does; it is the same in every gear."""

    chain: float | None
    front: float | None
    rear: float | None
    equivalent: float | None

    @property
    def total(self) -> float | None:
        """Chain and sprockets together."""
        parts = (self.chain, self.front, self.rear)
        return None if None in parts else sum(part for part in parts if part is not None)


def in_size(bike: Bike, chosen: DriveSet, size: str) -> DriveSet:
    """The set in another chain size; where the pitch changes, with as many links as reach about as far."""
    sizes = library.chain_sizes()
    now, then = sizes.get(chosen.chain or ""), sizes[size]
    if now is None or now.pitch_mm == then.pitch_mm or chosen.links is None:
        return replace(chosen, chain=size)
    # Ratio kept: teeth and links scale with the pitch; an even count.
    scale = now.pitch_mm / then.pitch_mm
    links = 2 * round(chosen.links * scale / 2)
    front = None if chosen.front is None else round(chosen.front * scale)
    rear = (
        None if chosen.rear is None or front is None or not chosen.front else round(front * chosen.rear / chosen.front)
    )
    made = replace(chosen, chain=size, front=front, rear=rear, links=links)
    return replace(made, links=evaluate(bike, made).run.links_to_order or links)


def drive_mass(result: SetResult) -> DriveMass:
    """Masses of a set, the sprockets' by the assumption named in `ASSUMED`."""
    size = library.chain_sizes().get(result.set.chain or "")
    chain = result.strength.chain_mass
    if size is None or size.inner_width_mm is None or not result.set.front or not result.set.rear:
        return DriveMass(chain, None, None, None)
    front, rear = (float(mass) for mass in sprocket_masses(size, result.set.front, result.set.rear))
    r2, tyre = float(pitch_radius(result.set.rear, size.pitch_mm * MM)), result.rolling_radius
    if chain is None or tyre is None:
        return DriveMass(chain, front, rear, None)
    # Carried along, and turning: chain at v·r₂/R, discs with k² = r²/2; the front turns r₂/r₁ times as fast.
    share = (r2 / tyre) ** 2
    equivalent = chain * (1 + share) + rear * (1 + share / 2) + front * (1 + share / 2)
    return DriveMass(chain, front, rear, equivalent)


def sprocket_masses(
    size: library.ChainSize, front: Values, rear: Values
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Masses (kg) of front and rear sprockets by the assumption named in `ASSUMED`; NaN without an inner width."""
    pitch, thick = size.pitch_mm * MM, _THICKNESS_OF_WIDTH * (size.inner_width_mm or math.nan) * MM
    r1, r2 = pitch_radius(front, pitch), pitch_radius(rear, pitch)
    return (
        np.asarray(_STEEL * math.pi * r1**2 * thick * _FRONT_SOLID),
        np.asarray(_STEEL * math.pi * r2**2 * thick * _REAR_SOLID),
    )


def cautions(bike: Bike, before: SetResult, after: SetResult) -> tuple[str, ...]:
    """What to watch when the size changes, in words."""
    sizes = library.chain_sizes()
    now, then = sizes.get(before.set.chain or ""), sizes.get(after.set.chain or "")
    if now is None or then is None or now.size == then.size:
        return ()
    told = [
        tr(
            "Both sprockets and the chain change together: {then} parts do not run with {now} parts.",
            then=then.size,
            now=now.size,
        )
    ]
    means = {
        "inner_width_mm": tr(
            "the sprockets' thickness and so the chain line change; check the front sprocket's offset and the alignment"
        ),
        "pitch_mm": tr("tooth counts scale so that the ratio stays about"),
        "roller_mm": tr("the sprockets' teeth are cut to them"),
    }
    for key, text in other_dimensions(now, then):
        told.append(f"{text[0].upper()}{text[1:]}: {means[key]}.")
    if then.inner_width_mm is not None and now.inner_width_mm is not None and then.inner_width_mm < now.inner_width_mm:
        told.append(tr("A narrower chain has less bearing area and wears faster: watch its elongation from the start."))
    if makers_own(bike, after.set, "tensile_kn")[0] is None:
        told.append(
            tr("The strength of the {size} chain is an ordinary grade's: enter its maker's own.", size=then.size)
        )
    return tuple(told)
