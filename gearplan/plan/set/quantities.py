"""The numbers of a set as they are listed, once for the window and the command."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from gearplan.bike.text import written
from gearplan.bike.text.units import DEGREE, MM
from gearplan.bike.text.unitset import METRIC, UnitSet
from gearplan.language import tr
from gearplan.plan.set.evaluate import SetResult
from gearplan.setup.doubt import Doubtful


@dataclass(frozen=True, slots=True)
class Quantity:
    """A listed number: name, unit in words, factor to SI, decimals, where it is found, the key of its explanation.

    `doubt` is its name in `doubts.set_doubts`; empty for what is exact, or as good as exact.
    """

    name: str
    unit_name: str
    unit: float
    digits: int
    value: Callable[[SetResult], float | None]
    how: str
    doubt: str = ""

    def title(self, units: UnitSet = METRIC) -> str:
        """Name and unit."""
        return f"{self.name}, {self.shown(units)[0]}" if self.unit_name else self.name

    def shown(self, units: UnitSet) -> tuple[str, float, int]:
        """Unit in words, its factor to SI and the decimals as a set of units has them."""
        if self.unit_name not in _FOLLOWING:
            return self.unit_name, self.unit, self.digits
        name = self.unit_name
        return units.name(name), units.size(name), units.decimals(name, self.digits)

    def text(self, result: SetResult, units: UnitSet = METRIC) -> str:
        """The number as it is written."""
        _, unit, digits = self.shown(units)
        return written.number(self.value(result), unit, digits)

    def compared(
        self, on: SetResult, proposed: SetResult, doubts: Mapping[str, Doubtful], units: UnitSet = METRIC
    ) -> tuple[str, str, str, str]:
        """Fitted, proposed, by how much the proposed one may be off, and the change, as they are written."""
        known = doubts.get(self.doubt)
        half = 0.0 if known is None else known.half
        _, unit, digits = self.shown(units)
        return written.compared(self.value(on), self.value(proposed), half, unit, digits)


#: The units that follow the chosen ones.
_FOLLOWING = ("mm", "kg")

RATIO = Quantity(tr("Final ratio"), "", 1, 4, lambda r: r.final_ratio, "final_ratio")
ROLLING = Quantity(
    tr("Rolling circumference"), "mm", MM, 0, lambda r: r.rolling_circumference, "rolling", "rolling_circumference"
)
_GOES_IN = (
    Quantity(tr("Pivot to axle"), "mm", MM, 0, lambda r: r.run.axle_position, "links", "axle_position"),
    Quantity(tr("Axle back from where it stands"), "mm", MM, 0, lambda r: r.run.moves, "links", "moves"),
    Quantity(tr("Centre distance"), "mm", MM, 0, lambda r: r.run.centre_distance, "links", "centre_distance"),
    Quantity(tr("Chain length at today's axle, taut"), tr("links"), 1, 2, lambda r: r.run.links_taut_now, "links"),
    Quantity(tr("The same with slack"), tr("links"), 1, 2, lambda r: r.run.links_at_slack_now, "links"),
    Quantity(tr("Slack needed as it stands"), "mm", MM, 0, lambda r: r.run.slack_needed, "tightest"),
    Quantity(
        tr("Top run clears pivot by"), "mm", MM, 0, lambda r: r.run.upper_clearance, "clearance", "upper_clearance"
    ),
    Quantity(
        tr("Bottom run clears pivot by"), "mm", MM, 0, lambda r: r.run.lower_clearance, "clearance", "lower_clearance"
    ),
)
_RIDES = (
    Quantity(tr("Wheelbase"), "mm", MM, 0, lambda r: r.run.wheelbase, "wheelbase", "wheelbase"),
    Quantity(
        tr("Front wheel's load share"), "%", 0.01, 1, lambda r: r.run.front_load_share, "wheelbase", "front_load_share"
    ),
    Quantity(tr("Anti-squat as it stands"), "%", 0.01, 0, lambda r: r.anti_squat, "anti_squat", "anti_squat"),
    Quantity(tr("Chordal variation"), "%", 0.01, 2, lambda r: r.chordal_dip, "chordal"),
)
_LASTS = (
    Quantity(tr("Wear the adjuster can take up"), "%", 0.01, 1, lambda r: r.run.wear_left, "wear_left"),
    Quantity(tr("Tensile strength over peak"), tr("times"), 1, 1, lambda r: r.strength.safety, "strength", "safety"),
    Quantity(tr("Peak chain tension"), "kN", 1e3, 1, lambda r: r.strength.peak_tension, "strength", "peak_tension"),
    Quantity(tr("Centrifugal, redline in top"), "kN", 1e3, 2, lambda r: r.strength.centrifugal, "strength"),
    Quantity(tr("Wrap, front"), "°", DEGREE, 0, lambda r: r.run.wrap_front, "wrap"),
    Quantity(tr("Wrap, rear"), "°", DEGREE, 0, lambda r: r.run.wrap_rear, "wrap"),
    Quantity(
        tr("Same tooth, same link again after"), tr("turns"), 1, 0, lambda r: r.run.rear_turns_to_meet_again, "meeting"
    ),
    Quantity(tr("Chain mass"), "kg", 1, 1, lambda r: r.strength.chain_mass, "strength"),
)
#: The chain's numbers by what they answer; CHAIN has all of them in this order.
CHAIN_GROUPS = ((tr("Goes in"), _GOES_IN), (tr("How it rides"), _RIDES), (tr("How long it lasts"), _LASTS))
CHAIN = (*_GOES_IN, *_RIDES, *_LASTS)
#: What decides whether a set is taken.
DECIDING = (
    tr("Pivot to axle"),
    tr("Axle back from where it stands"),
    tr("Wear the adjuster can take up"),
    tr("Tensile strength over peak"),
)
