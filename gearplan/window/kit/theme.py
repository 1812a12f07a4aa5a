"""The appearance as Qt wants it: palettes, fonts, the application's style sheet."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QFontInfo, QFontMetrics, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication, QWidget

from gearplan.bike.library import resource
from gearplan.sheet.appearance import (
    BODY,
    CONTRAST_DARK,
    CONTRAST_LIGHT,
    DARK,
    FAMILY,
    LARGE,
    LIGHT,
    SMALL,
    TITLE,
    UNIT,
    Theme,
)

__all__ = [
    "BODY",
    "CONTRAST_DARK",
    "CONTRAST_LIGHT",
    "DARK",
    "FAMILY",
    "LARGE",
    "LIGHT",
    "SMALL",
    "TITLE",
    "UNIT",
    "Theme",
]

_current = LIGHT
_scale = 1.0

#: Sizes of text that can be chosen, as shares of the usual.
SCALES = (0.8, 0.9, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5)
#: Desktops write in 9 to 11 points, unless somebody wants more: the largest of these, in device-independent pixels.
_USUAL_OF_DESKTOPS = 15


def scale() -> float:
    """How large text is, as a share of the usual."""
    return _scale


def set_scale(share: float) -> None:
    """Take another size of text, in proportion to what the desktop wants; `apply` dresses the application with it."""
    global _scale
    _scale = min(share * desktop_share(), SCALES[-1])


def desktop_share() -> float:
    """How much larger than usual the desktop's own font is; never smaller."""
    wanted = QFontInfo(QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont)).pixelSize()
    return max(wanted / _USUAL_OF_DESKTOPS, 1.0)


#: How high a control is that is used with a pointer, and one that is used at the bench or with a finger on the pages
#: that have the property "touch", at the usual size of text.
CONTROL, BENCH = 32, 40
#: How wide the bar is that marks what is picked in a list, at its left.
PICKED = 3
#: How thick a scroll bar is.
_BAR = 14


def px(usual: float) -> int:
    """A length on the screen that grows with the text, from its length at the usual size."""
    return round(usual * _scale)


def current() -> Theme:
    """The theme in use."""
    return _current


def wanted(choice: str) -> Theme:
    """The theme for a setting: "light", "dark", "contrast", or "system" (light where the desktop does not say).

    Of high contrast there is one for light and one for dark desktops; "system" takes it where the desktop asks for it.
    """
    dark = choice == "dark" or (choice != "light" and desktop_scheme() == Qt.ColorScheme.Dark)
    if choice == "contrast" or (choice == "system" and desktop_wants_contrast()):
        return CONTRAST_DARK if dark else CONTRAST_LIGHT
    return DARK if dark else LIGHT


def desktop_scheme() -> Qt.ColorScheme:
    """Whether the desktop is light or dark, if it says so."""
    return QGuiApplication.styleHints().colorScheme()


def desktop_wants_contrast() -> bool:
    """Whether the desktop asks for high contrast; older versions of Qt do not know."""
    hints = QGuiApplication.styleHints()
    if not hasattr(hints, "accessibility"):
        return False
    return hints.accessibility().contrastPreference() == Qt.ContrastPreference.HighContrast


def load_fonts() -> None:
    """Make the shipped type family known, so that text looks the same on a machine without fonts."""
    for name in ("Lato-Regular.ttf", "Lato-Bold.ttf"):
        QFontDatabase.addApplicationFontFromData(resource("fonts", name).read_bytes())


def font(size: int = BODY, *, bold: bool = False) -> QFont:
    """A font of the one family at the chosen size of text; `size` is one of the type scale."""
    return _font(px(size), bold)


def exact_font(pixels: int, *, bold: bool = False) -> QFont:
    """A font of so many pixels, whatever size of text is chosen: for what is drawn as large as its place allows."""
    return _font(pixels, bold)


def metrics(size: int = BODY, *, bold: bool = False) -> QFontMetrics:
    """What text in such a font measures."""
    return _metrics(px(size), bold)


@lru_cache(maxsize=32)
def _font(pixels: int, bold: bool) -> QFont:
    made = QFont(FAMILY)
    made.setPixelSize(pixels)
    made.setBold(bold)
    return made


@lru_cache(maxsize=32)
def _metrics(pixels: int, bold: bool) -> QFontMetrics:
    return QFontMetrics(_font(pixels, bold))


def apply(app: QApplication, theme: Theme) -> None:
    """Set colours and fonts of the whole application; widgets that paint themselves ask `current()`."""
    global _current
    _current = theme
    app.setFont(font())
    app.setPalette(_palette(theme))
    app.setPalette(_slider_palette(theme), "QSlider")  # type: ignore[arg-type]
    for window in app.topLevelWidgets():
        if window.parent() is None and window.styleSheet():
            dress(window)


