"""What the Help menu tells: the cautions that go with every fitting, and what the program is."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMessageBox, QWidget

from gearplan import __version__
from gearplan.window.kit.plaintext import plain

ABOUT = f"""\
Gearplan {__version__}
Final-drive gearing for motorcycles.

MIT License. Type: Lato, SIL Open Font License.
Built on Qt for Python (LGPL), pyqtgraph and numpy.
"""


def tell(parent: QWidget, title: str, text: str) -> None:
    """Show a text beside the work, which goes on."""
    box = QMessageBox(QMessageBox.Icon.NoIcon, title, plain(text), QMessageBox.StandardButton.Close, parent)
    box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    box.open()
