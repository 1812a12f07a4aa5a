"""What the shop says of itself once, for every page that is printed, and what its quotes rest on."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike.text.numbertext import NumberTextError
from gearplan.language import tr
from gearplan.plan.quote.terms import LABELS, USUAL_DAYS, refusal
from gearplan.sheet.shop import PAPERS, address_lines, logo_bytes
from gearplan.window.frame.settings import SPEED_UNITS, Settings
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel, ValueField, labelled
from gearplan.window.kit.controls.tickbox import TickBox
from gearplan.window.kit.places.layout import fixed_height, fixed_width, least_width
from gearplan.window.kit.plaintext import PlainLabel

_LETTERS = {
    "currency": tr("C&urrency"),
    "tax_percent": tr("&Tax, %"),
    "hour_price": tr("La&bour, each hour"),
    "valid_days": tr("&Quotes are valid for, days"),
}


class ShopDialog(QDialog):
    """Asks for all of it; `changed` gives the settings with what was entered. Nothing odd is taken, nor lost."""

    def __init__(self, now: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Shop and paper"))
        column = QVBoxLayout(self)
        column.setContentsMargins(*[3 * theme.UNIT] * 4)
        column.setSpacing(2 * theme.UNIT)
        words = PlainLabel(tr("Used by every page that is printed. All of it may stay empty."))
        words.setProperty("role", "small")
        column.addWidget(words)
        sides = QHBoxLayout()
        sides.setSpacing(4 * theme.UNIT)
        sides.addLayout(self._paper(now), 3)
        sides.addLayout(self._quotes(now), 2)
        column.addLayout(sides)
        self.errors = ErrorLabel()
        column.addWidget(self.errors)
        for key, field in self.terms.items():
            field.errors = self.errors
            field.stands_for(f"shop.{key}", LABELS[key])
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.keep = buttons.addButton(tr("Keep"), QDialogButtonBox.ButtonRole.AcceptRole)
        self.keep.setDefault(True)
        buttons.accepted.connect(self._check)
        buttons.rejected.connect(self.reject)
        column.addWidget(buttons)

    def _paper(self, now: Settings) -> QFormLayout:
        form = QFormLayout()
        self.name = QLineEdit(now.shop_name)
        self.name.setMaxLength(200)
        least_width(self.name, 300)
        self.address = QPlainTextEdit(now.shop_address)
        self.address.setTabChangesFocus(True)
        fixed_height(self.address, 12 * theme.UNIT)
        self.logo, self.folder = QLineEdit(now.shop_logo), QLineEdit(now.paper_folder)
        self.logo.setPlaceholderText(tr("a PNG, JPEG or SVG file"))
        self.folder.setPlaceholderText(tr("where the bike's file is"))
        self.paper, self.units = QComboBox(), QComboBox()
        self.paper.addItems(list(PAPERS))
        self.paper.setCurrentText(now.paper)
        self.units.addItems(list(SPEED_UNITS))
        self.units.setCurrentText(now.speed_unit)
        self.owner = TickBox(tr("Print owner, registration and frame number"))
        self.owner.setChecked(now.owner_on_paper)
        form.addRow(labelled(tr("&Shop's name"), self.name), self.name)
        form.addRow(labelled(tr("&Address"), self.address), self.address)
        form.addRow(labelled(tr("&Logo"), self.logo), self._found(self.logo, self._find_logo, tr("Find the logo")))
        form.addRow(labelled(tr("&Paper"), self.paper), self.paper)
        form.addRow(
            labelled(tr("&Folder for pages"), self.folder),
            self._found(self.folder, self._find_folder, tr("Find the folder")),
        )
        form.addRow(labelled(tr("Sp&eeds in"), self.units), self.units)
        form.addRow("", self.owner)
        return form

    def _found(self, field: QLineEdit, find: object, name: str) -> QHBoxLayout:
        row, button = QHBoxLayout(), QPushButton(tr("Find…"))
        button.setAccessibleName(name)
        # Enter in a field keeps; this one is pressed by itself alone.
        button.setAutoDefault(False)
        button.clicked.connect(find)
        row.addWidget(field, 1)
        row.addWidget(button)
        return row

    def _quotes(self, now: Settings) -> QFormLayout:
        form = QFormLayout()
        self.terms: dict[str, ValueField] = {}
        for key, label in LABELS.items():
            if key == "hours_front":
                title = PlainLabel(tr("What the shop usually takes for it"))
                title.setProperty("role", "small")
                form.addRow(title)
            field = TermField(key)
            field.setText(getattr(now, key))
            self.terms[key] = field
            form.addRow(labelled(_LETTERS.get(key, label), field), field)
            if key == "tax_percent":
                self.included = TickBox(tr("Prices hold the tax"))
                self.included.setChecked(now.prices_with_tax)
                form.addRow("", self.included)
        self.terms["valid_days"].setPlaceholderText(str(USUAL_DAYS))
        return form

    def changed(self, now: Settings) -> Settings:
        """The settings with what stands here."""
        return replace(
            now,
            shop_name=self.name.text().strip(),
            shop_address="\n".join(address_lines(self.address.toPlainText())),
            shop_logo=self.logo.text().strip(),
            paper=self.paper.currentText(),
            paper_folder=self.folder.text().strip(),
            speed_unit=self.units.currentText(),
            owner_on_paper=self.owner.isChecked(),
            prices_with_tax=self.included.isChecked(),
            **{key: field.text().strip() for key, field in self.terms.items()},  # type: ignore[arg-type]
        )

    def wrong(self) -> str:
        """What cannot be taken, in words; empty where all can."""
        from gearplan.sheet.letterhead import read_logo

        told = [f"{LABELS[key]}: {fault}" for key, field in self.terms.items() if (fault := refusal(key, field.text()))]
        try:
            address_lines(self.address.toPlainText())
            read_logo(logo_bytes(self.logo.text().strip()))
        except OSError as failed:
            told.append(f"{failed.filename}: {failed.strerror}")
        except ValueError as failed:
            told.append(str(failed))
        if (folder := self.folder.text().strip()) and not Path(folder).expanduser().is_dir():
            told.append(tr("{folder}: there is no such folder", folder=folder))
        return "\n".join(told)

    def _check(self) -> None:
        wrong = self.wrong()
        self.errors.say(wrong, self.keep)
        if not wrong:
            self.accept()

    def _find_logo(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, tr("The shop's logo"), str(Path(self.logo.text()).parent), tr("Pictures (*.png *.jpg *.jpeg *.svg)")
        )
        if name:
            self.logo.setText(name)

    def _find_folder(self) -> None:
        if name := QFileDialog.getExistingDirectory(self, tr("Folder for pages"), self.folder.text()):
            self.folder.setText(name)


class TermField(ValueField):
    """One of the terms; what it cannot be is said as it is typed."""

    def __init__(self, key: str) -> None:
        super().__init__(self._take_text)
        self._key = key
        self.setMaxLength(40)
        fixed_width(self, 84)

    def _take_text(self, text: str) -> str:
        if fault := refusal(self._key, text):
            raise NumberTextError(fault)
        return text
