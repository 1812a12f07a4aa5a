"""What a person asks of the gearing: limits that must hold and aims that rank what is left, each with its words.

A wish is a frozen value; `words` says it as it reads aloud and `wishtext` reads it back. Numbers are in the units that
the words name, because that is how they were meant.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from gearplan.bike.text.numbertext import format_number, shown_number
from gearplan.language import marked, tr
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
            marked("at 120 km/h in top gear at most 5200 rpm"),
            ("speed", "gear", "bound", "value"),
            unit="rpm",
            low=200,
            high=30000,
        ),
        Kind(
            "reach",
            tr("How far a gear reaches, at the redline"),
            marked("top gear reaches at least 200 km/h"),
            ("gear", "bound", "speed"),
        ),
        Kind("top speed", tr("Top speed, with drag"), marked("top speed at least 190 km/h"), ("bound", "speed")),
        Kind(
            "pull",
            tr("Pull against fitted"),
            marked("pull at least +8 %"),
            ("bound", "value"),
            ("speed", "gear"),
            unit="%",
            low=-75,
            high=300,
        ),
        Kind("keep", tr("Keep a part"), marked("keep the chain"), ("part",)),
        Kind(
            "teeth",
            tr("Teeth"),
            marked("front at least 14"),
            ("part", "bound", "value"),
            unit="",
            low=5,
            high=200,
            whole=True,
        ),
        Kind(
            "tooth",
            tr("Teeth against fitted"),
            marked("front 1 tooth down"),
            ("part", "value"),
            unit="teeth",
            low=-20,
            high=20,
            whole=True,
        ),
        Kind("size", tr("Chain size"), marked("520 chain"), ("size",)),
        Kind("ratio", tr("Final ratio"), marked("ratio at most 3.1"), ("bound", "value"), low=0.2, high=20),
        Kind(
            "same ratio",
            tr("The ratio as fitted"),
            marked("same ratio within 1 %"),
            ("value",),
            unit="%",
            low=0,
            high=50,
        ),
        Kind("stock", tr("What the stock list has"), marked("only parts in stock")),
        Kind("cost", tr("What the parts cost"), marked("cost at most 150"), ("value",), low=0, high=1_000_000),
        Kind(
            "wheelbase",
            tr("Wheelbase as fitted"),
            marked("wheelbase within 5 mm"),
            ("value",),
            unit="mm",
            low=0,
            high=500,
        ),
        Kind("speedometer", tr("What the speedometer may show"), marked("speedometer within the rule")),
        Kind(
            "start",
            tr("Start on a slope in first gear"),
            marked("start on 18 % with 160 kg on board"),
            ("value",),
            ("load_kg",),
            unit="%",
            low=0,
            high=100,
        ),
        Kind("sure", tr("Nothing left to check"), marked("only sets that fit without a check")),
        Kind(
            "calmer",
            tr("Calmer: the engine turns slower"),
            marked("calmer"),
            (),
            ("bound", "value"),
            "%",
            0,
            90,
            aim=True,
        ),
        Kind(
            "livelier",
            tr("Livelier: it pulls harder"),
            marked("livelier"),
            (),
            ("bound", "value"),
            "%",
            0,
            300,
            aim=True,
        ),
        Kind("faster", tr("Faster: top speed, with drag"), marked("faster"), aim=True),
        Kind("lighter", tr("Lighter chain and sprockets"), marked("lighter"), aim=True),
        Kind("smoother", tr("Smoother: more front teeth, spread wear"), marked("smoother"), aim=True),
        Kind("cheaper", tr("Cheaper, by the stock list's prices"), marked("cheaper"), aim=True),
        Kind("fewest", tr("As few new parts as can be"), marked("fewest new parts"), aim=True),
        Kind("quickest", tr("Quickest on a circuit"), marked("quickest on this circuit"), aim=True),
    )
}

#: What a person may keep, and how it is said.
PARTS: tuple[Part, ...] = (
    marked("front sprocket"), marked("rear sprocket"), marked("chain"), marked("links"), marked("chain size"),
    marked("tyre"),
)  # fmt: skip
#: The sides as a wish about teeth says them.
_SIDES = (marked("front"), marked("rear"))
BOUNDS: tuple[Bound, ...] = (marked("at most"), marked("at least"))


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
        """The wish as it reads aloud in English and stands in files; `plan.wishtext.parse_wish` reads it back."""
        return self._said(_in_english, format_number)

    @property
    def told(self) -> str:
        """The wish as it reads aloud in the spoken language, which `plan.wishtext.parse_wish` reads back as well."""
        return self._said(tr, shown_number)

    def _said(self, tr: Callable[..., str], number_text: Callable[[float], str]) -> str:
        number = "" if self.value is None else number_text(self.value)
        gear = tr("top gear") if self.gear in (None, TOP_GEAR) else tr("gear {gear}", gear=self.gear)
        speed = "" if self.speed is None else f"{number_text(self.speed.value)} {self.speed.unit}"
        bound, part, side = tr(self.bound), tr(self.part), tr(self.part.removesuffix(" sprocket"))
        match self.kind:
            case "engine speed":
                return tr(
                    "at {speed} in {gear} {bound} {number} rpm", speed=speed, gear=gear, bound=bound, number=number
                )
            case "reach":
                return tr("{gear} reaches {bound} {speed}", gear=gear, bound=bound, speed=speed)
            case "top speed":
                return tr("top speed {bound} {speed}", bound=bound, speed=speed)
            case "pull":
                signed = f"{'+' if (self.value or 0) >= 0 else '−'}{number.lstrip('-')}"
                if self.speed is None:
                    return tr("pull {bound} {percent} %", bound=bound, percent=signed)
                return tr(
                    "pull at {speed} in {gear} {bound} {percent} %", speed=speed, gear=gear, bound=bound, percent=signed
                )
            case "keep":
                return tr("keep the {part}", part=part)
            case "teeth":
                return f"{side} {bound} {number}"
            case "tooth":
                return self._tooth(tr, side)
            case "size":
                return tr("{size} chain", size=self.size)
            case "ratio":
                return tr("ratio {bound} {number}", bound=bound, number=number)
            case "same ratio":
                return tr("same ratio within {number} %", number=number)
            case "cost":
                return tr("cost at most {number}", number=number)
            case "wheelbase":
                return tr("wheelbase within {number} mm", number=number)
            case "start" if self.load_kg is not None:
                load = number_text(self.load_kg)
                return tr("start on {number} % with {load} kg on board", number=number, load=load)
            case "start":
                return tr("start on {number} %", number=number)
            case "calmer" if self.value is not None:
                return tr("calmer by {bound} {number} %", bound=bound, number=number)
            case "livelier" if self.value is not None:
                return tr("livelier by {bound} {number} %", bound=bound, number=number)
            case _:
                return tr(KINDS[self.kind].example)

    def _tooth(self, tr: Callable[..., str], side: str) -> str:
        count = abs(int(self.value or 0))
        if (self.value or 0) < 0:
            return (
                tr("{side} {count} tooth down", side=side, count=count)
                if count == 1
                else tr("{side} {count} teeth down", side=side, count=count)
            )
        return (
            tr("{side} {count} tooth up", side=side, count=count)
            if count == 1
            else tr("{side} {count} teeth up", side=side, count=count)
        )


def _in_english(text: str, **values: object) -> str:
    return text.format_map(values)


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
                    words=one.told,
                    words2=other.told,
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
                    words=least.told,
                    words2=most.told,
                )
            )
    return tuple(found)


def _asked(wish: Wish) -> float:
    if wish.kind in ("reach", "top speed") and wish.speed is not None:
        return wish.speed.si
    return wish.value or 0.0
