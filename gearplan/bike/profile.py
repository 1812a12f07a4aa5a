"""The values that describe one motorcycle, as a person enters them.

Every field exists once, here: the file, the checks and the editor walk these lists. Names end in the unit
in which the value is entered and saved (`wheelbase_mm`); the physics turns them into SI at its own edge.
A field that has not been entered is None, so an unfinished profile is an ordinary value.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, fields, replace
from typing import Any

from gearplan.bike.entries import Entry, Pair, Ratio, entries_in, entry_in
from gearplan.bike.work.job import Job
from gearplan.bike.work.proposal import Proposal
from gearplan.bike.work.rides import Ride
from gearplan.language import marked, tr


def _number(label: str, unit: str, low: float, high: float, *, example: str = "") -> Any:
    return _entered(Entry(label, "number", unit, low, high, example))


def _share(label: str, low: float, high: float, *, example: str) -> Any:
    """A fraction, written without a unit."""
    return _entered(Entry(label, "number", "", low, high, example, share=True))


def _whole(label: str, unit: str, low: int, high: int, *, example: str = "") -> Any:
    return _entered(Entry(label, "whole", unit, low, high, example))


def _pair(label: str, unit: str, low: float, high: float, parts: tuple[str, str], *, example: str) -> Any:
    return _entered(Entry(label, "pair", unit, low, high, example, parts=parts))


def _text(label: str, *, example: str = "") -> Any:
    return _entered(Entry(label, "text", example=example))


def _choice(label: str, *choices: str) -> Any:
    return _entered(Entry(label, "choice", choices=choices))


def _read_in(label: str) -> Any:
    """Where the value of the field before was read, such as "manual, page 6-12"."""
    return _text(tr("{label}: where read", label=label), example=tr("manual, page 6-12"))


def _private(label: str, example: str) -> Any:
    """What is nobody's business but the owner's and the shop's: left out where a bike is told in a failure."""
    return field(default=None, repr=False, metadata={"entry": Entry(label, "text", example=example)})


def _entered(entry: Entry, default: Any = None) -> Any:
    return field(default=default, metadata={"entry": entry})


@dataclass(frozen=True, slots=True)
class Engine:
    """Engine speeds and, for the pull, the torque curve."""

    idle_rpm: float | None = _number(tr("Idle"), "rpm", 0, 6000, example="1300")
    redline_rpm: float | None = _number(tr("Redline"), "rpm", 1000, 30000, example="10500")
    limiter_rpm: float | None = _number(tr("Limiter"), "rpm", 1000, 30000, example="10800")
    launch_rpm: float | None = _number(tr("Launch speed"), "rpm", 0, 25000, example="5000")
    shift_rpm: float | None = _number(tr("Up-shift at, if not the best"), "rpm", 1000, 30000, example="9800")
    shift_time_s: float | None = _number(tr("Shift time"), "s", 0, 3, example="0.15")
    inertia_kg_m2: float | None = _number(tr("Inertia at the crank"), "kg·m²", 0, 5, example="0.03")
    torque_at: str | None = _choice(tr("Torque measured at"), marked("crank"), marked("wheel"))
    efficiency: float | None = _share(tr("Efficiency, crank to tyre"), 0.5, 1, example="0.93")
    torque: tuple[tuple[float, float], ...] | None = _entered(
        Entry(tr("Torque curve"), "points", "rpm, N·m", 0, 30000, "[[2000, 41.0], [4000, 55.0]]", most=1000)
    )
    peak_torque_nm: float | None = _number(tr("Peak torque"), "N·m", 0.5, 1000, example="64")
    peak_torque_rpm: float | None = _number(tr("Peak torque at"), "rpm", 500, 30000, example="7000")
    peak_power_kw: float | None = _number(tr("Peak power"), "kW", 0.2, 1000, example="57")
    peak_power_rpm: float | None = _number(tr("Peak power at"), "rpm", 500, 30000, example="9500")
    correction: str | None = _choice(tr("Correct the torque to"), "ISO 1585", "SAE J1349", "DIN 70020")
    tested_pressure_hpa: float | None = _number(tr("Air pressure at the test"), "hPa", 600, 1100, example="985")
    tested_temperature_c: float | None = _number(tr("Air temperature at the test"), "°C", -40, 60, example="24")
    tested_humidity_percent: float | None = _number(tr("Humidity at the test"), "%", 0, 100, example="45")

    @property
    def end_rpm(self) -> float | None:
        """Where the engine ends: the limiter, else the redline; None while neither is entered."""
        return self.limiter_rpm if self.limiter_rpm is not None else self.redline_rpm


