"""What the Help menu tells: the cautions that go with every fitting, and what the program is."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMessageBox, QWidget

from gearplan import __version__
from gearplan.language import tr
from gearplan.window.kit.plaintext import plain

ABOUT = tr(
    "Gearplan {version}\nFinal-drive gearing for motorcycles.\n\nMIT License. It stands on the work of "
    "others:\nQt and Qt for Python (PySide6, shiboken6): LGPL 3\nPython: Python Software Foundation "
    "License 2\nnumpy, colorama: BSD-3-Clause\nXlsxWriter: BSD-2-Clause\npyqtgraph, tomlkit: MIT\nLato, "
    "the type: SIL Open Font License 1.1\n",
    version=__version__,
)


def tell(parent: QWidget, title: str, text: str) -> None:
    """Show a text beside the work, which goes on."""
    box = QMessageBox(QMessageBox.Icon.NoIcon, title, plain(text), QMessageBox.StandardButton.Close, parent)
    box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    box.open()
