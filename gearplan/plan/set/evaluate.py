"""One profile and one drive set in, one frozen result out: the only door to the numbers.

Results are in SI. A number that lacks its inputs is None and a finding names the field to fill.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from gearplan.bike import checks, library
from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM, RPM
from gearplan.bike.text.written import inside
from gearplan.bike.tyresize import parse_tyre_size
from gearplan.drive import gearing, sprocket, tyre
from gearplan.language import marked, tr
from gearplan.plan.chain.run import ChainRun, chain_run
from gearplan.plan.chain.wear import kept_chain_findings
from gearplan.plan.driveset import DriveSet, fitted, geared
from gearplan.plan.findings import Finding, Level, in_order, missing, worst
from gearplan.plan.set.speedometer import speedometer_finding
from gearplan.plan.set.strength import Pulling, Strength, pulling, strength, strength_finding
from gearplan.plan.set.travel import anti_squat_as_it_stands
from gearplan.setup import assumed
from gearplan.setup.assumed import Assumed
from gearplan.setup.kinds import TYPICAL
from gearplan.setup.ratios import Rolling, final_ratio, gearbox, growth, other_tyre, rolling, whole_ratio

#: What the finding is about that names what is only typical.
TYPICAL_VALUES = marked("typical values")
#: Outside this an anti-squat is doubted: common practice, no source.
_SQUAT = (0.0, 3.0)


@dataclass(frozen=True, slots=True)
class SetResult:
    """Everything that is known of one drive set on one bike, in SI (m, m/s, rad); None where data lacks.

    `rolls_by` says where the rolling circumference comes from: "measured", "size" (with a rolling factor that
    was entered) or "size, assumed factor"; `tyre_growth` is the relative growth of its radius with the square of the
    speed (s²/m²). Tuples run over the gears, first gear first. `assumed` is what these numbers rest on and nobody
    entered.
    """

    set: DriveSet
    final_ratio: float | None = None
    gear_ratios: tuple[float, ...] | None = None
    primary_ratio: float | None = None
    overall_ratio: tuple[float, ...] | None = None
    rolling_circumference: float | None = None
    rolls_by: str = ""
    tyre_growth: float = 0.0
    speed_at_redline: tuple[float, ...] | None = None
    chordal_dip: float | None = None
    run: ChainRun = ChainRun()
    strength: Strength = Strength()
    anti_squat: float | None = None
    findings: tuple[Finding, ...] = ()
    assumed: tuple[Assumed, ...] = ()

    @property
    def verdict(self) -> Level:
        """The level of the gravest finding."""
        return worst(self.findings)

    @property
    def rolling_radius(self) -> float | None:
        """Rolling circumference over 2π, in metres."""
        return None if self.rolling_circumference is None else self.rolling_circumference / math.tau


@lru_cache(maxsize=512)
def evaluate(bike: Bike, chosen: DriveSet) -> SetResult:
    """All numbers and findings of one set. Pure, so the result is kept by value."""
    bike = geared(bike, chosen)
    found: list[Finding] = []
    final, ratios, primary, overall = _ratios(bike, chosen, found)
    rolled = _rolling(bike, chosen, found)
    tyre_radius = None if rolled is None else tyre.rolling_radius(rolled.circumference)
    speeds = None
    redline = bike.engine.redline_rpm
    if redline is None:
        found.append(
            missing(marked("speed"), tr("The speed in each gear"), [("engine.redline_rpm", tr("the redline"))])
        )
    elif overall is not None and tyre_radius is not None:
        speeds = _floats(gearing.road_speed(redline * RPM, np.array(overall), tyre_radius, growth(bike)))
    run, about_chain = chain_run(bike, chosen)
    found += [*about_chain, *kept_chain_findings(bike, chosen)]
    found += front_findings(bike, chosen)
    pull = pulling(bike)
    if isinstance(pull, Finding):
        found.append(pull)
    strong = strength(
        bike,
        chosen,
        pull,
        overall=overall,
        tyre_radius=tyre_radius,
        pitch=run.pitch,
        moved=run.moved,
        top_speed=speeds[-1] if speeds else None,
    )
    if strong.peak_tension is not None:
        found.append(strength_finding(bike, chosen, strong.safety or math.nan, strong.peak_tension))
    squat = anti_squat_as_it_stands(bike, chosen, run, tyre_radius, found)
    found += _swapped(bike, chosen) + _squat_findings(bike, chosen, squat)
    if about_speedometer := speedometer_finding(bike, chosen):
        found.append(about_speedometer)
    found += _contradictions(bike)
    rests = _rests_on(bike, rolled, run, pull if strong.peak_tension is not None else None, squat)
    found += _typical(rests)
    return SetResult(
        set=chosen,
        final_ratio=final,
        gear_ratios=ratios,
        primary_ratio=primary,
        overall_ratio=overall,
        rolling_circumference=None if rolled is None else rolled.circumference,
        rolls_by="" if rolled is None else rolled.by,
        tyre_growth=growth(bike),
        speed_at_redline=speeds,
        chordal_dip=None if chosen.front is None else float(sprocket.chordal_dip(chosen.front)),
        run=run,
        strength=strong,
        anti_squat=squat,
        findings=in_order(found),
        assumed=rests,
    )


def fitted_and(bike: Bike, chosen: DriveSet) -> tuple[SetResult, SetResult]:
    """The fitted set's result and that of another set, to be held against each other."""
    return evaluate(bike, fitted(bike)), evaluate(bike, chosen)