def dress(window: QWidget) -> None:
    """Give a window of its own, and all that will ever stand in it or before it, the style sheet in use.

    The sheet is not the application's: each widget would be styled anew whenever what it stands in is put into
    something else, and a page took twice as long to make.
    """
    window.setStyleSheet(_sheet(_current))


def _palette(theme: Theme) -> QPalette:
    palette = QPalette()
    role = QPalette.ColorRole
    for which, colour in (
        (role.Window, theme.window),
        (role.WindowText, theme.text),
        (role.Base, theme.surface),
        (role.AlternateBase, theme.raised),
        (role.Text, theme.text),
        (role.PlaceholderText, theme.quiet),
        (role.Button, theme.raised),
        (role.ButtonText, theme.text),
        (role.BrightText, theme.on_accent),
        (role.Highlight, theme.accent),
        (role.HighlightedText, theme.on_accent),
        (role.Link, theme.accent),
        (role.ToolTipBase, theme.surface),
        (role.ToolTipText, theme.text),
        (role.Light, theme.surface),
        (role.Midlight, theme.raised),
        (role.Mid, theme.line),
        (role.Dark, theme.quiet),
    ):
        palette.setColor(which, QColor(colour))
    for which in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, which, QColor(theme.quiet))
    return palette


def _slider_palette(theme: Theme) -> QPalette:
    """The style paints handle and groove in the colour of buttons, which is hardly told from the ground."""
    palette = _palette(theme)
    palette.setColor(QPalette.ColorRole.Button, QColor(theme.quiet))
    return palette


