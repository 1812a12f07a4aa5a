"""Opening, saving and leaving a circuit, beside the bike."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from gearplan.bike.circuit import Circuit
from gearplan.bike.files import circuitfile
from gearplan.bike.files.atomic import replace_file
from gearplan.bike.files.ordinary import reason
from gearplan.language import tr
from gearplan.plan.words import not_in_the_file
from gearplan.window.document.document import Document
from gearplan.window.frame.message import MessageStrip
from gearplan.window.kit.plaintext import plain
from gearplan.window.kit.waiting import GivenUp, awaited

from .files import Files
from .saving import Save

if TYPE_CHECKING:
    from collections.abc import Callable

    from gearplan.plan.laps.ranking import Ints, LapRanking
    from gearplan.plan.laps.spread import Plateau
    from gearplan.plan.lines.centreline import CentreLine
    from gearplan.sheet.circuit.content import CircuitSheet

_FILTER = tr(
    "Circuits (*.circuit.toml);;Lines of tracks (*.csv *.txt *.geojson *.json *.gpx *.osm *.xml);;All files (*)"
)


class CircuitFiles(QObject):
    """Moves the circuit between the window and the disk, and asks before anything could be lost."""

    def __init__(self, window: QWidget, document: Document, message: MessageStrip, files: Files) -> None:
        super().__init__(window)
        self._window, self._document, self._message, self._files = window, document, message, files

    def new(self) -> None:
        """Begin an empty circuit."""
        if self.may_leave():
            self._document.open_circuit(circuitfile.CircuitFile(Circuit(), ""), None)

    def open_demo(self, name: str) -> None:
        """Open a demo circuit by its name."""
        if self.may_leave():
            self._document.open_circuit(circuitfile.demo_circuit(name), None)

    def take(self, circuit: Circuit) -> bool:
        """Take a circuit that was cut from a ride as the one at hand; False if the user would rather keep theirs."""
        if not self.may_leave():
            return False
        self._document.take_circuit(tr("Take {name}", name=circuit.name or tr("a lap")), circuit)
        return True

    def ask_open(self) -> None:
        """Ask which file, then open it."""
        if not self.may_leave():
            return
        name, _ = QFileDialog.getOpenFileName(self._window, tr("Open a circuit"), self._folder(), _FILTER)
        if name:
            self.open(Path(name))

    def open(self, path: Path) -> bool:
        """Open a circuit file or the centre line of one; what cannot be read is said and nothing is lost."""
        from gearplan.plan.lines.centreline import circuit_of
        from gearplan.plan.lines.opening import holds_line, read_centre_line
        from gearplan.plan.lines.points import LineError

        def read() -> tuple[circuitfile.CircuitFile, CentreLine | None]:
            if not holds_line(path):
                return circuitfile.read_circuit(path), None
            line = read_centre_line(path)
            return circuitfile.CircuitFile(circuit_of(line), "", line.notes), line

        try:
            opened, line = awaited(read, path.name, self._window)
        except (circuitfile.CircuitFileError, LineError, GivenUp) as refused:
            self._message.say(str(refused), wrong=True)
            return False
        self._document.open_circuit(opened, None if line is not None else path, line)
        # What had to be said of the file is no good news.
        self._message.say("\n".join(opened.notices), wrong=True)
        return True

    def save(self, *, wait: bool = True) -> bool:
        """Save to the circuit's file, asking for one if it has none; True if it was saved."""
        path = self._document.circuit_path
        return self.save_as() if path is None else self._write(path, wait=wait)

    def save_as(self) -> bool:
        """Ask for a file and save to it."""
        circuit = self._document.circuit
        if circuit is None:
            self._message.say(tr("There is no circuit to save yet."), wrong=True)
            return False
        suggested = self._document.circuit_path or self._suggested(circuitfile.SUFFIX)
        path = self._files.ask_target("circuit", str(suggested), tr("Circuits (*.circuit.toml)"))
        return path is not None and self._write(path)

    def export_table(self, ranking: LapRanking, rows: Ints, tied: Plateau | None) -> None:
        """Ask where to, then write some rows of a ranking as CSV."""
        from gearplan.plan.laps.text import ranking_csv

        self._files.ask_and_write(
            tr("Export the ranking"),
            self._suggested(" ranking.csv"),
            tr("Tables (*.csv)"),
            lambda path: replace_file(path, ranking_csv(ranking, rows, tied).encode()),
        )

    def export_page(self, sheet: CircuitSheet) -> None:
        """Ask where to, then draw the circuit's page."""
        from gearplan.sheet import painter

        self._files.ask_and_write(
            tr("Export the page"),
            self._suggested(" laps.pdf"),
            tr("Pages and pictures (*.pdf *.png *.svg)"),
            lambda path: painter.save_circuit_page(sheet, path),
        )

    def may_leave(self) -> bool:
        """Ask what to do with an unsaved circuit, and with what could not be read; False means stay."""
        self._files.saving.settle()
        left_out = not_in_the_file(self._document.unread("circuit"))
        if not self._document.circuit_unsaved:
            return not left_out or self._files.gives_up(left_out)
        circuit = self._document.circuit
        asked = tr(
            "Save the changes to {name} first? {left_out}",
            name=(circuit.name if circuit else "") or tr("this circuit"),
            left_out=left_out,
        )
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self._window,
            tr("Unsaved circuit"),
            plain(asked.rstrip()),
            buttons.Save | buttons.Discard | buttons.Cancel,
            buttons.Save,
        )
        return self.save() if answer == buttons.Save else answer == buttons.Discard

    def _write(self, path: Path, *, wait: bool = True) -> bool:
        begun = self._document.circuit_path

        def written(held: object) -> None:
            assert isinstance(held, circuitfile.CircuitFile)
            self._document.circuit_saved(path, held, begun)
            left_out = not_in_the_file(self._document.unread("circuit"))
            self._message.say(
                tr("Saved: {path}. {left_out}", path=path, left_out=left_out).rstrip(), wrong=bool(left_out)
            )

        def failed(why: Exception) -> None:
            self._message.say(
                tr("Not saved to {path}: {reason}. The circuit is still here, unsaved.", path=path, reason=reason(why)),
                wrong=True,
            )

        def begin(over: bool) -> Callable[[], object]:
            if self._document.circuit_path not in (begun, path):
                raise circuitfile.CircuitFileError(tr("another circuit is open now"))
            return self._document.saving_circuit(path, over_changed=over)

        return self._files.saving.save(Save(path, begin, written, failed), wait=wait)

    def _suggested(self, ending: str) -> str:
        circuit = self._document.circuit
        name = ((circuit.name if circuit else "") or "circuit").replace("/", "-")
        return str(Path(self._folder()) / f"{name}{ending}")

    def _folder(self) -> str:
        known = self._document.circuit_path or self._document.path
        return str(known.parent if known else Path.home())
