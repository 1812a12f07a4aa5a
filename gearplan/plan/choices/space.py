"""Which sets are searched: ranges of teeth, links, chain sizes and tyres."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from gearplan.bike import checks, library
from gearplan.bike.profile import Bike, entry
from gearplan.bike.text.numbertext import NumberTextError, parse_whole
from gearplan.bike.tyresize import parse_tyre_size
from gearplan.language import tr
from gearplan.plan.choices.wishes import Wish

#: How far from the fitted teeth the search goes unless a range is given.
_FRONT_EACH_WAY, _REAR_EACH_WAY = 3, 10
_FRONTS, _REARS = (12, 18), (34, 56)
#: More sets than this are refused: nobody reads through the makers' whole catalogue at once.
MOST_SETS = 40_000


class SpaceError(ValueError):
    """A range that cannot be searched; the message says what would be right."""


@dataclass(frozen=True, slots=True)
class Space:
    """Front and rear teeth, chain sizes and tyres (None: the profile's own) to be combined.

    `links` are the (least, most) links that are allowed; None leaves them to what the adjuster takes.
    """

    fronts: tuple[int, ...]
    rears: tuple[int, ...]
    chains: tuple[str | None, ...]
    tyres: tuple[str | None, ...] = (None,)
    links: tuple[int, int] | None = None


def default_space(
    bike: Bike,
    *,
    fronts: tuple[int, int] | None = None,
    rears: tuple[int, int] | None = None,
    links: tuple[int, int] | None = None,
    chains: tuple[str, ...] = (),
    tyres: tuple[str, ...] = (),
) -> Space:
    """Teeth about the fitted ones, the fitted chain size and tyre, except for what is given.

    The fitted chain size and tyre stay among those given. SpaceError for a range that cannot be searched.
    """
    on = bike.final_drive
    sizes = dict.fromkeys((on.chain, *chains) if on.chain else chains or (None,))
    for name in chains:
        if name not in library.chain_sizes():
            raise SpaceError(
                tr("Chain size: {check_value}", check_value=checks.check_value("final_drive", "chain", name))
            )
    allowed: list[str | None] = [None]
    for tyre in tyres:
        if text := checks.check_value("tyre", "size", tyre):
            raise SpaceError(tr("Tyre: {text}", text=text))
        own = bike.tyre.size
        if own is None or parse_tyre_size(tyre) != parse_tyre_size(own):
            allowed.append(tyre)
    made = Space(
        _teeth("front", fronts, on.front, _FRONT_EACH_WAY, _FRONTS),
        _teeth("rear", rears, on.rear, _REAR_EACH_WAY, _REARS),
        tuple(sizes),
        tuple(dict.fromkeys(allowed)),
        links,
    )
    count = len(made.fronts) * len(made.rears) * len(made.chains) * len(made.tyres)
    if count > MOST_SETS:
        raise SpaceError(
            tr(
                "that makes {count} pairs of sprockets, more than {most_sets}: narrow the ranges",
                count=count,
                most_sets=MOST_SETS,
            )
        )
    return made


def with_sizes(space: Space, wishes: tuple[Wish, ...]) -> Space:
    """The same, with the chain sizes that wishes name."""
    wanted = (wish.size for wish in wishes if wish.kind == "size")
    return replace(space, chains=tuple(dict.fromkeys((*space.chains, *wanted))))


def parse_range(text: str) -> tuple[int, int]:
    """ "13-18", or one number; SpaceError for anything else, and for a range that is upside down."""
    match = re.fullmatch(r"\s*(\S+?)\s*(?:-|–|to|\.\.)\s*(\S+)\s*", text)
    ends = match.groups() if match else (text, text)
    try:
        low, high = (parse_whole(end) for end in ends)
    except NumberTextError as error:
        raise SpaceError(f"“{text.strip()}” is no range: {error}; write it like 13-18") from error
    if low > high:
        raise SpaceError(tr("the range {low}-{high} is upside down: write {high}-{low}", low=low, high=high))
    return low, high


def _teeth(
    key: str, given: tuple[int, int] | None, on: int | None, each_way: int, without: tuple[int, int]
) -> tuple[int, ...]:
    known = entry("final_drive", key)
    least, most = int(known.low), int(known.high)
    if given is not None:
        for end in given:
            if text := checks.check_value("final_drive", key, end):
                raise SpaceError(f"{known.label}: {text}")
        if given[0] > given[1]:
            raise SpaceError(
                tr(
                    "{label}: the range {given}-{given2} is upside down",
                    label=known.label,
                    given=given[0],
                    given2=given[1],
                )
            )
        return tuple(range(given[0], given[1] + 1))
    low, high = without if on is None else (on - each_way, on + each_way)
    return tuple(range(max(low, least), min(high, most) + 1))
