"""What the shop has or can get: sprockets and chains with quantity, price and article number."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

Key = tuple[str, str, int]


@dataclass(frozen=True, slots=True)
class StockItem:
    """One part: chain size, side, teeth (or links), how many are there (0: can be got), and its price if known.

    `number` is the shop's or the maker's article number, empty where none is listed.
    """

    chain_size: str
    side: str
    teeth: int
    quantity: int
    price: float | None = None
    number: str = ""

    @property
    def key(self) -> Key:
        """What makes a part: size, side, teeth."""
        return (self.chain_size, self.side, self.teeth)


@dataclass(frozen=True)
class Stock:
    """A stock list; `currency` is that of its prices, empty where none is named: the shop's own."""

    items: tuple[StockItem, ...] = ()
    currency: str = ""

    def in_currency(self, currency: str) -> Stock:
        """The list where no other currency than this is named."""
        return self if self.currency or not currency else replace(self, currency=currency)

    def without_prices(self) -> Stock:
        """The same parts, none with a price."""
        return replace(self, items=tuple(replace(item, price=None) for item in self.items))

    @cached_property
    def by_key(self) -> dict[Key, StockItem]:
        """The items by what they are."""
        return {item.key: item for item in self.items}

    @cached_property
    def chains(self) -> dict[str, tuple[StockItem, ...]]:
        """The chains of each size, the shortest first."""
        found: dict[str, list[StockItem]] = {}
        for item in self.items:
            if item.side == "chain":
                found.setdefault(item.chain_size, []).append(item)
        return {size: tuple(sorted(items, key=lambda item: item.teeth)) for size, items in found.items()}

    def part(self, chain_size: str | None, side: str, teeth: int | None) -> StockItem | None:
        """The listed part; None where it is not listed."""
        return self.by_key.get((chain_size or "", side, teeth or 0))

    def chain_for(self, chain_size: str | None, links: int, *, there: bool = False) -> StockItem | None:
        """The shortest chain that is long enough, for it can be cut; `there` asks for one in stock."""
        listed = self.chains.get(chain_size or "", ())
        return next((i for i in listed if i.teeth >= links and (i.quantity > 0 or not there)), None)
