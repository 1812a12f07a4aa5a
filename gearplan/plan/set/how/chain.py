"""How the chain's numbers come about."""

from __future__ import annotations

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import DEGREE, MM
from gearplan.bike.text.written import number
from gearplan.language import tr, trc
from gearplan.plan.set.evaluate import SetResult
from gearplan.plan.set.how.explanation import Explanation
from gearplan.plan.set.words import axle_words
from gearplan.plan.words import teeth
from gearplan.setup.assumed import if_known


def links(bike: Bike, result: SetResult, _gear: int, _cursor: float) -> Explanation:
    """Links, centre distance and axle position."""
    run, chassis = result.run, bike.chassis
    fitting = (
        "–" if run.links_that_fit is None else ", ".join(map(str, run.links_that_fit)) or trc("of link counts", "none")
    )
    reach = chassis.axle_range_mm or (None, None)
    source = (
        tr("ISO 606 counts the wrap in teeth, because the links lie on the sprocket as chords; slack by Pythagoras."),
        axle_words(run),
        tr("The maker's figure rules."),
    )
    return Explanation(
        tr("Links and axle position"),
        tr(
            "links = 2·√(C² − (r₂ − r₁)²)/p + z₁(π − 2α)/2π + z₂(π + 2α)/2π + excess for the slack\n"
            "r = p/(2·sin(π/z)), sin α = (r₂ − r₁)/C, excess = (√(t² + s²) − t)/p;\n"
            "solved for the centre distance C, and so for the distance from pivot to axle"
        ),
        (
            _sprockets(result),
            (tr("pitch p"), f"{number(run.pitch, MM, 3)} mm"),
            (tr("slack s, up and down"), f"{number(chassis.slack_mm, 1, 0)} mm"),
            (
                tr("pivot to axle, adjuster"),
                tr("{low} to {high} mm", low=number(reach[0], 1, 1), high=number(reach[1], 1, 1)),
            ),
            (tr("exact links where the axle is now, taut"), number(run.links_taut_now, 1, 2)),
            (tr("the same with the slack"), number(run.links_at_slack_now, 1, 2)),
        ),
        tr(
            "even counts that fit: {counts}; pivot to axle with {links} links: {axle} mm",
            counts=fitting,
            links=result.set.links or "–",
            axle=number(run.axle_position, MM),
        ),
        " ".join(filter(None, source)),
    )


def wheelbase(bike: Bike, result: SetResult, _gear: int, _cursor: float) -> Explanation:
    """Wheelbase and the front wheel's share."""
    chassis = bike.chassis
    return Explanation(
        tr("Wheelbase and front wheel's load share"),
        tr(
            "wheelbase = wheelbase as it stands + (axle position − axle now) × cos(swingarm angle)\n"
            "front share = (centre of mass ahead of the rear axle + the same movement) ÷ wheelbase"
        ),
        (
            (tr("wheelbase"), _known(bike, "wheelbase_mm", 1)),
            (tr("axle now"), f"{number(chassis.axle_now_mm, 1, 1)} mm"),
            (tr("axle position"), f"{number(result.run.axle_position, MM, 1)} mm"),
            (tr("centre of mass ahead of the rear axle"), _known(bike, "com_ahead_of_rear_axle_mm", 0)),
        ),
        tr(
            "{wheelbase} mm, front {share} %",
            wheelbase=number(result.run.wheelbase, MM),
            share=number(result.run.front_load_share, 0.01, 1),
        ),
        tr("geometry; moments about the rear contact point"),
    )


def tightest(bike: Bike, result: SetResult, _gear: int, _cursor: float) -> Explanation:
    """Slack at the tightest point."""
    travel = bike.chassis.swingarm_travel_deg or (None, None)
    return Explanation(
        tr("Slack needed as the bike stands"),
        tr(
            "spare chain e = taut length at the tightest point − taut length as it stands; needed = √(e² + 2·t·e)\n"
            "tightest where sprocket centre, pivot and axle lie in line, if the travel reaches so far"
        ),
        (
            (
                tr("travel, degrees below horizontal"),
                tr("{low} to {high}", low=number(travel[0], 1, 1), high=number(travel[1], 1, 1)),
            ),
            (tr("swingarm as it stands"), f"{number(bike.chassis.swingarm_angle_deg, 1, 1)}°"),
            (tr("slack asked for"), f"{number(bike.chassis.slack_mm, 1, 0)} mm"),
        ),
        f"{number(result.run.slack_needed, MM)} mm",
        tr("exact chain run; slack by Pythagoras. The maker's figure rules."),
    )


def clearance(bike: Bike, result: SetResult, _gear: int, _cursor: float) -> Explanation:
    """Clearance of the runs."""
    return Explanation(
        tr("Clearance of the runs from the pivot"),
        tr("distance of the pivot from the tangent of both pitch circles − radius of the boss − half the plate height"),
        (
            (tr("radius of the boss or rubber"), f"{number(bike.chassis.pivot_boss_radius_mm, 1, 1)} mm"),
            _sprockets(result),
        ),
        tr(
            "above {above} mm, below {below} mm",
            above=number(result.run.upper_clearance, MM),
            below=number(result.run.lower_clearance, MM),
        ),
        tr("geometry; plate height at most 0.95 × pitch (ASME B29.1)"),
    )


