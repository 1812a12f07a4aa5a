"""What a person asks of the gearing: limits that must hold and aims that rank what is left, each with its words.

A wish is a frozen value; `words` says it as it reads aloud and `wishtext` reads it back. Numbers are in the units that
the words name, because that is how they were meant.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from gearplan.bike.text.numbertext import format_number
from gearplan.bike.text.written import counted
from gearplan.plan.words import Speed

Bound = Literal["at most", "at least", ""]
Part = Literal["front sprocket", "rear sprocket", "chain", "links", "chain size", "tyre", ""]

#: The gear that the words call "top gear".
TOP_GEAR = 0


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of wish: what it is for, an example, the parameters that it asks for, and the bounds of sense.

    `asks` names the fields of `Wish` that must be given, `may` those that can be; `unit`, `low` and `high` are
    those of `value`. An `aim` ranks, everything else is a limit; a kind can be both.
    """

    key: str
    title: str
    example: str
    asks: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    whole: bool = False
    aim: bool = False


KINDS: dict[str, Kind] = {
    kind.key: kind
    for kind in (
        Kind(
            "engine speed",
            "Engine speed at a road speed",
            "at 120 km/h in top gear at most 5200 rpm",
            ("speed", "gear", "bound", "value"),
            unit="rpm",
            low=200,
            high=30000,
        ),
        Kind(
            "reach",
            "How far a gear reaches, at the redline",
            "top gear reaches at least 200 km/h",
            ("gear", "bound", "speed"),
        ),
        Kind("top speed", "Top speed, with drag", "top speed at least 190 km/h", ("bound", "speed")),
        Kind(
            "pull",
            "Pull against fitted",
            "pull at least +8 %",
            ("bound", "value"),
            ("speed", "gear"),
            unit="%",
            low=-75,
            high=300,
        ),
        Kind("keep", "Keep a part", "keep the chain", ("part",)),
        Kind("teeth", "Teeth", "front at least 14", ("part", "bound", "value"), unit="", low=5, high=200, whole=True),
        Kind(
            "tooth",
            "Teeth against fitted",
            "front 1 tooth down",
            ("part", "value"),
            unit="teeth",
            low=-20,
            high=20,
            whole=True,
        ),
        Kind("size", "Chain size", "520 chain", ("size",)),
        Kind("ratio", "Final ratio", "ratio at most 3.1", ("bound", "value"), low=0.2, high=20),
        Kind("same ratio", "The ratio as fitted", "same ratio within 1 %", ("value",), unit="%", low=0, high=50),
        Kind("stock", "What the stock list has", "only parts in stock"),
        Kind("cost", "What the parts cost", "cost at most 150", ("value",), low=0, high=1_000_000),
        Kind("wheelbase", "Wheelbase as fitted", "wheelbase within 5 mm", ("value",), unit="mm", low=0, high=500),
        Kind("speedometer", "What the speedometer may show", "speedometer within the rule"),
        Kind(
            "start",
            "Start on a slope in first gear",
            "start on 18 % with 160 kg on board",
            ("value",),
            ("load_kg",),
            unit="%",
            low=0,
            high=100,
        ),
        Kind("sure", "Nothing left to check", "only sets that fit without a check"),
        Kind("calmer", "Calmer: the engine turns slower", "calmer", (), ("bound", "value"), "%", 0, 90, aim=True),
        Kind("livelier", "Livelier: it pulls harder", "livelier", (), ("bound", "value"), "%", 0, 300, aim=True),
        Kind("faster", "Faster: top speed, with drag", "faster", aim=True),
        Kind("lighter", "Lighter chain and sprockets", "lighter", aim=True),
        Kind("smoother", "Smoother: more front teeth, spread wear", "smoother", aim=True),
        Kind("cheaper", "Cheaper, by the stock list's prices", "cheaper", aim=True),
        Kind("fewest", "As few new parts as can be", "fewest new parts", aim=True),
        Kind("quickest", "Quickest on a circuit", "quickest on this circuit", aim=True),
    )
}