def _ratios(
    bike: Bike, chosen: DriveSet, found: list[Finding]
) -> tuple[float | None, tuple[float, ...] | None, float | None, tuple[float, ...] | None]:
    box = gearbox(bike)
    ratios, primary = box.ratios, box.primary
    final = final_ratio(chosen.front, chosen.rear)
    if chosen.front is not None and chosen.rear is not None and primary is not None and ratios is not None:
        overall = gearing.overall_ratios(primary, np.array(ratios), chosen.front, chosen.rear)
        return final, ratios, primary, _floats(overall)
    wanted = (
        ("final_drive.front", tr("the front sprocket"), chosen.front),
        ("final_drive.rear", tr("the rear sprocket"), chosen.rear),
        ("gearbox.primary", tr("the primary ratio"), primary),
        ("gearbox.gears", _unfinished_gear(bike), ratios),
    )
    lacking = [(path, label) for path, label, value in wanted if value is None]
    found.append(missing(marked("ratio"), tr("The overall ratios"), lacking))
    return final, ratios, primary, None


def _unfinished_gear(bike: Bike) -> str:
    gears = bike.gearbox.gears
    if not gears:
        return tr("the gears")
    number = next((i for i, gear in enumerate(gears, 1) if whole_ratio(gear) is None), 1)
    return tr("gear {number}", number=number)


def _rolling(bike: Bike, chosen: DriveSet, found: list[Finding]) -> Rolling | None:
    about, measured = marked("rolling circumference"), bike.tyre.rolling_circumference_mm
    rolled = rolling(bike, chosen.tyre)
    if rolled is None:
        fields = [("tyre.size", tr("the tyre's size, or its measured rolling circumference"))]
        found.append(missing(about, tr("Speeds"), fields))
        return None
    if rolled.by == "measured":
        text = tr("Rolling circumference {measured:.0f} mm, measured.", measured=measured)
        found.append(Finding("fits", about, text, measured, None, "mm", tr("measured, as entered")))
        return rolled
    given = {"circumference": rolled.circumference / MM, "size": rolled.size, "factor": rolled.factor}
    if rolled.assumed:
        text = tr(
            "Rolling circumference {circumference:.0f} mm, from the size {size} with an assumed rolling factor of "
            "{factor:g}. Measure it to be sure.",
            **given,
        )
    else:
        text = tr(
            "Rolling circumference {circumference:.0f} mm, from the size {size} with the rolling factor {factor:g}. "
            "Measure it to be sure.",
            **given,
        )
    doubts = []
    if measured is not None and other_tyre(bike, chosen.tyre):
        doubts.append(tr("The measured {measured:.0f} mm belong to the tyre in the profile.", measured=measured))
    if parse_tyre_size(rolled.size or "").by == "inch":
        doubts.append(tr("Tyres with inch sizes are often some 2 % taller than the size says."))
    source = tr("size marking: rim 25.4 mm an inch, twice the section height; common practice for the factor")
    level: Level = "check" if doubts else "fits"
    found.append(Finding(level, about, " ".join([text, *doubts]), rolled.circumference / MM, None, "mm", source))
    return rolled


