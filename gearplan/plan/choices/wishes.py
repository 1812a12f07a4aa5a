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
from gearplan.language import tr
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
            tr("Engine speed at a road speed"),
            tr("at 120 km/h in top gear at most 5200 rpm"),
            ("speed", "gear", "bound", "value"),
            unit="rpm",
            low=200,
            high=30000,
        ),
        Kind(
            "reach",
            tr("How far a gear reaches, at the redline"),
            tr("top gear reaches at least 200 km/h"),
            ("gear", "bound", "speed"),
        ),
        Kind("top speed", tr("Top speed, with drag"), tr("top speed at least 190 km/h"), ("bound", "speed")),
        Kind(
            "pull",
            tr("Pull against fitted"),
            tr("pull at least +8 %"),
            ("bound", "value"),
            ("speed", "gear"),
            unit="%",
            low=-75,
            high=300,
        ),
        Kind("keep", tr("Keep a part"), tr("keep the chain"), ("part",)),
        Kind(
            "teeth",
            tr("Teeth"),
            tr("front at least 14"),
            ("part", "bound", "value"),
            unit="",
            low=5,
            high=200,
            whole=True,
        ),
        Kind(
            "tooth",
            tr("Teeth against fitted"),
            tr("front 1 tooth down"),
            ("part", "value"),
            unit="teeth",
            low=-20,
            high=20,
            whole=True,
        ),
        Kind("size", tr("Chain size"), tr("520 chain"), ("size",)),
        Kind("ratio", tr("Final ratio"), tr("ratio at most 3.1"), ("bound", "value"), low=0.2, high=20),
        Kind(
            "same ratio",
            tr("The ratio as fitted"),
            tr("same ratio within 1 %"),
            ("value",),
            unit="%",
            low=0,
            high=50,
        ),
        Kind("stock", tr("What the stock list has"), tr("only parts in stock")),
        Kind("cost", tr("What the parts cost"), tr("cost at most 150"), ("value",), low=0, high=1_000_000),
        Kind(
            "wheelbase", tr("Wheelbase as fitted"), tr("wheelbase within 5 mm"), ("value",), unit="mm", low=0, high=500
        ),
        Kind("speedometer", tr("What the speedometer may show"), tr("speedometer within the rule")),
        Kind(
            "start",
            tr("Start on a slope in first gear"),
            tr("start on 18 % with 160 kg on board"),
            ("value",),
            ("load_kg",),
            unit="%",
            low=0,
            high=100,
        ),
        Kind("sure", tr("Nothing left to check"), tr("only sets that fit without a check")),
        Kind("calmer", tr("Calmer: the engine turns slower"), "calmer", (), ("bound", "value"), "%", 0, 90, aim=True),
        Kind("livelier", tr("Livelier: it pulls harder"), "livelier", (), ("bound", "value"), "%", 0, 300, aim=True),
        Kind("faster", tr("Faster: top speed, with drag"), "faster", aim=True),
        Kind("lighter", tr("Lighter chain and sprockets"), "lighter", aim=True),
        Kind("smoother", tr("Smoother: more front teeth, spread wear"), "smoother", aim=True),
        Kind("cheaper", tr("Cheaper, by the stock list's prices"), "cheaper", aim=True),
        Kind("fewest", tr("As few new parts as can be"), tr("fewest new parts"), aim=True),
        Kind("quickest", tr("Quickest on a circuit"), tr("quickest on this circuit"), aim=True),
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
                return tr(
                    "at {speed} in {gear} {bound} {number} rpm", speed=speed, gear=gear, bound=self.bound, number=number
                )
            case "reach":
                return tr("{gear} reaches {bound} {speed}", gear=gear, bound=self.bound, speed=speed)
            case "top speed":
                return tr("top speed {bound} {speed}", bound=self.bound, speed=speed)
            case "pull":
                at = "" if self.speed is None else tr(" at {speed} in {gear}", speed=speed, gear=gear)
                sign = "+" if (self.value or 0) >= 0 else "−"
                return tr(
                    "pull{at} {bound} {sign}{lstrip} %", at=at, bound=self.bound, sign=sign, lstrip=number.lstrip("-")
                )
            case "keep":
                return tr("keep the {part}", part=self.part)
            case "teeth":
                return f"{self.part.removesuffix(' sprocket')} {self.bound} {number}"
            case "tooth":
                count = int(self.value or 0)
                many = counted(abs(count), "tooth", "teeth")
                return f"{self.part.removesuffix(' sprocket')} {many} {'down' if count < 0 else 'up'}"
            case "size":
                return tr("{size} chain", size=self.size)
            case "ratio":
                return tr("ratio {bound} {number}", bound=self.bound, number=number)
            case "same ratio":
                return tr("same ratio within {number} %", number=number)
            case "cost":
                return tr("cost at most {number}", number=number)
            case "wheelbase":
                return tr("wheelbase within {number} mm", number=number)
            case "start":
                load = (
                    ""
                    if self.load_kg is None
                    else tr(" with {load_kg} kg on board", load_kg=format_number(self.load_kg))
                )
                return tr("start on {number} %{load}", number=number, load=load)
            case "calmer" | "livelier" if self.value is not None:
                return tr("{kind} by {bound} {number} %", kind=self.kind, bound=self.bound, number=number)
            case _:
                return KINDS[self.kind].example


def gear_words(gear: int | None) -> str:
    """A gear as it is said: "top gear", "gear 4"."""
    return tr("top gear") if gear in (None, TOP_GEAR) else tr("gear {gear}", gear=gear)


def contradictions(wishes: tuple[Wish, ...]) -> tuple[str, ...]:
    """Pairs of wishes that no set in the world can meet, in words."""
    found = []
    for one, other in combinations(wishes, 2):
        if {one.kind, other.kind} == {"calmer", "livelier"}:
            found.append(
                tr(
                    "“{words}” and “{words2}” ask for opposite things: leave one out.",
                    words=one.words,
                    words2=other.words,
                )
            )
        if one.kind != other.kind or {one.bound, other.bound} != {"at most", "at least"}:
            continue
        if (one.part, one.gear) != (other.part, other.gear):
            continue
        if one.kind not in ("reach", "top speed") and one.speed != other.speed:
            continue
        least, most = (one, other) if one.bound == "at least" else (other, one)
        if _asked(least) > _asked(most):
            found.append(
                tr(
                    "“{words}” and “{words2}” contradict each other: leave one out or swap them.",
                    words=least.words,
                    words2=most.words,
                )
            )
    return tuple(found)


def _asked(wish: Wish) -> float:
    if wish.kind in ("reach", "top speed") and wish.speed is not None:
        return wish.speed.si
    return wish.value or 0.0
