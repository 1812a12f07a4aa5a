"""What is asked about a circuit though it can be ridden: section by section, and of the whole lap."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median

from gearplan.bike.circuit import CORNER_ONLY, Circuit, check_section, label_of
from gearplan.bike.sections.cells import HEADS
from gearplan.bike.text.units import KMH, STANDARD_GRAVITY
from gearplan.bike.text.written import listed
from gearplan.language import decimal, tr

#: In m/s², each twice over what riders do or a tenth of it: bounds of doubt, common sense, no source.
MOST_LATERAL, LEAST_LATERAL = 2.0 * STANDARD_GRAVITY, 0.1 * STANDARD_GRAVITY
#: So many corners that ask for more than the tyre's grip are named one by one, more of them in one sentence.
_NAMED = 2
#: A speed in m/s typed as km/h gives this fraction of the lateral acceleration.
_MIXED_UP = KMH**2
#: A shorter lap (m) than this is none; common sense, no source.
_SHORTEST_LAP = 100.0
#: The turns of a lap add up to a whole turn within this share of it.
_CLOSES_WITHIN = 0.17


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something about a circuit that is asked about; `index` is the section it concerns, from 0, None for the lap.

    `brief` says it of a section in a word or number, where a table has no room for the sentence.
    """

    text: str
    index: int | None = None
    key: str = ""
    brief: str = ""


def doubts(circuit: Circuit, grip: float | None = None) -> tuple[Doubt, ...]:
    """What is asked about a circuit that can be ridden, the lap first; many corners beyond the grip in one sentence.

    `grip` is that of the tyre that is to ride it, None for any.
    """
    beyond = _beyond_grip(circuit, grip)
    if grip is not None and len(beyond) > _NAMED:
        asked = sorted(sideways / STANDARD_GRAVITY for sideways in beyond.values())
        low, high = decimal(f"{asked[0]:.2f}"), decimal(f"{asked[-1]:.2f}")
        span = high if low == high else tr("{low} to {high}", low=low, high=high)
        one = Doubt(
            tr(
                "{beyond} corners ask for {span} g to the side, {more_than}",
                beyond=len(beyond),
                span=span,
                more_than=_more_than(grip),
            ),
            None,
            "apex_kmh",
        )
        rest = tuple(doubt for doubt in section_doubts(circuit, grip) if doubt.index not in beyond)
        return (*lap_doubts(circuit), one, *rest)
    return (*lap_doubts(circuit), *section_doubts(circuit, grip))


def lap_doubts(circuit: Circuit) -> tuple[Doubt, ...]:
    """What is asked about the lap as a whole: a unit that all sections seem to have mistaken, a net climb."""
    turns, lengths = _radians(circuit), _short(circuit)
    # A mistaken turn or length makes any speed look wrong.
    speeds = "" if turns or lengths else _slow(circuit)
    told = {"apex_kmh": speeds, "turn_deg": turns, "length_m": lengths, "gradient_percent": _climbs(circuit)}
    return tuple(Doubt(text, None, key) for key, text in told.items() if text)