@dataclass(frozen=True, slots=True)
class Gearbox:
    """Primary reduction and the gears, first gear first."""

    primary: Ratio | None = _entered(Entry(tr("Primary"), "ratio", "", 0.2, 10, tr("43/75 teeth, or 1.744")))
    gears: tuple[Ratio | None, ...] | None = _entered(
        Entry(tr("Gears"), "ratios", "", 0.2, 10, tr("13/32 teeth, or 2.462"))
    )
    count: int | None = _whole(tr("Number of gears"), "", 1, 8, example="6")


@dataclass(frozen=True, slots=True)
class Tyre:
    """The rear tyre: what is moulded on it, or how far it rolls."""

    size: str | None = _entered(
        Entry(tr("Size on the sidewall"), "tyre", example=tr("180/55 ZR 17, 3.00-18 or MT90-16"))
    )
    rolling_circumference_mm: float | None = _number(tr("Rolling circumference"), "mm", 600, 3500, example="1955")
    rolling_factor: float | None = _share(tr("Rolling factor"), 0.85, 1.1, example="0.97")
    crown_radius_mm: float | None = _number(tr("Crown radius"), "mm", 0, 300, example="88")
    growth_per_mps2: float | None = _number(tr("Growth with speed squared"), "s²/m²", 0, 0.001, example="0")
    grip: float | None = _share(tr("Grip"), 0.1, 3, example="1.1")


@dataclass(frozen=True, slots=True)
class FinalDrive:
    """The set on the bike now: chain size, teeth and links."""

    chain: str | None = _entered(Entry(tr("Chain size"), "chain", example="520"))
    front: int | None = _whole(tr("Front sprocket"), "teeth", 9, 60, example="15")
    rear: int | None = _whole(tr("Rear sprocket"), "teeth", 9, 150, example="46")
    links: int | None = _whole(tr("Chain length"), "links", 20, 400, example="112")
    offset_link: str | None = _choice(tr("Half link fitted"), marked("no"), marked("yes"))
    elongation_percent: float | None = _number(tr("Chain worn, elongation"), "%", 0, 5, example="0.6")
    chain_tensile_kn: float | None = _number(tr("Tensile strength, maker's own"), "kN", 1, 200, example="36")
    chain_mass_kg_per_m: float | None = _number(tr("Chain mass, maker's own"), "kg/m", 0.1, 5, example="1.5")


@dataclass(frozen=True, slots=True)
class NewChain:
    """The chain that is to go on, from its maker's sheet, until it is fitted."""

    size: str | None = _entered(Entry(tr("New chain's size"), "chain", example="520"))
    tensile_kn: float | None = _number(tr("New chain's tensile strength"), "kN", 1, 200, example="36")
    mass_kg_per_m: float | None = _number(tr("New chain's mass"), "kg/m", 0.1, 5, example="1.5")