def front_findings(bike: Bike, chosen: DriveSet) -> list[Finding]:
    """Whether the front sprocket is too small: by the profile's own limit, else by what is usual."""
    about, front = marked("front sprocket"), chosen.front
    if front is None:
        return []
    own = bike.limits.front_teeth_min
    if own is not None:
        source = tr("smallest front sprocket as entered in the profile")
        if front < own:
            text = tr("Front sprocket {front} is smaller than this bike's smallest, {own} teeth.", front=front, own=own)
            return [Finding("does not fit", about, text, front, own, "teeth", source)]
        text = tr("Front sprocket {front} is not below this bike's smallest, {own} teeth.", front=front, own=own)
        return [Finding("fits", about, text, front, own, "teeth", source)]
    size = library.chain_sizes().get(chosen.chain or "")
    if size is None:
        return []
    usual, source = size.front_teeth_min, tr("common practice for this chain size, no source")
    if front < usual:
        text = tr(
            "Front sprocket {front} is smaller than is usual for a {size} chain, {usual} teeth: tight "
            "bends wear chain and swingarm. Look up the smallest in the service data.",
            front=front,
            size=size.size,
            usual=usual,
        )
        return [Finding("check", about, text, front, usual, "teeth", source)]
    text = tr(
        "Front sprocket {front} is not below the {usual} teeth usual for a {size} chain; the service data "
        "may ask for more.",
        front=front,
        usual=usual,
        size=size.size,
    )
    return [Finding("fits", about, text, front, usual, "teeth", source)]


def _swapped(bike: Bike, chosen: DriveSet) -> list[Finding]:
    """A front sprocket that is not the smaller one is hardly meant; of the fitted set the profile's check says so."""
    front, rear, on = chosen.front, chosen.rear, bike.final_drive
    if front is None or rear is None or rear > front or (front, rear) == (on.front, on.rear):
        return []
    text = tr(
        "A front sprocket of {front} teeth is not smaller than the rear one of {rear}: are they swapped?",
        front=front,
        rear=rear,
    )
    return [Finding("check", marked("sprockets"), text, front, rear, "teeth", tr("common practice, no source"))]


def _squat_findings(bike: Bike, chosen: DriveSet, squat: float | None) -> list[Finding]:
    """An anti-squat that no motorcycle has comes of a wrong entry; asked of the fitted set, which can be ridden."""
    if squat is None or chosen != fitted(bike) or _SQUAT[0] <= squat <= _SQUAT[1]:
        return []
    text = tr(
        "An anti-squat of {squat:.0f} % is far from what motorcycles have, some 60 to 180 %: check the "
        "swingarm's figures, the wheelbase and the height of the centre of mass.",
        squat=100 * squat,
    )
    source, field = tr("common practice, no source"), "chassis.com_height_mm"
    limit = _SQUAT[0] if squat < _SQUAT[0] else _SQUAT[1]
    return [Finding("check", marked("anti-squat"), text, 100 * squat, 100 * limit, "%", source, field)]


def _contradictions(bike: Bike) -> list[Finding]:
    return [
        Finding("check", marked("profile"), problem.text, field=f"{problem.section}.{problem.key}")
        for problem in checks.check_bike(bike)
    ]


def _rests_on(
    bike: Bike, rolled: Rolling | None, run: ChainRun, pull: Pulling | Finding | None, squat: float | None
) -> tuple[Assumed, ...]:
    chassis = (
        ("wheelbase_mm", run.wheelbase),
        ("com_ahead_of_rear_axle_mm", run.front_load_share),
        ("com_height_mm", squat),
    )
    return assumed.listed(
        *gearbox(bike).assumed,
        None if rolled is None else rolled.assumed,
        *(assumed.if_known(bike, "chassis", key) for key, result in chassis if result is not None),
        *(pull.assumed if isinstance(pull, Pulling) else ()),
    )


def _typical(rests: tuple[Assumed, ...]) -> list[Finding]:
    """What of a set's numbers rests on the kind of motorcycle alone."""
    found = assumed.of_kind(rests)
    if not found:
        return []
    text = tr(
        "Typical for its kind: {values}. What you enter takes its place.",
        values=", ".join(inside(one.text) for one in found),
    )
    also = tuple(one.field for one in found[1:])
    return [Finding("fits", TYPICAL_VALUES, text, source=TYPICAL, field=found[0].field, aside=True, also=also)]


def _floats(values: object) -> tuple[float, ...]:
    return tuple(np.asarray(values, float).tolist())