def section_doubts(circuit: Circuit, grip: float | None = None) -> tuple[Doubt, ...]:
    """What single sections lack or what contradicts in them, in their order; `grip` as in `doubts`."""
    lateral, beyond = _lateral(circuit), _beyond_grip(circuit, grip)
    found: list[Doubt] = []
    for i, section in enumerate(circuit.sections):
        name = tr("Section {i}", i=i + 1)
        if text := check_section(section):
            brief = "speed?" if text.startswith("a corner") else "?"
            found.append(Doubt(f"{name}: {text}.", i, "", brief))
        asks = lateral.get(i, 0.0) / STANDARD_GRAVITY
        if lateral.get(i, 0.0) > MOST_LATERAL:
            text = tr(
                "{name}: its speed and radius ask for {asks:.1f} g to the side, which no tyre gives: check "
                "apex speed (mph typed as km/h?), radius or length and turn.",
                name=name,
                asks=asks,
            )
            found.append(Doubt(text, i, "apex_kmh", decimal(f"{asks:.1f} g")))
        elif i in beyond and grip is not None:
            text = tr(
                "{name}: its speed and radius ask for {asks:.2f} g to the side, {more_than}",
                name=name,
                asks=asks,
                more_than=_more_than(grip),
            )
            found.append(Doubt(text, i, "apex_kmh", decimal(f"{asks:.2f} g")))
        if _own_grip(section.kind, section.apex_kmh, section.grip, grip):
            text = tr(
                "{name}: its own grip to the side, {grip:g}, is more than the tyre's, {grip2:g}.",
                name=name,
                grip=section.grip,
                grip2=grip,
            )
            found.append(Doubt(text, i, "grip", "grip?"))
        idle = [key for key in CORNER_ONLY if getattr(section, key) is not None] if section.kind == "straight" else []
        if idle:
            says = "says" if len(idle) == 1 else "say"
            text = tr(
                "{name}: {listed} {says} nothing on a straight.",
                name=name,
                listed=listed(map(label_of, idle)),
                says=says,
            )
            found.append(Doubt(text, i, idle[0], f"{HEADS[idle[0]]}?"))
    return tuple(found)


def _lateral(circuit: Circuit) -> dict[int, float]:
    """The sideways acceleration (m/s²) of the corners whose apex speed is entered, by index."""
    return {
        i: (s.apex_kmh * KMH) ** 2 / s.line_radius_m
        for i, s in enumerate(circuit.sections)
        if s.kind == "corner" and s.apex_kmh is not None and s.line_radius_m is not None
    }


def _beyond_grip(circuit: Circuit, grip: float | None) -> dict[int, float]:
    """The corners that ask for more than the tyre's grip but not for what no tyre gives, with how much (m/s²)."""
    if grip is None:
        return {}
    most = grip * STANDARD_GRAVITY
    return {i: sideways for i, sideways in _lateral(circuit).items() if most < sideways <= MOST_LATERAL}


def _more_than(grip: float) -> str:
    return tr(
        "more than the tyre's grip of {grip:g}: check apex speed, radius or length and turn, or the grip.", grip=grip
    )


def _own_grip(kind: str, apex: float | None, own: float | None, grip: float | None) -> bool:
    """Whether a corner is held at a grip of its own that is more than the tyre's."""
    return kind == "corner" and apex is None and own is not None and grip is not None and own > grip


def _slow(circuit: Circuit) -> str:
    lateral = _lateral(circuit)
    if not lateral or median(lateral.values()) >= LEAST_LATERAL:
        return ""
    if LEAST_LATERAL <= median(lateral.values()) / _MIXED_UP <= MOST_LATERAL:
        return tr("Are the apex speeds in m/s? They are read as km/h and would be very slow for these corners.")
    return tr("The apex speeds are very slow for these corners: check speeds, lengths and turns.")


def _radians(circuit: Circuit) -> str:
    """A lap turns by 2π: turns that small and adding up to that are no degrees."""
    turned = abs(circuit.turned_deg)
    if max((abs(s.turn_deg) for s in circuit.sections), default=0.0) > math.tau:
        return ""
    if abs(turned - math.tau) > _CLOSES_WITHIN * math.tau:
        return ""
    return tr(
        "Are the turns in radians? They add up to {turned:.2f}; in degrees the turns of a lap add up to 360.",
        turned=turned,
    )


def _short(circuit: Circuit) -> str:
    length = circuit.length_m
    if len(circuit.sections) < 2 or length >= _SHORTEST_LAP or 1000 * length < _SHORTEST_LAP:
        return ""
    return tr(
        "Are the lengths in kilometres? The lap is {length:.3g} m long; give metres, or write km behind the number.",
        length=length,
    )


def _climbs(circuit: Circuit) -> str:
    if abs(circuit.climbed_m) <= max(5.0, 0.002 * circuit.length_m):
        return ""
    way = "higher" if circuit.climbed_m > 0 else "lower"
    return tr(
        "The lap ends {climbed_m:.0f} m {way} than it begins: right for a hill climb only.",
        climbed_m=abs(circuit.climbed_m),
        way=way,
    )