@dataclass(frozen=True, slots=True)
class Chassis:
    """Where the sprockets stand: swingarm, adjuster and the slack that the service data asks for."""

    sprocket_from_pivot_mm: Pair | None = _pair(
        tr("Sprocket shaft from the swingarm pivot"),
        "mm",
        -500,
        500,
        (tr("ahead"), tr("above")),
        example=tr("62 ahead, 21 above"),
    )
    axle_range_mm: Pair | None = _pair(
        tr("Pivot to axle, adjuster's ends"),
        "mm",
        100,
        1500,
        (tr("forward"), tr("back")),
        example=tr("558 forward, 594 back"),
    )
    axle_now_mm: float | None = _number(tr("Pivot to axle now"), "mm", 100, 1500, example="577")
    adjuster_left_mm: Pair | None = _pair(
        tr("Left in the adjuster"), "mm", 0, 150, (tr("forward"), tr("back")), example=tr("8 forward, 14 back")
    )
    centre_distance_mm: float | None = _number(tr("Sprocket shaft to axle, now"), "mm", 150, 1500, example="629")
    swingarm_angle_deg: float | None = _number(
        tr("Swingarm below horizontal"), "°", -30, 45, example=tr("8.5 with the rider on")
    )
    swingarm_travel_deg: Pair | None = _pair(
        tr("Swingarm's travel, below horizontal"),
        "°",
        -45,
        60,
        (tr("compressed"), tr("extended")),
        example=tr("-2 and 17"),
    )
    pivot_boss_radius_mm: float | None = _number(tr("Pivot boss radius"), "mm", 0, 150, example="24")
    slack_mm: float | None = _number(tr("Chain slack, up and down"), "mm", 0, 200, example="30")
    wheelbase_mm: float | None = _number(tr("Wheelbase"), "mm", 500, 3000, example="1415")
    com_height_mm: float | None = _number(tr("Centre of mass, height"), "mm", 50, 2000, example="610")
    com_ahead_of_rear_axle_mm: float | None = _number(
        tr("Centre of mass, ahead of the axle"), "mm", 50, 2500, example="690"
    )


@dataclass(frozen=True, slots=True)
class Load:
    """Weights and what resists the motion."""

    bike_kg: float | None = _number(tr("Motorcycle, ready to ride"), "kg", 15, 1000, example="188")
    rider_kg: float | None = _number(tr("Rider with gear"), "kg", 0, 400, example="80")
    drag_area_m2: float | None = _number(tr("Drag area"), "m²", 0.05, 3, example="0.40")
    rolling_coefficient: float | None = _share(tr("Rolling coefficient"), 0, 0.2, example="0.018")
    wheel_inertia_kg_m2: float | None = _number(tr("Inertia of both wheels"), "kg·m²", 0, 20, example="1.1")
    braking_mps2: float | None = _number(tr("Braking used by the rider"), "m/s²", 0.5, 25, example="9.0")


@dataclass(frozen=True, slots=True)
class Conditions:
    """The air that day."""

    altitude_m: float | None = _number(tr("Altitude"), "m", -500, 6000, example="0")
    temperature_c: float | None = _number(tr("Temperature"), "°C", -50, 60, example="20")
    pressure_hpa: float | None = _number(tr("Air pressure"), "hPa", 400, 1100, example="1013.25")


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits from the machine's own service data."""

    front_teeth_min: int | None = _whole(tr("Smallest front sprocket"), "teeth", 5, 60, example="14")
    chain_elongation_percent: float | None = _number(tr("Chain wear limit, elongation"), "%", 0.1, 5, example="1.7")
    chain_elongation_percent_from: str | None = _read_in(tr("Chain wear limit"))


#: A torque below or beyond which no fastener of a motorcycle's drive is tightened: the bounds of sense.
_TORQUES = (0.5, 400)


