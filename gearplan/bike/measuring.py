"""How each field that needs a tool is measured, in three sentences, and the sketch that shows it."""

from __future__ import annotations

from dataclasses import dataclass

from gearplan.language import tr


@dataclass(frozen=True, slots=True)
class Measuring:
    """What to hold where, what goes wrong, and how exact it gets; `sketch` names the drawing."""

    sketch: str
    hold: str
    wrong: str
    exact: str

    @property
    def sentences(self) -> tuple[str, str, str]:
        """The three in their order."""
        return self.hold, self.wrong, self.exact


#: The kind of motorcycle, which is no field of a section.
KIND = Measuring(
    "motorcycle",
    tr(
        "What it is built for: from it follow weight, wheelbase, centre of mass, drag and the gearbox's steps "
        "until they "
        "are entered."
    ),
    tr("They are typical for the kind, without a source, and said to be wherever a number rests on them."),
    tr("What you enter takes their place; torques, slack and limits are never taken from the kind."),
)

_FIELDS: dict[str, Measuring] = {
    "engine.redline_rpm": Measuring(
        "redline",
        tr("Where the red part of the engine speed's dial begins; without a dial it stands in the manual."),
        tr("The limiter cuts in later: it is another field."),
        tr("Dials show a little more than the engine turns; the manual is exact."),
    ),
    "gearbox.count": Measuring(
        "gears",
        tr("Press the lever down to first, then count how often it can be lifted: each is a gear, neutral is none."),
        tr("It shifts only with the wheels turning: stand the motorcycle up and turn the rear wheel by hand."),
        tr("It is right or wrong; the ratios stand in the manual, or follow from a recorded ride."),
    ),
    "tyre.size": Measuring(
        "sidewall",
        tr("Read it on the rear tyre's sidewall: width, height in percent of it, rim in inches."),
        tr("What is fitted may differ from what the papers say, and front and rear tyres differ."),
        tr("It gives the rolling circumference to about 2 %; rolling the wheel out is four times as exact."),
    ),
    "tyre.rolling_circumference_mm": Measuring(
        "roll-out",
        tr(
            "Rider on, tyre at its pressure: chalk tyre and floor where the tyre stands, roll straight until "
            "the mark is "
            "down again, and measure from mark to mark."
        ),
        tr(
            "Without the rider the tyre stands taller, and a crooked line reads long; over five turns the error of the "
            "marks is shared by five."
        ),
        tr("One turn gets it to 10 mm (0.5 %), five turns to 2 mm."),
    ),
    "load.bike_kg": Measuring(
        "weight",
        tr(
            "A scale under each wheel, both at one height, motorcycle upright, tank as when riding; the sum is "
            "the weight."
        ),
        tr("One scale alone tilts the motorcycle: lay a board of the scale's height under the other wheel."),
        tr("With bathroom scales to 2 %, with workshop scales to 1 kg."),
    ),
    "load.rider_kg": Measuring(
        "rider",
        tr("On a scale with helmet, suit, boots and what is carried."),
        tr("Without the gear it reads too little."),
        tr("To 2 kg, which is enough: what is carried changes from ride to ride."),
    ),
    "final_drive.chain": Measuring(
        "chain size",
        tr("Read the size on an outer side plate; some chains carry it on every plate, some only near the joint."),
        tr("Letters around it are the maker's own; a sprocket is often stamped with the size too."),
        tr("It is right or wrong: the size gives pitch and width."),
    ),
    "final_drive.front": Measuring(
        "front teeth",
        tr("Take the cover off and read the count stamped on the sprocket, or mark one tooth and count round from it."),
        tr("The marked tooth counts once."),
        tr("One tooth more or less is some 7 % of the ratio."),
    ),
    "final_drive.rear": Measuring(
        "rear teeth",
        tr("Read the count stamped on the sprocket, or mark one tooth and count round from it."),
        tr("The marked tooth counts once; in tens, with a mark at each, nothing is lost."),
        tr("One tooth more or less is some 2 % of the ratio."),
    ),
    "final_drive.links": Measuring(
        "links",
        tr("Begin at the joint or at a mark, count the outer plates of one side once round, and double that."),
        tr("An inner link is a link too: outer plates alone are half of the count."),
        tr("The count is even; an odd one needs a half link, or is a miscount."),
    ),
    "chassis.sprocket_from_pivot_mm": Measuring(
        "sprocket shaft",
        tr("Between the centres of sprocket shaft and swingarm pivot, level and upright; minus for behind or below."),
        tr(
            "The motorcycle stands as for the swingarm's angle: leaned on its stand or pitched, level is no "
            "longer level."
        ),
        tr("To 1 mm between bolts that can be seen; behind a cover take heights over the floor and plumb lines."),
    ),
    "chassis.pivot_boss_radius_mm": Measuring(
        "sprocket shaft",
        tr("From the pivot's centre to the outside of the boss, or of the rubber on it, where the chain could rub."),
        tr("A worn rubber is thinner than a new one: what counts is what is there."),
        tr("To 1 mm with a calliper: half of the diameter."),
    ),
    "chassis.axle_now_mm": Measuring(
        "swingarm",
        tr(
            "From the pivot's centre to the axle's centre along the swingarm, as the axle stands with the fitted chain."
        ),
        tr("A tape that bends around the swingarm reads long; compare both sides."),
        tr("To 1 mm with a straight rule."),
    ),
    "chassis.axle_range_mm": Measuring(
        "swingarm",
        tr(
            "The same length with the axle right forward and right back. Quicker: the length now, and what is "
            "left in the "
            "adjuster either way."
        ),
        tr("To the adjuster's block or its marks, instead of the axle's centre, both ends are off alike."),
        tr("To 1 mm with a straight rule."),
    ),
    "chassis.swingarm_angle_deg": Measuring(
        "swingarm angle",
        tr(
            "Rider on, motorcycle upright: a digital level on the line from the pivot's centre to the axle's, or the "
            "heights of both over the floor."
        ),
        tr("The swingarm's edge is seldom parallel to that line, and without the rider the angle is larger."),
        tr("To 0.5°: heights read to 2 mm give 0.3°."),
    ),
    "chassis.swingarm_travel_deg": Measuring(
        "swingarm travel",
        tr(
            "The same line with the suspension fully compressed (spring off or strapped down), and hanging free; above "
            "the level is minus."
        ),
        tr("The bump rubber stops the wheel before its end, and a wheel that touches the floor does not hang free."),
        tr("To 0.5°."),
    ),
    "chassis.slack_mm": Measuring(
        "slack",
        tr(
            "What the service data ask for, measured their way: a ruler upright at the middle of the lower run, "
            "the chain "
            "pushed up and pulled down, both read at one pin."
        ),
        tr(
            "It changes as the wheel turns and as the swingarm moves: take the tightest place, with the load "
            "and the stand "
            "that the service data name."
        ),
        tr("A reading is good to some 3 mm."),
    ),
    "chassis.wheelbase_mm": Measuring(
        "wheelbase",
        tr(
            "Wheels in line, motorcycle upright: a plumb line from each axle's centre, and the length between "
            "them on the "
            "floor."
        ),
        tr(
            "A front wheel turned aside shortens it, and the axle's place in its slot belongs to it: measure as "
            "it stands."
        ),
        tr("To 3 mm with a tape."),
    ),
    "chassis.com_height_mm": Measuring(
        "centre of mass",
        tr(
            "With the rider on, over the floor: weigh level, then with one wheel raised on a block; From measurements… "
            "computes it from loads and heights."
        ),
        tr("A suspension that moves changes the result more than the scales do: lock it, and sit as when riding."),
        tr("To 20 mm with 300 mm under the wheel; a higher block makes it better."),
    ),
    "chassis.com_ahead_of_rear_axle_mm": Measuring(
        "centre of mass",
        tr("With the rider on, each wheel on a scale, level: load in front ÷ load on both × wheelbase."),
        tr("A rider who leans forward moves it: sit as when riding, feet on the pegs."),
        tr("To 10 mm."),
    ),
    "final_drive.elongation_percent": Measuring(
        "elongation",
        tr(
            "Pull the lower run tight and measure from a pin's centre to the centre of the pin 20 links on: "
            "length ÷ (20 × pitch) − 1."
        ),
        tr("A slack run reads short, and a chain wears unevenly: measure at three places and take the longest."),
        tr("To 0.1 % with a steel rule: 20 links of a 5xx chain are 317.5 mm new, and 1 % is 3.2 mm."),
    ),
    "chassis.adjuster_left_mm": Measuring(
        "adjuster",
        tr("A ruler in the slot: from the axle's edge to the slot's front end, and to its rear end."),
        tr(
            "The adjuster's bolt, the tyre or the brake may stop the axle before the slot ends: measure to what "
            "stops it."
        ),
        tr("To 0.5 mm; marks on the swingarm do as well, once the step between them is measured."),
    ),
    "chassis.centre_distance_mm": Measuring(
        "swingarm",
        tr("A tape from the centre of the front sprocket's shaft to the centre of the rear axle, as it stands."),
        tr("Behind a cover the shaft's centre is guessed, and a tape around the sprocket reads long."),
        tr("To 2 mm: a chain counted two links wrong is off by 16 mm."),
    ),
}


def measuring(section: str, key: str) -> Measuring | None:
    """How a field is measured; None for one that is read in the papers or needs no tool."""
    return _FIELDS.get(f"{section}.{key}")


def measured_at(place: str) -> Measuring | None:
    """How a place is measured: a field, a pair's half ("section.key.0"), or the kind; None for all else."""
    if place == "kind":
        return KIND
    return measuring(*place.split(".")[:2]) if place else None


def measured_fields() -> tuple[str, ...]:
    """Every field ("section.key") of which it is told how it is measured."""
    return tuple(_FIELDS)
