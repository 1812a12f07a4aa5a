"""Reads a wish from the words that a person would say, and says what would be right where it cannot."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable
from dataclasses import replace

from gearplan.bike import library
from gearplan.bike.text.numbertext import NumberTextError, parse_number
from gearplan.bike.text.written import listed, shortest
from gearplan.language import spoken, tr
from gearplan.plan.choices.wishes import KINDS, PARTS, TOP_GEAR, Bound, Part, Wish
from gearplan.plan.choices.wishgerman import in_english
from gearplan.plan.words import Speed

#: Speeds and loads beyond these are refused.
_SPEEDS = (1.0, 600.0)
_LOADS = (0.0, 1000.0)
_MOST_GEARS = 8

_MOST = r"at most|(?:no|not) (?:more|larger|bigger|higher|faster) than|not (?:above|over)|up to|max(?:imum)?|<=?|≤"
_LEAST = r"at least|(?:no|not) (?:less|smaller|lower|slower|fewer) than|not (?:below|under)|min(?:imum)?|>=?|≥"
_BOUND = rf"(?P<bound>{_MOST}|{_LEAST})"
_NUMBER = r"[+\-−]?\s?[\d.,'\u00a0]+"
_VALUE = rf"(?P<value>{_NUMBER})"
_SPEED = rf"(?P<speed>{_NUMBER})(?:\s?(?P<unit>km/h|kmh|kph|mph|[a-z/]+))?"
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
_GEAR = (
    r"(?P<gear>top(?: gear)?|gear \d+|\d+(?:st|nd|rd|th)(?: gear)?|"
    rf"(?:{'|'.join(_ORDINALS)})(?: gear)?|last gear)"
)
_PERCENT = r"\s?(?:%|percent|per cent)"
_PART = r"(?P<part>front(?: sprocket)?|rear(?: sprocket)?|chain size|chain|links|tyre)"
_SIDE = r"(?:on |at |in )?(?:the )?(?P<part>front|rear)(?: sprocket)?"
_COUNTS = {"a": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6}
_TEETH = rf"(?P<count>\d{{1,3}}|{'|'.join(_COUNTS)})(?: tooth| teeth)?"
_DOWN = r"down|fewer|less|smaller"
_WAY = rf"(?P<way>{_DOWN}|up|more|bigger|larger)"
_SIGNED = r"(?P<value>[+\-−]\s?\d{1,3})(?: tooth| teeth)?"
_SIZE = r"(?P<size>\d{3}|25h)"
_TALLER = r"taller(?: gearing| geared)?|(?:longer|higher) (?:gearing|geared)|gear(?: it)? up"
_SHORTER = r"shorter(?: gearing| geared)?|lower (?:gearing|geared)|gear(?: it)? down"
#: What it is for says no more than the wish itself.
_USE = r"(?: for (?:the |my )?[a-z ]+)?"

#: One pattern a line; the first that takes the whole text decides the kind.
_PATTERNS: tuple[tuple[str, str], ...] = (
    ("engine speed", rf"at {_SPEED}(?: in {_GEAR})?,? {_BOUND} {_VALUE}\s?rpm"),
    ("engine speed", rf"{_BOUND} {_VALUE}\s?rpm at {_SPEED}(?: in {_GEAR})?"),
    ("top speed", rf"top speed(?: of)? {_BOUND} {_SPEED}"),
    ("reach", rf"{_GEAR} reaches {_BOUND} {_SPEED}"),
    ("pull", rf"pull(?: at {_SPEED}(?: in {_GEAR})?)?,? {_BOUND} {_VALUE}{_PERCENT}"),
    ("pull more", rf"{_BOUND} {_VALUE}{_PERCENT} (?P<sense>more|less) pull(?: at {_SPEED}(?: in {_GEAR})?)?"),
    ("keep", rf"keep(?:ing)? (?:the |my )?{_PART}(?: and its links)?"),
    ("keep", rf"(?:with )?(?:the )?same (?:number of )?{_PART}"),
    ("tooth", rf"{_SIDE} {_TEETH} {_WAY}"),
    ("tooth", rf"{_TEETH} {_WAY} {_SIDE}"),
    ("tooth", rf"(?:go|gear) {_WAY} {_TEETH} {_SIDE}"),
    ("tooth", rf"{_SIDE} {_SIGNED}"),
    ("tooth", rf"{_SIGNED} {_SIDE}"),
    ("size", rf"(?:(?:on |with )?an? )?{_SIZE} (?:chain|conversion)"),
    ("size", rf"(?:convert(?:ed)? to|chain(?: size)?) (?:a )?{_SIZE}(?: chain)?"),
    ("keep", rf"(?:without|no) (?:a )?(?:new|other) {_PART}"),
    ("teeth", rf"{_PART} {_BOUND} {_VALUE}(?: teeth)?"),
    ("ratio", rf"(?:final )?ratio {_BOUND} {_VALUE}"),
    ("same ratio", rf"(?:the )?same ratio(?: within {_VALUE}{_PERCENT})?"),
    ("stock", r"only (?:sizes |parts |what is )?(?:on the shelf|in stock|from stock)|from stock"),
    ("cost", rf"costs? {_BOUND} {_VALUE}"),
    ("wheelbase", rf"wheelbase within {_VALUE}\s?mm"),
    ("speedometer", r"speedometer within the (?:rule|law)"),
    ("start", rf"start on {_VALUE}{_PERCENT}(?: with (?P<load>{_NUMBER})\s?kg(?: on board)?)?"),
    ("sure", r"only sets that fit without a check|nothing to check"),
    ("calmer", rf"(?:calmer|quieter|lower revs|{_TALLER})(?: by {_BOUND} {_VALUE}{_PERCENT})?{_USE}"),
    ("livelier", rf"(?:livelier|more pull|pulls? harder|{_SHORTER})(?: by {_BOUND} {_VALUE}{_PERCENT})?{_USE}"),
    ("faster", r"faster"),
    ("lighter", r"lighter"),
    ("smoother", r"smoother"),
    ("cheaper", r"cheaper|cheapest"),
    ("fewest", r"(?:fewest|few|as few) new parts(?: as can be)?"),
    ("quickest", r"(?:the )?quickest(?: lap)?(?: on (?:this|the) (?:circuit|track))?"),
)
#: How people begin: it carries no wish.
_LEAD = re.compile(
    r"^(?:(?:and )?(?:i )?(?:want|would like|need)|please|make it|it should be)(?: it)?(?: to be)? ", re.IGNORECASE
)
#: A cruising speed, said along the way: no wish, but what the customer's page asks for.
_CRUISE = re.compile(
    rf"(?:i |we )?(?:do|ride|drive|cruise|go|travel|tour)(?: at)?(?: about)? (?P<speed>{_NUMBER})\s?"
    r"(?P<unit>km/h|kmh|kph|mph)?(?: (?:on|along|in) .*)?"
)
#: Where one wish ends and the next begins within a part of a sentence.
_JOINTS = re.compile(r"\band\b|(?=\bwithout\b)|\bwith (?=no |the same )|(?=\bkeeping\b)")
_JOINTS_IN_GERMAN = re.compile(rf"{_JOINTS.pattern}|\bund\b|(?=\bohne\b)", re.IGNORECASE)
_COMPILED = tuple((kind, re.compile(pattern)) for kind, pattern in _PATTERNS)


class WishError(ValueError):
    """Words that are no wish; the message says what would be right."""


def parse_wish(text: str, unit: str = "km/h") -> Wish:
    """The wish that words mean; capitals, spaces and a full stop do not matter, decimal point and comma both do.

    `unit` is that of a road speed said without one.

    WishError for anything else, with the nearest wish that exists, or with the bounds of sense.
    """
    given = _LEAD.sub("", " ".join(text.strip().rstrip(".!").split()))
    readings = [given.lower()] if spoken() != "de" else [given.lower(), _LEAD.sub("", in_english(given))]
    for said in readings:
        for kind, pattern in _COMPILED:
            if match := pattern.fullmatch(said):
                return _MAKERS.get(kind, _plain)(kind, given, match, unit)
    raise WishError(_unknown(given))


def parse_wishes(texts: tuple[str, ...]) -> tuple[tuple[Wish, ...], tuple[str, ...]]:
    """(The wishes, what is wrong with the texts that are none); a wish said twice counts once."""
    wishes: dict[Wish, None] = {}
    wrong = []
    for text in texts:
        try:
            wishes[parse_wish(text)] = None
        except WishError as error:
            wrong.append(str(error))
    return tuple(wishes), tuple(wrong)


def wishes_in(sentence: str, unit: str = "km/h") -> tuple[tuple[Wish, ...], Speed | None, tuple[str, ...]]:
    """(The wishes in a sentence, the cruising speed named in it, what is wrong with the rest).

    "I do 120 on the motorway and want it calmer, without a new chain" names a speed and two wishes.
    """
    wishes: dict[Wish, None] = {}
    cruise: Speed | None = None
    wrong = []
    for piece in _pieces(sentence):
        said = in_english(piece) if spoken() == "de" else piece.lower()
        if match := _CRUISE.fullmatch(said):
            try:
                cruise = _speed(piece, match["speed"], match["unit"] or unit)
            except WishError as error:
                wrong.append(str(error))
            continue
        try:
            wishes[parse_wish(piece, unit)] = None
        except WishError as error:
            wrong.append(str(error))
    return tuple(wishes), cruise, tuple(wrong)


def _pieces(sentence: str) -> list[str]:
    """The parts of a sentence; a part that is a wish as it stands is not split further."""
    found = []
    for part in re.split(r"[;\n]|[,.] |\bbut\b|\baber\b", " ".join(sentence.split())):
        stripped = part.strip(" .,")
        if not stripped:
            continue
        try:
            parse_wish(stripped)
        except WishError:
            joints = _JOINTS_IN_GERMAN if spoken() == "de" else _JOINTS
            found += [piece.strip() for piece in joints.split(stripped) if piece.strip()]
        else:
            found.append(stripped)
    return found


def parse_speed(text: str) -> Speed:
    """ "120 km/h" or "70 mph"; a number alone is km/h. WishError for anything else."""
    given = " ".join(text.strip().lower().split())
    match = re.fullmatch(_SPEED, given) or re.fullmatch(_SPEED, f"{given} km/h")
    if match is None:
        raise WishError(tr("“{text}” is no speed; write it like 120 km/h or 70 mph", text=text.strip()))
    return _speed(text.strip(), match["speed"], match["unit"] or "km/h")


def parse_gear(text: str) -> int:
    """ "top gear", "gear 4", "4th"; the gear from 1, or `TOP_GEAR`. WishError for anything else."""
    given = " ".join(text.strip().lower().split())
    if spoken() == "de":
        given = in_english(given)
    match = re.fullmatch(_GEAR, given) or re.fullmatch(_GEAR, f"gear {given}")
    if match is None:
        raise WishError(tr("“{text}” is no gear; write it like gear 4 or top gear", text=text.strip()))
    return _gear(text.strip(), match["gear"])


def examples() -> tuple[str, ...]:
    """One wish of every kind, in the words of the spoken language."""
    return tuple(tr(kind.example) for kind in KINDS.values())


def _plain(kind: str, text: str, match: re.Match[str], unit: str) -> Wish:
    parts = match.groupdict()
    wish = Wish(kind)
    if parts.get("bound"):
        wish = replace(wish, bound=_bound(parts["bound"]))
    if parts.get("value"):
        wish = replace(wish, value=_value(kind, text, parts["value"]))
    if parts.get("speed"):
        wish = replace(wish, speed=_speed(text, parts["speed"], parts["unit"] or unit))
    if "gear" in parts and (parts["gear"] or wish.speed is not None):
        wish = replace(wish, gear=_gear(text, parts["gear"]))
    if parts.get("part"):
        wish = replace(wish, part=_part(parts["part"]))
    if parts.get("load"):
        load = _number(text, parts["load"])
        _within(text, load, *_LOADS, "kg")
        wish = replace(wish, load_kg=load)
    return wish


def _more(_kind: str, text: str, match: re.Match[str], unit: str) -> Wish:
    """ "at least 8 % more pull": a sign and a bound, where "at least 5 % less" means at most −5 %."""
    wish = _plain("pull", text, match, unit)
    if match["sense"] == "more":
        return wish
    turned: Bound = "at most" if wish.bound == "at least" else "at least"
    return replace(wish, value=0.0 - (wish.value or 0.0), bound=turned)


def _teeth(kind: str, text: str, match: re.Match[str], unit: str) -> Wish:
    wish = _plain(kind, text, match, unit)
    if wish.part in ("front sprocket", "rear sprocket"):
        return wish
    raise WishError(tr("“{text}”: only the front and the rear have teeth; say it like “front at least 14”", text=text))


def _cost(kind: str, text: str, match: re.Match[str], unit: str) -> Wish:
    wish = _plain(kind, text, match, unit)
    if wish.bound == "at least":
        raise WishError(tr("“{text}”: nobody wishes for that; say it like “cost at most 150”", text=text))
    return replace(wish, bound="")


def _same(kind: str, text: str, match: re.Match[str], unit: str) -> Wish:
    wish = _plain(kind, text, match, unit)
    return replace(wish, value=1.0) if wish.value is None else wish


def _tooth(kind: str, text: str, match: re.Match[str], unit: str) -> Wish:
    wish = _plain(kind, text, match, unit)
    parts = match.groupdict()
    if "way" not in parts:
        return wish
    count = float(_COUNTS.get(parts["count"]) or int(parts["count"]))
    down = re.fullmatch(_DOWN, parts["way"])
    _within(text, -count if down else count, KINDS[kind].low, KINDS[kind].high, KINDS[kind].unit)
    return replace(wish, value=0.0 - count if down else count)


def _size(kind: str, text: str, match: re.Match[str], _unit: str) -> Wish:
    size = match["size"].upper()
    if size not in library.chain_sizes():
        raise WishError(
            tr(
                "“{text}”: {size} is no chain size here; there are {listed}",
                text=text,
                size=size,
                listed=listed(library.chain_sizes()),
            )
        )
    return Wish(kind, size=size)


_MAKERS: dict[str, Callable[[str, str, re.Match[str], str], Wish]] = {
    "tooth": _tooth,
    "size": _size,
    "pull more": _more,
    "teeth": _teeth,
    "cost": _cost,
    "same ratio": _same,
}


def _bound(words: str) -> Bound:
    return "at most" if re.fullmatch(_MOST, words) else "at least"


def _part(words: str) -> Part:
    return next(part for part in PARTS if part.removesuffix(" sprocket") == words.removesuffix(" sprocket"))


def _number(text: str, words: str) -> float:
    try:
        return parse_number("".join(words.split()))
    except NumberTextError as error:
        raise WishError(f"“{text}”: {error}") from error


def _value(kind: str, text: str, words: str) -> float:
    known = KINDS[kind]
    value = _number(text, words)
    _within(text, value, known.low, known.high, known.unit)
    if known.whole and value != int(value):
        raise WishError(tr("“{text}”: teeth are whole numbers, such as {value}", text=text, value=round(value)))
    return value + 0.0


def _speed(text: str, words: str, unit: str) -> Speed:
    if unit not in ("km/h", "kmh", "kph", "mph"):
        raise WishError(tr("“{text}”: “{unit}” is no unit of speed here; write km/h or mph", text=text, unit=unit))
    value = _number(text, words)
    _within(text, value, *_SPEEDS, "mph" if unit == "mph" else "km/h")
    return Speed(value, "mph" if unit == "mph" else "km/h")


def _gear(text: str, words: str | None) -> int:
    if words is None or words.startswith(("top", "last")):
        return TOP_GEAR
    named = words.removesuffix(" gear")
    number = _ORDINALS.index(named) + 1 if named in _ORDINALS else int("".join(c for c in named if c.isdigit()))
    if not 1 <= number <= _MOST_GEARS:
        raise WishError(
            tr(
                "“{text}”: there is no gear {number}; say gear 1 to {most_gears}, or top gear",
                text=text,
                number=number,
                most_gears=_MOST_GEARS,
            )
        )
    return number


def _within(text: str, value: float, low: float, high: float, unit: str) -> None:
    if low <= value <= high:
        return
    named = f" {unit}" if unit else ""
    hint = tr("; leave out the thousands separator") if unit == "rpm" and 1000 * value <= high and value > 0 else ""
    bounds = tr("{low} to {high}{named}", low=shortest(low), high=shortest(high), named=named)
    raise WishError(
        tr(
            "“{text}”: {value}{named} can't be right: it can be {bounds}{hint}",
            text=text,
            value=shortest(value),
            named=named,
            bounds=bounds,
            hint=hint,
        )
    )


def _unknown(text: str) -> str:
    if not text:
        return tr("say what you want, such as {quoted}", quoted=_quoted(examples()[:3]))
    if len(text) > 200:
        return tr(
            "a text of {text} characters is no wish; say it like {quoted}",
            text=len(text),
            quoted=_quoted(examples()[:3]),
        )
    said = text.lower()
    known = {example: example for example in examples()}
    known |= {tr("keep the {part}", part=part): tr("keep the {part}", part=part) for part in PARTS} | {
        "rear at most 48": "rear at most 48"
    }
    nearest = max(known, key=lambda example: _likeness(said, example))
    others = [example for example in examples() if example != nearest][:3]
    return tr(
        "“{text}” is not understood; nearest is “{nearest}”, others are {quoted}",
        text=text,
        nearest=nearest,
        quoted=_quoted(tuple(others)),
    )


def _likeness(said: str, example: str) -> float:
    """How alike two texts are: by letters, with the words that both have counting most."""
    one, other = set(re.findall(r"[a-z]{3,}", said)), set(re.findall(r"[a-z]{3,}", example))
    shared = len(one & other) / max(len(one | other), 1)
    return shared + difflib.SequenceMatcher(None, said, example).ratio()


def _quoted(texts: tuple[str, ...]) -> str:
    return listed(f"“{text}”" for text in texts)