def wear_left(bike: Bike, result: SetResult, _gear: int, _cursor: float) -> Explanation:
    """What the adjuster can still take up."""
    reach = bike.chassis.axle_range_mm or (None, None)
    return Explanation(
        tr("Elongation that the adjuster can take up"),
        tr("left = links that would fit with the axle fully out ÷ links − 1"),
        (
            (tr("adjuster fully out"), f"{number(reach[1], 1, 1)} mm"),
            (tr("axle position"), f"{number(result.run.axle_position, MM, 1)} mm"),
            (tr("links"), str(result.set.links or "–")),
        ),
        f"{number(result.run.wear_left, 0.01, 1)} %",
        tr("exact chain run at the slack asked for"),
    )


def wrap(_bike: Bike, result: SetResult, _gear: int, _cursor: float) -> Explanation:
    """Wrap angles."""
    return Explanation(
        tr("Wrap angles"),
        tr("front π − 2α, rear π + 2α, sin α = (r₂ − r₁)/C"),
        ((tr("centre distance C"), f"{number(result.run.centre_distance, MM, 1)} mm"), _sprockets(result)),
        tr(
            "{front}° and {rear}°",
            front=number(result.run.wrap_front, DEGREE),
            rear=number(result.run.wrap_rear, DEGREE),
        ),
        tr("geometry; at least 120° advised (Mott, Machine Elements in Mechanical Design)"),
    )


def chordal(_bike: Bike, result: SetResult, _gear: int, _cursor: float) -> Explanation:
    """Polygon effect."""
    return Explanation(
        tr("Chordal variation at the front sprocket"),
        tr("how far the chain's speed dips as a link swings round: 1 − cos(180° ÷ teeth)"),
        ((tr("front teeth"), str(result.set.front or "–")),),
        f"{number(result.chordal_dip, 0.01, 2)} %",
        tr("Jiang, Analysis and Design of Machine Elements (2019), eq. 7.6"),
    )


def meeting(_bike: Bike, result: SetResult, _gear: int, _cursor: float) -> Explanation:
    """Hunting teeth."""
    return Explanation(
        tr("Turns of the rear sprocket until the same tooth meets the same link"),
        tr("least common multiple of rear teeth and links ÷ rear teeth; the more the better"),
        ((tr("rear teeth"), str(result.set.rear or "–")), (tr("links"), str(result.set.links or "–"))),
        str(result.run.rear_turns_to_meet_again or "–"),
        tr("counting; trade advice to keep teeth and links without common factors"),
    )


def strength(_bike: Bike, result: SetResult, _gear: int, _cursor: float) -> Explanation:
    """Tension and strength."""
    s = result.strength
    bound = tr(s.limited_by) if s.limited_by else "–"
    return Explanation(
        tr("Chain tension and strength"),
        tr(
            "peak tension = thrust at the tyre × R ÷ pitch radius of the rear sprocket; the thrust is the least "
            "of what\n"
            "the engine gives in any gear (in first not below the launch speed), what lifts the front wheel (m·g·b/h)\n"
            "and what the tyre grips;\n"
            "centrifugal = mass per metre × chain speed², on top of it at the redline in top gear"
        ),
        (
            (
                tr("thrust"),
                tr("{thrust} N, limited by {bound}", thrust=number(s.thrust, 1, 0), bound=bound),
            ),
            (tr("rolling radius R"), f"{number(result.rolling_radius, MM, 1)} mm"),
            (tr("tensile strength"), f"{number(s.tensile, 1e3, 1)} kN"),
            (tr("centrifugal tension"), f"{number(s.centrifugal, 1e3, 2)} kN"),
        ),
        tr(
            "peak {peak} kN, strength over peak {safety}",
            peak=number(s.peak_tension, 1000.0, 1),
            safety=number(s.safety, 1, 1),
        ),
        tr(
            "moments about the axle and the contact point; Cossalter, Motorcycle Dynamics (from memory). "
            "The pressure in the joints is not checked: that needs the chain maker's bearing area."
        ),
    )


def anti_squat(bike: Bike, result: SetResult, _gear: int, _cursor: float) -> Explanation:
    """Anti-squat."""
    ratio = None if not result.anti_squat else 1 / result.anti_squat
    return Explanation(
        tr("Anti-squat"),
        tr(
            "by moments about the pivot: tan σ = [z_p + (R/r₂)·((Q_x − x_p)·u_z − (Q_z − z_p)·u_x)]/x_p;\n"
            "anti-squat = tan σ ÷ (height of the centre of mass ÷ wheelbase); squat ratio is its inverse"
        ),
        (
            (tr("height of the centre of mass"), _known(bike, "com_height_mm", 0)),
            (tr("wheelbase"), f"{number(result.run.wheelbase, MM, 1)} mm"),
            (tr("swingarm below horizontal"), f"{number(bike.chassis.swingarm_angle_deg, 1, 1)}°"),
        ),
        tr("{percent} %, squat ratio {ratio}", percent=number(result.anti_squat, 0.01), ratio=number(ratio, 1, 2)),
        tr("Cossalter, Motorcycle Dynamics (from memory)"),
    )


def _known(bike: Bike, key: str, digits: int) -> str:
    found = if_known(bike, "chassis", key)
    if found is None:
        return "–"
    told = f"{number(found.value, 1, digits)} mm"
    return told if found.assumed is None else f"{told}, {found.assumed.reason}"


def _sprockets(result: SetResult) -> tuple[str, str]:
    return tr("sprockets, front/rear (z₁/z₂)"), teeth(result.set)
