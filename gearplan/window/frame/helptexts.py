"""What the Help menu tells: the cautions that go with every fitting, and what the program is."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMessageBox, QWidget

from gearplan import __version__

CAUTIONS = """\
The maker's manual and the machine's service data come first; this program only computes.

Fitting is work for a qualified technician: bike on a stand, wheel secured, hands clear of chain and sprockets, \
eyes and hands protected when a chain is cut or riveted.

Close the chain with a riveted link where its maker asks for one. Replace single-use nuts and links.

Check the slack at the tightest point after the axle is torqued, and again after the first ride. Pump the brake \
up before the bike moves.

Other gearing can make the speedometer wrong and can touch type approval, insurance and the rules on noise and \
emissions: check local law. Parts made for the track stay on the track.

Speeds are computed possibilities, not advice: obey limits.
"""

ABOUT = f"""\
Gearplan {__version__}
Final-drive gearing for motorcycles.

MIT License. Type: Lato, SIL Open Font License.
Built on Qt for Python (LGPL), pyqtgraph and numpy.
"""


def tell(parent: QWidget, title: str, text: str) -> None:
    """Show a text beside the work, which goes on."""
    box = QMessageBox(QMessageBox.Icon.NoIcon, title, text, QMessageBox.StandardButton.Close, parent)
    box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    box.open()
