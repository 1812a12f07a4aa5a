"""The first set that is proposed for one wish, to whoever has not asked for more yet."""

from __future__ import annotations

from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock
from gearplan.plan.choices.search import search
from gearplan.plan.choices.space import default_space
from gearplan.plan.choices.wishtext import parse_wish
from gearplan.plan.driveset import DriveSet


def first_proposal(bike: Bike, words: str, stock: Stock | None = None) -> DriveSet | None:
    """The best set for a wish in words ("calmer") about the fitted one; None where none meets it or can be judged.

    Raises WishError for words that are no wish.
    """
    answer = search(bike, (parse_wish(words),), default_space(bike), stock=stock, most=1)
    return None if answer.unjudged or not answer.ranked else answer.ranked[0].set
