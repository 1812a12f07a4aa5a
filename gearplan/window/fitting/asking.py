"""A question before something that cannot be meant lightly: what it is about, and the way back as the default."""

from __future__ import annotations

from PySide6.QtWidgets import QMessageBox, QWidget

from gearplan.language import tr
from gearplan.window.kit.plaintext import plain


def agreed(parent: QWidget, text: str, about: tuple[str, ...], yes: str) -> bool:
    """Whether the user wants it all the same; `about` are lines under the question, `yes` the button's word."""
    box = QMessageBox(QMessageBox.Icon.Warning, "Fitting", plain(text), parent=parent)
    if about:
        box.setInformativeText(plain("\n".join(f"• {line}" for line in about)))
    go_on = box.addButton(yes, QMessageBox.ButtonRole.AcceptRole)
    back = box.addButton(tr("Go back"), QMessageBox.ButtonRole.RejectRole)
    box.setDefaultButton(back)
    box.setEscapeButton(back)
    box.exec()
    found = box.clickedButton() is go_on
    box.deleteLater()
    return found
