"""The wishes as rows of words with fields in them, each of which can be changed or taken away."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from gearplan.bike import library
from gearplan.language import tr
from gearplan.plan.choices.wishes import BOUNDS, KINDS, PARTS, TOP_GEAR, Wish, gear_words
from gearplan.plan.words import Speed
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ChoiceField, ErrorLabel
from gearplan.window.kit.controls.numberfield import NumberField
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import fixed_width
from gearplan.window.kit.plaintext import PlainLabel

_MOST_GEARS = 8

#: What stands in a row of each kind: words, and the fields of `Wish` in braces.
_ROWS: dict[str, str] = {
    "engine speed": tr("at|{speed}|in|{gear}|{bound}|{value}|rpm"),
    "reach": tr("{gear}|reaches|{bound}|{speed}"),
    "top speed": tr("top speed|{bound}|{speed}"),
    "pull": tr("pull|{bound}|{value}|%"),
    "keep": tr("keep the|{part}"),
    "size": tr("{size}|chain"),
    "ratio": tr("ratio|{bound}|{value}"),
    "same ratio": tr("same ratio within|{value}|%"),
    "cost": tr("cost at most|{value}"),
    "wheelbase": tr("wheelbase within|{value}|mm"),
    "start": tr("start on|{value}|% with|{load_kg}|kg on board"),
}


def _pieces(wish: Wish) -> list[str]:
    side = tr(wish.part.removesuffix(" sprocket"))
    if wish.kind == "pull" and wish.speed is not None:
        row = tr("pull at|{speed}|in|{gear}|{bound}|{value}|%")
    elif wish.kind == "teeth":
        row = f"{side}|{{bound}}|{{value}}|{tr('teeth')}"
    elif wish.kind == "tooth":
        row = f"{side}|{{value}}|{tr('teeth against fitted')}"
    elif wish.kind == "calmer" and wish.value is not None:
        row = tr("calmer by|{bound}|{value}|%")
    elif wish.kind == "livelier" and wish.value is not None:
        row = tr("livelier by|{bound}|{value}|%")
    else:
        row = _ROWS.get(wish.kind, wish.told)
    return row.split("|")


class WishRow(QWidget):
    """One wish; `changed` carries (the wish before, the wish after), None for one that is taken away."""

    changed = Signal(object, object)

    def __init__(self, wish: Wish, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.wish = wish
        self.setAccessibleName(wish.told)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        row = Flow(spacing=theme.UNIT // 2)
        self.errors = ErrorLabel()
        self.fields: dict[str, QWidget] = {}
        for piece in _pieces(wish):
            if not piece.startswith("{"):
                row.addWidget(PlainLabel(piece))
                continue
            name = piece.strip("{}")
            field = self._field(name)
            field.setAccessibleName(f"{KINDS[wish.kind].title}: {tr(name.removesuffix('_kg'))}")
            self.fields[name] = field
            row.addWidget(field)
            if name == "speed" and wish.speed is not None:
                row.addWidget(PlainLabel(wish.speed.unit))
        row.push()
        self.away = QPushButton(tr("Remove"))
        self.away.setAccessibleName(tr("Remove the wish “{words}”", words=wish.told))
        self.away.clicked.connect(self._removed)
        row.addWidget(self.away)
        column.addLayout(row)
        self.note = PlainLabel()
        self.note.setProperty("role", "small")
        self.note.setWordWrap(True)
        self.note.hide()
        column.addWidget(self.errors)
        column.addWidget(self.note)

    @property
    def whole(self) -> bool:
        """Whether every number of the wish is there and can be read."""
        return all(field.value is not None for field in self.fields.values() if isinstance(field, NumberField))

    def say(self, text: str) -> None:
        """A word about this wish, such as why it cannot be judged."""
        self.note.setText(text)
        self.note.setVisible(bool(text))

    def _field(self, name: str) -> QWidget:
        wish, kind = self.wish, KINDS[self.wish.kind]
        if name in ("value", "speed", "load_kg"):
            low, high = {"speed": (1.0, 600.0), "load_kg": (0.0, 1000.0)}.get(name, (kind.low, kind.high))
            speed_unit = "km/h" if wish.speed is None else wish.speed.unit
            number = NumberField(
                partial(_refusal, low, high),
                unit={"speed": speed_unit, "load_kg": "kg"}.get(name, kind.unit),
                whole=kind.whole and name == "value",
                step=1,
                patient=True,
                as_said=True,
            )
            fixed_width(number, 56)
            number.errors = self.errors
            shown = wish.speed.value if name == "speed" and wish.speed is not None else getattr(wish, name)
            # A tooth count is a whole number, also as it is typed.
            number.show_number(int(shown) if kind.whole and name == "value" else shown)
            number.setObjectName(name)
            number.entered.connect(self._number_entered)
            return number
        words = {
            "bound": BOUNDS,
            "gear": tuple(gear_words(gear) for gear in range(TOP_GEAR, _MOST_GEARS + 1)),
            "part": PARTS,
            "size": tuple(library.chain_sizes()),
        }[name]
        choice = ChoiceField(words)
        # Every wish has one of the words; there is no "none".
        choice.removeItem(0)
        choice.show_choice(gear_words(wish.gear) if name == "gear" else getattr(wish, name))
        choice.setObjectName(name)
        choice.entered.connect(self._word_entered)
        return choice

    def _number_entered(self, value: object) -> None:
        name = self.sender().objectName()
        if not isinstance(value, (int, float)):
            # A wish without its number asks for nothing until there is one again.
            self.changed.emit(self.wish, self.wish)
        elif name == "speed":
            unit = "km/h" if self.wish.speed is None else self.wish.speed.unit
            self._tell(replace(self.wish, speed=Speed(float(value), unit)))
        elif name == "value":
            self._tell(replace(self.wish, value=float(value)))
        else:
            self._tell(replace(self.wish, load_kg=float(value)))

    def _word_entered(self, word: object) -> None:
        name = self.sender().objectName()
        if name == "gear":
            gears = {gear_words(gear): gear for gear in range(TOP_GEAR, _MOST_GEARS + 1)}
            self._tell(replace(self.wish, gear=gears[str(word)]))
        elif name == "size":
            self._tell(replace(self.wish, size=str(word)))
        elif name == "bound":
            self._tell(replace(self.wish, bound="at most" if word == "at most" else "at least"))
        else:
            self._tell(replace(self.wish, part=next(part for part in PARTS if part == word)))

    def _tell(self, wish: Wish) -> None:
        before, self.wish = self.wish, wish
        self.setAccessibleName(wish.told)
        self.changed.emit(before, wish)

    def _removed(self) -> None:
        self.changed.emit(self.wish, None)


class WishRows(QWidget):
    """All wishes; `changed` after every change of any."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(theme.UNIT // 2)
        self.rows: list[WishRow] = []

    @property
    def wishes(self) -> tuple[Wish, ...]:
        """The wishes as they stand, without those whose number is missing."""
        return tuple(dict.fromkeys(row.wish for row in self.rows if row.whole))

    def add(self, wishes: tuple[Wish, ...]) -> None:
        """Add those that are not there yet."""
        known = {row.wish for row in self.rows}
        fresh = [wish for wish in wishes if wish not in known]
        for wish in fresh:
            row = WishRow(wish)
            row.changed.connect(self._row_changed)
            self.rows.append(row)
            self._column.addWidget(row)
        if fresh:
            self.changed.emit()

    def show_wishes(self, wishes: tuple[Wish, ...]) -> None:
        """Show these alone."""
        for row in self.rows:
            self._drop(row)
        self.rows.clear()
        self.add(wishes)

    def remove(self, wish: Wish) -> None:
        """Take a wish away."""
        for row in [row for row in self.rows if row.wish == wish]:
            self.rows.remove(row)
            self._drop(row)
        self.changed.emit()

    def _drop(self, row: WishRow) -> None:
        self._column.removeWidget(row)
        row.hide()
        # The button that was pressed sits in the row, so the row goes once its event is over.
        row.deleteLater()

    def focus_last(self) -> None:
        """Put the focus into the first field of the last wish."""
        if self.rows and self.rows[-1].fields:
            next(iter(self.rows[-1].fields.values())).setFocus(Qt.FocusReason.OtherFocusReason)

    def _row_changed(self, before: Wish, after: Wish | None) -> None:
        if after is None:
            self.remove(before)
        else:
            self.changed.emit()


def _refusal(low: float, high: float, value: float) -> str | None:
    return (
        None
        if low <= value <= high
        else tr("{value:g} can't be right; expected {low:g} to {high:g}", value=value, low=low, high=high)
    )