#: What a person may keep, and how it is said.
PARTS: tuple[Part, ...] = ("front sprocket", "rear sprocket", "chain", "links", "chain size", "tyre")


@dataclass(frozen=True, slots=True)
class Wish:
    """One wish. Only the fields that its kind asks for are set; `gear` counts from 1, `TOP_GEAR` is the last."""

    kind: str
    bound: Bound = ""
    value: float | None = None
    speed: Speed | None = None
    gear: int | None = None
    part: Part = ""
    load_kg: float | None = None
    size: str = ""

    @property
    def aim(self) -> bool:
        """Whether it ranks what is left."""
        return KINDS[self.kind].aim

    @property
    def limit(self) -> bool:
        """Whether a set can miss it."""
        return not self.aim or self.kind in ("calmer", "livelier")

    @property
    def words(self) -> str:
        """The wish as it reads aloud; `plan.wishtext.parse_wish` reads it back."""
        number = "" if self.value is None else format_number(self.value)
        gear, speed = gear_words(self.gear), "" if self.speed is None else self.speed.words
        match self.kind:
            case "engine speed":
                return f"at {speed} in {gear} {self.bound} {number} rpm"
            case "reach":
                return f"{gear} reaches {self.bound} {speed}"
            case "top speed":
                return f"top speed {self.bound} {speed}"
            case "pull":
                at = "" if self.speed is None else f" at {speed} in {gear}"
                sign = "+" if (self.value or 0) >= 0 else "−"
                return f"pull{at} {self.bound} {sign}{number.lstrip('-')} %"
            case "keep":
                return f"keep the {self.part}"
            case "teeth":
                return f"{self.part.removesuffix(' sprocket')} {self.bound} {number}"
            case "tooth":
                count = int(self.value or 0)
                many = counted(abs(count), "tooth", "teeth")
                return f"{self.part.removesuffix(' sprocket')} {many} {'down' if count < 0 else 'up'}"
            case "size":
                return f"{self.size} chain"
            case "ratio":
                return f"ratio {self.bound} {number}"
            case "same ratio":
                return f"same ratio within {number} %"
            case "cost":
                return f"cost at most {number}"
            case "wheelbase":
                return f"wheelbase within {number} mm"
            case "start":
                load = "" if self.load_kg is None else f" with {format_number(self.load_kg)} kg on board"
                return f"start on {number} %{load}"
            case "calmer" | "livelier" if self.value is not None:
                return f"{self.kind} by {self.bound} {number} %"
            case _:
                return KINDS[self.kind].example


def gear_words(gear: int | None) -> str:
    """A gear as it is said: "top gear", "gear 4"."""
    return "top gear" if gear in (None, TOP_GEAR) else f"gear {gear}"


def contradictions(wishes: tuple[Wish, ...]) -> tuple[str, ...]:
    """Pairs of wishes that no set in the world can meet, in words."""
    found = []
    for one, other in combinations(wishes, 2):
        if {one.kind, other.kind} == {"calmer", "livelier"}:
            found.append(f"“{one.words}” and “{other.words}” ask for opposite things: leave one out.")
        if one.kind != other.kind or {one.bound, other.bound} != {"at most", "at least"}:
            continue
        if (one.part, one.gear) != (other.part, other.gear):
            continue
        if one.kind not in ("reach", "top speed") and one.speed != other.speed:
            continue
        least, most = (one, other) if one.bound == "at least" else (other, one)
        if _asked(least) > _asked(most):
            found.append(f"“{least.words}” and “{most.words}” contradict each other: leave one out or swap them.")
    return tuple(found)


def _asked(wish: Wish) -> float:
    if wish.kind in ("reach", "top speed") and wish.speed is not None:
        return wish.speed.si
    return wish.value or 0.0