@dataclass(frozen=True, slots=True)
class Service:
    """What the makers of machine and chain say about the fitting; entered from their papers, never assumed.

    The key of a value with "_from" added says where it was read.
    """

    front_nut_nm: float | None = _number(tr("Front sprocket's nut"), "N·m", *_TORQUES)
    front_nut_nm_from: str | None = _read_in(tr("Front sprocket's nut"))
    front_nut_single_use: str | None = _choice(tr("Front nut/washer single-use"), marked("yes"), marked("no"))
    front_nut_locked_by: str | None = _choice(
        tr("Front nut locked by"), marked("tab washer"), marked("staking"), marked("retainer plate"),
        marked("thread locker"), marked("nothing"),
    )  # fmt: skip
    rear_nuts_nm: float | None = _number(tr("Rear sprocket's nuts"), "N·m", *_TORQUES)
    rear_nuts_nm_from: str | None = _read_in(tr("Rear sprocket's nuts"))
    rear_nuts: int | None = _whole(tr("Number of rear nuts"), "", 1, 16)
    rear_nuts_self_locking: str | None = _choice(tr("Rear nuts self-locking"), marked("yes"), marked("no"))
    axle_nm: float | None = _number(tr("Rear axle"), "N·m", *_TORQUES)
    axle_nm_from: str | None = _read_in(tr("Rear axle"))
    adjuster_locknut_nm: float | None = _number(tr("Adjuster's lock nuts"), "N·m", *_TORQUES)
    adjuster_locknut_nm_from: str | None = _read_in(tr("Adjuster's lock nuts"))
    brake_nm: float | None = _number(tr("Caliper or torque arm"), "N·m", *_TORQUES)
    brake_nm_from: str | None = _read_in(tr("Caliper or torque arm"))
    pivot_nm: float | None = _number(tr("Swingarm pivot"), "N·m", *_TORQUES)
    pivot_nm_from: str | None = _read_in(tr("Swingarm pivot"))
    slack_range_mm: Pair | None = _pair(
        tr("Chain slack, up and down"), "mm", 0, 200, (tr("least"), tr("most")), example=""
    )
    slack_range_mm_from: str | None = _read_in(tr("Chain slack"))
    slack_how: str | None = _text(
        tr("How the maker measures slack"), example=tr("on the side stand, unloaded, at mid-run")
    )
    alignment_mm: float | None = _number(tr("Left and right may differ by"), "mm", 0, 20)
    alignment_mm_from: str | None = _read_in(tr("Alignment"))
    chain_joint: str | None = _choice(
        tr("Chain is closed by"), marked("rivet link"), marked("clip link"), marked("endless")
    )
    chain_sealed: str | None = _choice(tr("Chain with sealing rings"), marked("yes"), marked("no"))
    press_width_mm: float | None = _number(tr("Width over the pressed plates"), "mm", 4, 60)
    press_width_mm_from: str | None = _read_in(tr("Width over the pressed plates"))
    press_tolerance_mm: float | None = _number(tr("Width may differ by"), "mm", 0, 2)
    press_tolerance_mm_from: str | None = _read_in(tr("Width's tolerance"))
    rivet_flare_mm: Pair | None = _pair(
        tr("Rivet's flared diameter"), "mm", 1, 20, (tr("least"), tr("most")), example=""
    )
    rivet_flare_mm_from: str | None = _read_in(tr("Rivet's flared diameter"))
    chain_due_km: float | None = _number(tr("First chain check after"), "km", 1, 200_000)
    chain_due_km_from: str | None = _read_in(tr("First chain check"))


@dataclass(frozen=True, slots=True)
class Wear:
    """Readings of the chain's length under tension, over a number of links, against the odometer."""

    gauge_links: int | None = _whole(tr("Links measured over"), "links", 5, 120, example="20")
    readings: tuple[tuple[float, float], ...] | None = _entered(
        Entry(tr("Readings"), "points", "km, mm", 0, 1_000_000, "[[12000, 318.9], [15500, 319.6]]", most=3000)
    )
    odometer_km: float | None = _number(tr("Odometer today"), "km", 0, 1_000_000, example="18650")


@dataclass(frozen=True, slots=True)
class Speedometer:
    """Where the speed is sensed and how much the instrument flatters."""

    sensor: str | None = _choice(
        tr("Speed sensor at"), marked("output shaft"), marked("front wheel"), marked("rear wheel")
    )
    indicated_over_true: float | None = _share(tr("Indicated / true speed"), 0.5, 2, example="1.06")
    distance_over_true: float | None = _share(tr("Counted / true distance"), 0.5, 2, example="1.00")


