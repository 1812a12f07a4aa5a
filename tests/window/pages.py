"""Going through the pages of a window as somebody does who looks at all of them."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtWidgets import QTabWidget

from gearplan.window.frame.pagehost import PAGES
from gearplan.window.frame.workbench import Workbench


def each_tab(window: Workbench) -> Iterator[str]:
    """Turn to each tab of each page in turn; the name of where one is. Who looks lets the events be done first."""
    for name in PAGES:
        window.show_page(name)
        tabs = window.page(name).findChildren(QTabWidget)
        for tab in range(tabs[0].count() if tabs else 1):
            if tabs and not tabs[0].isTabVisible(tab):
                continue
            if tabs:
                tabs[0].setCurrentIndex(tab)
            yield f"{name}, tab {tab + 1}"
