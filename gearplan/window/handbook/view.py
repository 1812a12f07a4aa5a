"""The handbook's window: words to look for, the sections that hold them, and the chapter at the section at hand."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QEvent, QRect, Qt, QUrl
from PySide6.QtGui import (
    QColor,
    QImage,
    QKeyEvent,
    QPainter,
    QResizeEvent,
    QShortcut,
    QShowEvent,
    QTextBlock,
    QTextBlockFormat,
    QTextCursor,
    QTextDocument,
)
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from gearplan.language import tr
from gearplan.sheet.handbook import chapters
from gearplan.window.kit import theme
from gearplan.window.kit.plaintext import PlainLabel

_SIZE, _LIST = (980, 720), 300
#: A line of text is read easily up to so many characters; a picture has the same width.
_CHARACTERS = 78
#: In the browser's margin at either side.
_MARGIN = 2 * theme.UNIT
#: Of the headings in Markdown, that of a section; and the height of a line in per cent of the usual.
_SECTION, _LINE_HEIGHT = 2, 118.0
#: What stands in a text for a picture.
_PICTURE = "\N{OBJECT REPLACEMENT CHARACTER}"


class HandbookText(QTextBrowser):
    """One chapter; its pictures are as wide as its lines."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(tr("Chapter of the handbook"))
        self.setOpenExternalLinks(False)
        self.setOpenLinks(False)
        self._shown: chapters.Chapter | None = None
        self._heading = ""

    def show_at(self, chapter: chapters.Chapter, heading: str) -> None:
        """Show a chapter with one of its headings at the top."""
        if chapter is not self._shown:
            self._shown = chapter
            self.document().setDefaultFont(theme.font(theme.BODY))
            self.document().setDocumentMargin(theme.px(_MARGIN))
            self.setMarkdown(chapter.text)
            self._space()
        self._heading = heading
        self._go_to(heading)

    def loadResource(self, kind: int, name: QUrl | str) -> object:
        """A picture of the handbook, no wider than the lines; nothing from anywhere else."""
        if kind != int(QTextDocument.ResourceType.ImageResource.value):
            return None
        named = name.toString() if isinstance(name, QUrl) else name
        try:
            image = QImage.fromData(chapters.picture(named))
        except FileNotFoundError:
            return None
        ratio = self.devicePixelRatioF()
        wide = min(self._line(), self.viewport().width() - 3 * theme.px(_MARGIN))
        scaled = image.scaledToWidth(round(max(wide, 100) * ratio), Qt.TransformationMode.SmoothTransformation)
        _frame(scaled)
        scaled.setDevicePixelRatio(ratio)
        return scaled

    def showEvent(self, event: QShowEvent) -> None:
        """Only now is it known how wide the lines are."""
        super().showEvent(event)
        self._go_to(self._heading)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Lines stay short in a wide window."""
        super().resizeEvent(event)
        spare = max(self.width() - self._line() - 4 * theme.px(_MARGIN), 0)
        self.setViewportMargins(0, 0, spare, 0)

    def changeEvent(self, event: QEvent) -> None:
        """Text of another size is set anew."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange and self._shown is not None:
            shown, self._shown = self._shown, None
            self.show_at(shown, "")

    def _line(self) -> int:
        return theme.metrics(theme.BODY).averageCharWidth() * _CHARACTERS

    def _go_to(self, heading: str) -> None:
        found = (block for block in self._blocks() if block.blockFormat().headingLevel() == _SECTION)
        top = 0.0
        for block in found:
            if block.text().strip() == heading:
                self.setTextCursor(QTextCursor(block))
                top = self.document().documentLayout().blockBoundingRect(block).top()
        self.verticalScrollBar().setValue(round(top) - theme.px(theme.UNIT))

    def _blocks(self) -> Iterator[QTextBlock]:
        block = self.document().begin()
        while block.isValid():
            yield block
            block = block.next()

    def _space(self) -> None:
        """Air between paragraphs and lines, more above a heading."""
        for block in self._blocks():
            format_ = block.blockFormat()
            if block.text() != _PICTURE:
                format_.setLineHeight(_LINE_HEIGHT, int(QTextBlockFormat.LineHeightTypes.ProportionalHeight.value))
            heading = format_.headingLevel() > 0
            format_.setTopMargin(theme.px(2 * theme.UNIT if heading else 0))
            format_.setBottomMargin(theme.px(theme.UNIT // 2 if block.textList() is not None else theme.UNIT))
            QTextCursor(block).setBlockFormat(format_)


def _frame(picture: QImage) -> None:
    """A line round a picture: where the page is as light as the picture its edge is not seen."""
    painter = QPainter(picture)
    painter.setPen(QColor(theme.current().quiet))
    painter.drawRect(QRect(0, 0, picture.width() - 1, picture.height() - 1))
    painter.end()


class Handbook(QWidget):
    """A window beside the work; Escape closes it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, Qt.WindowType.Window)
        self.setWindowTitle(tr("Gearplan handbook"))
        self.resize(theme.px(_SIZE[0]), theme.px(_SIZE[1]))
        self.words = QLineEdit()
        self.words.setPlaceholderText(tr("Any words, such as adjuster wear"))
        self.words.setClearButtonEnabled(True)
        label = PlainLabel(tr("&Looking for"))
        label.setBuddy(self.words)
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Sections of the handbook"))
        self.list.setWordWrap(True)
        self.none = PlainLabel(tr("No section holds all of these words."))
        self.none.setWordWrap(True)
        self.text = HandbookText()
        left = QWidget()
        left.setFixedWidth(theme.px(_LIST))
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        for part in (label, self.words, self.none, self.list):
            column.addWidget(part)
        row = QHBoxLayout(self)
        row.addWidget(left)
        row.addWidget(self.text, 1)
        self.words.textChanged.connect(self._look_for)
        self.words.returnPressed.connect(self.list.setFocus)
        self.list.currentItemChanged.connect(self._at_hand)
        QShortcut("Ctrl+F", self, self._to_the_words)
        self._look_for("")

    def open_at(self, chapter: str, heading: str) -> None:
        """Come to the front with a section; the words that were looked for go."""
        self.words.clear()
        for at in range(self.list.count()):
            item = self.list.item(at)
            if item.data(Qt.ItemDataRole.UserRole) == (chapter, heading):
                self.list.setCurrentItem(item)
        self.show()
        self.raise_()
        self.activateWindow()
        self.list.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape closes the window."""
        if event.key() == Qt.Key.Key_Escape:
            self.close()
            return
        super().keyPressEvent(event)

    def _to_the_words(self) -> None:
        self.words.setFocus()
        self.words.selectAll()

    def _look_for(self, words: str) -> None:
        before = self.list.currentItem()
        kept = before.data(Qt.ItemDataRole.UserRole) if before is not None else None
        found = chapters.sections_with(words)
        titles = {chapter.name: chapter.title for chapter in chapters.chapters()}
        self.list.clear()
        last = ""
        for section in found:
            if section.chapter != last:
                last = section.chapter
                head = QListWidgetItem(titles[last], self.list)
                head.setFlags(Qt.ItemFlag.NoItemFlags)
                head.setFont(theme.font(theme.BODY, bold=True))
                head.setForeground(self.palette().windowText())
            item = QListWidgetItem(f"   {section.title}", self.list)
            item.setData(Qt.ItemDataRole.UserRole, (section.chapter, section.title))
            if (section.chapter, section.title) == kept:
                self.list.setCurrentItem(item)
        self.none.setVisible(not found)
        if self.list.currentItem() is None and found:
            self.list.setCurrentRow(1)

    def _at_hand(self, item: QListWidgetItem | None) -> None:
        if item is None or item.data(Qt.ItemDataRole.UserRole) is None:
            return
        name, heading = item.data(Qt.ItemDataRole.UserRole)
        chapter = next(chapter for chapter in chapters.chapters() if chapter.name == name)
        self.text.show_at(chapter, heading)