@dataclass(frozen=True, slots=True)
class Owner:
    """Whose bike it is, and what tells it from others of its kind.

    Private: in no picture, log or finished job, and on paper only where the shop wants it.
    """

    name: str | None = _private(tr("Owner"), tr("first and last name"))
    contact: str | None = _private(tr("Contact"), tr("telephone or e-mail"))
    registration: str | None = _private(tr("Registration"), tr("as on the plate"))
    frame_number: str | None = _private(tr("Frame number"), tr("as on the frame"))
    note: str | None = _private(tr("Colour or note"), tr("blue, top box"))


#: What a bike file can be about; the first where it says nothing. For the others setup knows what is typical.
KINDS = (
    marked("solo"), marked("sport"), marked("naked"), marked("tourer"), marked("cruiser"), marked("trail"),
    marked("enduro"), marked("supermoto"), marked("small commuter"), marked("geared scooter"),
    marked("one-ratio scooter"), marked("electric"), marked("sidecar"), marked("vintage"),
)  # fmt: skip


#: (field, value, ±) of what was measured.
Within = tuple[tuple[str, float, float], ...]


@dataclass(frozen=True, slots=True)
class Bike:
    """One motorcycle. Each attribute but name, kind, jobs, proposals, rides and `within` is a section of the file.

    `within` holds (field, value, ±) of what was measured by more than one reading, in the unit of the entry, a pair's
    halves as "section.key.0" and "section.key.1"; it holds as long as the field has that value.

    `kind` is one of `KINDS`, or a word that a file says and nothing is known of. A sidecar outfit does not lean.
    """

    name: str = ""
    kind: str = KINDS[0]
    owner: Owner = field(default_factory=Owner)
    engine: Engine = field(default_factory=Engine)
    gearbox: Gearbox = field(default_factory=Gearbox)
    tyre: Tyre = field(default_factory=Tyre)
    final_drive: FinalDrive = field(default_factory=FinalDrive)
    new_chain: NewChain = field(default_factory=NewChain)
    chassis: Chassis = field(default_factory=Chassis)
    load: Load = field(default_factory=Load)
    conditions: Conditions = field(default_factory=Conditions)
    limits: Limits = field(default_factory=Limits)
    wear: Wear = field(default_factory=Wear)
    speedometer: Speedometer = field(default_factory=Speedometer)
    service: Service = field(default_factory=Service)
    jobs: tuple[Job, ...] = ()
    proposals: tuple[Proposal, ...] = ()
    rides: tuple[Ride, ...] = ()
    within: Within = ()
    #: Results are kept by bike, so its hash is asked for again and again: worked out once.
    _hashed: int | None = field(default=None, init=False, repr=False, compare=False)

    def __hash__(self) -> int:
        """By value, as equality is."""
        found = self._hashed
        if found is None:
            found = hash(tuple(getattr(self, f.name) for f in fields(self) if f.compare))
            object.__setattr__(self, "_hashed", found)
        return found


SECTIONS: dict[str, type] = {
    "owner": Owner,
    "engine": Engine,
    "gearbox": Gearbox,
    "tyre": Tyre,
    "final_drive": FinalDrive,
    "new_chain": NewChain,
    "chassis": Chassis,
    "load": Load,
    "conditions": Conditions,
    "limits": Limits,
    "wear": Wear,
    "speedometer": Speedometer,
    "service": Service,
}


def entry(section: str, key: str) -> Entry:
    """The entry of one field; KeyError if there is no such field."""
    return entry_in(SECTIONS[section], key)


def entries(section: str) -> Iterator[tuple[str, Entry]]:
    """The fields of a section in their order in the file, as (key, entry)."""
    yield from entries_in(SECTIONS[section])


def value(bike: Bike, section: str, key: str) -> Any:
    """The entered value of one field, None where nothing is entered."""
    return getattr(getattr(bike, section), key)


def with_value(bike: Bike, section: str, key: str, new: Any) -> Bike:
    """The same bike with one field changed."""
    return replace(bike, **{section: replace(getattr(bike, section), **{key: new})})


def with_within(bike: Bike, field: str, number: float, off: float) -> Bike:
    """The same bike with how far a measured number of a field may be off."""
    others = tuple(one for one in bike.within if one[0] != field)
    return replace(bike, within=tuple(sorted((*others, (field, number, off)))))
