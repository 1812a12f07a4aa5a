"""Tabs that become pages beside one another where there is room, and tabs again where there is none."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from gearplan.window.kit import theme
from gearplan.window.kit.places.tabs import Leaf, Spread


@pytest.fixture
def pages() -> dict[str, QLineEdit]:
    return {name: QLineEdit() for name in ("First", "Second", "Third", "Fourth")}


def spread(pages: dict[str, QLineEdit], *, alone: bool = False) -> Spread:
    made = Spread([Leaf(name, page, 400, 480, alone and name == "First") for name, page in pages.items()])
    made.show()
    return made


def sized(made: Spread, wide: int, high: int) -> tuple[str, ...]:
    made.resize(wide, high)
    QApplication.processEvents()
    return made.in_sight()


def test_little_room_has_tabs_alone(qapp: QApplication, pages: dict[str, QLineEdit]) -> None:
    theme.apply(qapp, theme.LIGHT)
    made = spread(pages)
    assert sized(made, 600, 500) == ("First",)
    assert made.tabs.count() == 4
    made.show_page("Third")
    assert made.in_sight() == ("Third",)


def test_more_room_shows_more_at_once(qapp: QApplication, pages: dict[str, QLineEdit]) -> None:
    theme.apply(qapp, theme.LIGHT)
    made = spread(pages)
    # Two below one another, the others behind tabs below them or beside.
    assert sized(made, 600, 900) == ("First", "Second")
    assert [made.tabs.tabText(k) for k in range(made.tabs.count())] == ["Second", "Third", "Fourth"]
    assert sized(made, 1000, 900) == ("First", "Second", "Third", "Fourth")
    assert not made.tabs.isVisible()
    assert all(page.isVisible() for page in pages.values())


def test_a_page_shows_itself_wherever_it_stands(qapp: QApplication, pages: dict[str, QLineEdit]) -> None:
    theme.apply(qapp, theme.LIGHT)
    made = spread(pages)
    sized(made, 600, 900)
    made.show_page("First")
    made.show_page("Fourth")
    assert made.in_sight() == ("First", "Fourth")


def test_pages_can_be_kept_together_and_their_tabs_shut(qapp: QApplication, pages: dict[str, QLineEdit]) -> None:
    theme.apply(qapp, theme.LIGHT)
    made = spread(pages)
    made.keep_together(True)
    assert sized(made, 1000, 900) == ("First",)
    made.keep_together(False)
    assert made.in_sight() == tuple(pages)
    # Said of a page that has a place of its own, it holds when the page is behind a tab again.
    made.enable("Second", False)
    sized(made, 600, 500)
    assert [made.tabs.isTabEnabled(k) for k in range(4)] == [True, False, True, True]
    made.enable("Second", True)
    assert made.tabs.isTabEnabled(1)


def test_what_was_typed_and_the_focus_survive(qapp: QApplication, pages: dict[str, QLineEdit]) -> None:
    theme.apply(qapp, theme.LIGHT)
    made = spread(pages)
    sized(made, 600, 500)
    made.activateWindow()
    pages["First"].setFocus()
    pages["First"].setText("half an entry")
    sized(made, 1000, 900)
    assert pages["First"].text() == "half an entry"
    assert QApplication.focusWidget() is pages["First"]
    assert sized(made, 600, 500) == ("First",)
    assert [made.tabs.tabText(k) for k in range(made.tabs.count())] == list(pages)
    assert QApplication.focusWidget() is pages["First"]


def test_one_that_stands_alone_has_a_column_to_itself(qapp: QApplication, pages: dict[str, QLineEdit]) -> None:
    theme.apply(qapp, theme.LIGHT)
    made = spread(pages, alone=True)
    sized(made, 1000, 900)

    def left(page: QWidget) -> int:
        return page.mapTo(made, page.rect().topLeft()).x()

    assert left(pages["Second"]) > left(pages["First"])
    assert made.in_sight() == ("First", "Second", "Third")


def test_it_can_be_made_small_again(qapp: QApplication, pages: dict[str, QLineEdit]) -> None:
    theme.apply(qapp, theme.LIGHT)
    made = spread(pages)
    least = made.minimumSizeHint()
    sized(made, 1000, 900)
    assert made.minimumSizeHint().width() <= max(least.width(), made.tabs.minimumSizeHint().width())
    assert made.minimumSizeHint().height() < 500