def _sheet(theme: Theme) -> str:
    check, arrow = (
        str(resource("icons", f"{name}-{'dark' if theme.dark else 'light'}.svg")).replace("\\", "/")
        for name in ("check", "arrow")
    )
    return f"""
    QToolTip {{ background: {theme.surface}; color: {theme.text}; border: 1px solid {theme.line}; }}
    QFrame[card="true"] {{ background: {theme.surface}; border: 1px solid {theme.line}; border-radius: 6px; }}
    QLabel[role="quiet"] {{ color: {theme.quiet}; }}
    QLabel[role="small"] {{ color: {theme.quiet}; font-size: {px(SMALL)}px; }}
    QLabel[role="note"] {{ font-size: {px(SMALL)}px; }}
    QLabel[role="title"] {{ font-size: {px(TITLE)}px; font-weight: bold; }}
    QLabel[role="bench"] {{ font-size: {px(TITLE)}px; }}
    QLabel[role="large"] {{ font-size: {px(LARGE)}px; font-weight: bold; }}
    QLabel[role="error"] {{ color: {theme.refuse}; font-size: {px(SMALL)}px; }}
    QLineEdit {{ placeholder-text-color: {theme.quiet}; background: {theme.surface}; color: {theme.text};
        border: 1px solid {theme.quiet}; border-radius: 4px; padding: 3px 6px; min-height: {px(CONTROL) - 8}px; }}
    QLineEdit:focus {{ border: 2px solid {theme.accent}; padding: 2px 5px; }}
    QLineEdit[wrong="true"] {{ border: 2px solid {theme.refuse}; padding: 2px 5px; }}
    QPushButton, QToolButton[plain="true"] {{ background: {theme.raised}; color: {theme.text};
        border: 1px solid {theme.edge}; border-radius: 4px; padding: 4px 10px; min-height: {px(CONTROL) - 10}px; }}
    QComboBox {{ background: {theme.raised}; color: {theme.text}; border: 1px solid {theme.edge}; border-radius: 4px;
        padding: 1px 0px 1px 6px; min-height: {px(CONTROL) - 4}px; }}
    QComboBox:hover {{ border-color: {theme.accent}; }}
    QComboBox:focus {{ border: 2px solid {theme.accent}; padding: 0px 0px 0px 5px; }}
    QComboBox:disabled {{ color: {theme.quiet}; background: transparent; }}
    QComboBox::drop-down {{ border: none; width: {px(20)}px; }}
    QComboBox::down-arrow {{ image: url("{arrow}"); width: {px(12)}px; height: {px(12)}px; }}
    QPlainTextEdit, QTextEdit {{ background: {theme.surface}; border: 1px solid {theme.quiet}; border-radius: 4px; }}
    QPlainTextEdit:focus, QTextEdit:focus {{ border-color: {theme.accent}; }}
    *[touch="true"] QLineEdit {{ min-height: {px(BENCH) - 8}px; }}
    *[touch="true"] QPushButton {{ min-height: {px(BENCH) - 10}px; }}
    *[touch="true"] QComboBox {{ min-height: {px(BENCH) - 4}px; }}
    *[touch="true"] QTabBar::tab {{ padding: {px(12)}px {px(9)}px {px(11)}px {px(9)}px; }}
    QMenuBar {{ background: {theme.window}; }}
    QMenuBar::item {{ background: transparent; padding: {px(5)}px {px(9)}px; }}
    QMenuBar::item:selected {{ background: {theme.selected}; }}
    QPushButton[slim="true"] {{ padding: 0px 10px; min-height: {px(20)}px; }}
    QPushButton[slim="true"]:focus {{ padding: 0px 9px; }}
    *[bench="true"] {{ font-size: {px(TITLE)}px; min-height: {px(BENCH) - 8}px; }}
    QPushButton[bench="true"] {{ min-height: {px(BENCH) - 10}px; }}
    *[bench="unit"] {{ min-height: {px(BENCH) - 10}px; }}
    QPushButton:hover, QToolButton[plain="true"]:hover {{ border-color: {theme.accent}; }}
    QPushButton:focus, QToolButton[plain="true"]:focus {{ border: 2px solid {theme.accent};
        padding: 3px 9px; }}
    QPushButton:checked {{ background: {theme.selected}; border-color: {theme.accent}; font-weight: bold; }}
    QPushButton[figure="true"] {{ background: transparent; border: 1px solid transparent; padding: 2px 6px;
        min-height: {px(20)}px; font-size: {px(TITLE)}px; }}
    QPushButton[figure="true"]:hover {{ border-color: {theme.accent}; }}
    QPushButton[figure="true"]:focus {{ border: 2px solid {theme.accent}; padding: 1px 5px; }}
    QPushButton:disabled {{ color: {theme.quiet}; background: transparent; }}
    QPushButton[primary="true"]:enabled {{ background: {theme.accent}; color: {theme.on_accent};
        border-color: {theme.accent}; font-weight: bold; }}
    QPushButton[primary="true"]:enabled:hover {{ border: 2px solid {theme.text}; padding: 3px 9px; }}
    QPushButton[primary="true"]:enabled:focus {{ border: 4px double {theme.on_accent}; padding: 1px 7px; }}
    QTabWidget::pane {{ border: none; border-top: 1px solid {theme.line}; }}
    QTabBar::tab {{ background: transparent; color: {theme.quiet}; border: none;
        border-bottom: 3px solid transparent; padding: {px(5)}px {px(9)}px {px(4)}px {px(9)}px; }}
    QTabBar::tab:selected {{ color: {theme.text}; border-bottom-color: {theme.accent}; }}
    QTabBar::tab:hover:!selected {{ color: {theme.text}; border-bottom-color: {theme.line}; }}
    QTabBar::tab:selected:focus {{ background: {theme.selected}; }}
    QTabBar::tab:disabled {{ color: {theme.edge}; }}
    QCheckBox::indicator {{ width: {px(14)}px; height: {px(14)}px; border: 1px solid {theme.quiet}; border-radius: 3px;
        background: {theme.surface}; }}
    QCheckBox::indicator:checked {{ background: {theme.accent}; border-color: {theme.accent}; image: url("{check}"); }}
    QCheckBox:focus {{ text-decoration: underline; }}
    QCheckBox:disabled {{ color: {theme.quiet}; }}
    QListWidget#rail {{ background: {theme.window}; border: none; outline: none; }}
    QListWidget#rail::item {{ padding: {px(10)}px {px(12)}px; border-left: 4px solid transparent;
        color: {theme.text}; }}
    QListWidget#rail::item:selected {{ background: {theme.selected}; border-left-color: {theme.accent};
        color: {theme.text}; font-weight: bold; }}
    QTableView {{ background: {theme.surface}; border: none; gridline-color: {theme.line}; }}
    QTableCornerButton::section {{ background: {theme.surface}; border: none;
        border-bottom: 1px solid {theme.line}; }}
    QHeaderView {{ background: {theme.surface}; }}
    QHeaderView::section {{ background: {theme.surface}; color: {theme.quiet}; border: none;
        border-bottom: 1px solid {theme.line}; padding: 2px 6px; font-size: {px(SMALL)}px; }}
    QScrollArea {{ border: none; background: transparent; }}
    QScrollBar {{ background: {theme.raised}; border: none; margin: 0px; }}
    QScrollBar:vertical {{ width: {_BAR}px; }}
    QScrollBar:horizontal {{ height: {_BAR}px; }}
    QScrollBar::handle {{ background: {theme.edge}; border-radius: 4px; margin: 3px; }}
    QScrollBar::handle:hover {{ background: {theme.quiet}; }}
    QScrollBar::handle:vertical {{ min-height: {px(24)}px; }}
    QScrollBar::handle:horizontal {{ min-width: {px(24)}px; }}
    QScrollBar::add-line, QScrollBar::sub-line {{ width: 0px; height: 0px; }}
    QScrollBar::add-page, QScrollBar::sub-page {{ background: none; }}
    QSplitter::handle {{ background: {theme.window}; }}
    """
