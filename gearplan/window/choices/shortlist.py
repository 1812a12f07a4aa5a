"""The short list as two lines a set: what it is with its verdict, and its trade-offs beneath."""

from __future__ import annotations

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from gearplan.bike.text.written import signed_percent
from gearplan.language import tr
from gearplan.plan.choices.search import Choice
from gearplan.plan.driveset import DriveSet
from gearplan.plan.words import VERDICT, chain_name, set_name, teeth
from gearplan.window.kit import theme
from gearplan.window.kit.plaintext import plain
from gearplan.window.kit.shapes import paint_verdict

_Index = QModelIndex | QPersistentModelIndex
_WRAP = int(Qt.TextFlag.TextWordWrap) | int(Qt.AlignmentFlag.AlignTop)


class ChoiceModel(QAbstractListModel):
    """The choices, the best first."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.choices: tuple[Choice, ...] = ()
        self.chosen: DriveSet | None = None

    def show_choices(self, choices: tuple[Choice, ...], chosen: DriveSet) -> None:
        """Take another list and the set that is proposed now."""
        self.chosen = chosen
        if choices != self.choices:
            self.beginResetModel()
            self.choices = choices
            self.endResetModel()

    def rowCount(self, _parent: _Index | None = None) -> int:
        """How many there are."""
        return len(self.choices)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """The words of a choice, for the screen reader too."""
        choice = self.choices[index.row()]
        words = f"{set_name(choice.set)}: {VERDICT[choice.level]}: {choice.line}"
        if role == Qt.ItemDataRole.DisplayRole:
            return words
        if role == Qt.ItemDataRole.ToolTipRole:
            return plain(
                words + (tr("\nSame gearing: {alike_words}", alike_words=alike_words(choice)) if choice.alike else "")
            )
        return None


def alike_words(choice: Choice) -> str:
    """The sets with the same gearing."""
    return ", ".join(
        tr("{teeth} with {links} links", teeth=teeth(s), links=s.links) if s.links else teeth(s) for s in choice.alike
    )


class ChoiceDelegate(QStyledItemDelegate):
    """Paints a choice; as high as its trade-offs need."""

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        """Draw one choice."""
        model = index.model()
        assert isinstance(model, ChoiceModel)
        choice, now = model.choices[index.row()], theme.current()
        rect = option.rect.adjusted(0, 0, 0, -1)
        proposed = choice.set == model.chosen
        painter.fillRect(rect, QColor(now.selected if proposed else now.surface))
        if proposed:
            painter.fillRect(rect.left(), rect.top(), theme.PICKED, rect.height(), QColor(now.accent))
        inner = rect.adjusted(theme.UNIT, theme.UNIT // 2, -theme.UNIT, -theme.UNIT // 2)
        head = QFontMetrics(theme.font(theme.TITLE, bold=True))
        top = QRect(inner.left(), inner.top(), inner.width(), head.lineSpacing())
        middle, right = Qt.AlignmentFlag.AlignVCenter, Qt.AlignmentFlag.AlignRight
        painter.setPen(QColor(now.text))
        painter.setFont(theme.font(theme.TITLE, bold=True))
        name = teeth(choice.set)
        painter.drawText(top, middle, name)
        left = head.horizontalAdvance(name) + 2 * theme.UNIT
        painter.setFont(theme.font(theme.SMALL))
        painter.setPen(QColor(now.quiet))
        rest = chain_name(choice.set) + (f"  {tr('proposed')}" if proposed else "")
        painter.drawText(top.adjusted(left, 0, -150, 0), middle, rest)
        side = 14
        painter.setPen(QColor(now.text))
        painter.setFont(theme.font(theme.BODY, bold=True))
        painter.drawText(
            top.adjusted(0, 0, -side - 2 * theme.UNIT, 0),
            middle | right,
            tr("rpm {change}", change=signed_percent(choice.revs)),
        )
        box = QRectF(top.right() - side, top.center().y() - side / 2, side, side)
        paint_verdict(painter, choice.level, box)
        painter.setFont(theme.font(theme.BODY))
        painter.setPen(QColor(now.text))
        below = QRect(inner.left(), top.bottom() + 2, inner.width(), inner.bottom() - top.bottom())
        painter.drawText(below, _WRAP, _told(choice))
        painter.setPen(QColor(now.line))
        painter.drawLine(rect.bottomLeft(), rect.bottomRight())
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(now.accent), 2))
            painter.drawRect(rect.adjusted(1, 1, -2, -2))

    def sizeHint(self, option: QStyleOptionViewItem, index: _Index) -> QSize:
        """As wide as the list, as high as the words."""
        model, view = index.model(), option.widget
        assert isinstance(model, ChoiceModel)
        wide = view.viewport().width() if isinstance(view, QListView) else option.rect.width()
        room = QRect(0, 0, max(wide - 2 * theme.UNIT, 100), 10_000)
        words = QFontMetrics(theme.font(theme.BODY)).boundingRect(room, _WRAP, _told(model.choices[index.row()]))
        head = QFontMetrics(theme.font(theme.TITLE, bold=True)).lineSpacing()
        return QSize(wide, head + words.height() + theme.UNIT + 6)


def _told(choice: Choice) -> str:
    """Its trade-offs, and the first of the sets with the same gearing; all of them stand in the tip."""
    words = choice.line[:1].upper() + choice.line[1:] + "."
    if not choice.alike:
        return words
    others = tr(" and {alike} more", alike=len(choice.alike) - 1) if len(choice.alike) > 1 else ""
    return tr("{words} Same gearing: {teeth}{others}.", words=words, teeth=teeth(choice.alike[0]), others=others)


class ChoiceList(QListView):
    """The list; `proposed` carries the set that was clicked or entered."""

    proposed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = ChoiceModel(self)
        self.setModel(self._model)
        self.setItemDelegate(ChoiceDelegate(self))
        self.setAccessibleName(tr("Sets that meet the wishes, the best first"))
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setFrameShape(QListView.Shape.NoFrame)

    def show_choices(self, choices: tuple[Choice, ...], chosen: DriveSet) -> None:
        """Show another list, with the proposed set marked."""
        self._model.show_choices(choices, chosen)
        self.viewport().update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Words wrap anew."""
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click proposes the set under the pointer."""
        super().mouseReleaseEvent(event)
        index = self.indexAt(event.position().toPoint())
        if event.button() == Qt.MouseButton.LeftButton and index.isValid():
            self.proposed.emit(self._model.choices[index.row()].set)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows walk the list, Enter or Space proposes."""
        index = self.currentIndex()
        if index.isValid() and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.proposed.emit(self._model.choices[index.row()].set)
            return
        super().keyPressEvent(event)
