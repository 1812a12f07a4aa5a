"""Opening, saving and leaving: nothing that was entered is ever lost."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QApplication, QFileDialog, QInputDialog, QMessageBox, QWidget

from gearplan.bike.demo import demo_bike
from gearplan.bike.files import bikefile
from gearplan.bike.files.atomic import is_protected
from gearplan.bike.files.folder import SUFFIX
from gearplan.bike.files.ordinary import reason
from gearplan.bike.profile import Bike
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.quote.proposals import is_kept
from gearplan.plan.words import not_in_the_file, teeth
from gearplan.window.document.document import Document
from gearplan.window.frame.message import MessageStrip
from gearplan.window.frame.settings import Remembered
from gearplan.window.kit.plaintext import plain
from gearplan.window.kit.waiting import GivenUp, awaited

from . import recovery
from .keeping import Keeping
from .saving import Save, Saving

_FILTER = tr("Bikes (*.bike.toml);;All files (*)")

_TITLES = {"bike": tr("Save the bike"), "circuit": tr("Save the circuit")}


class Files(QObject):
    """Moves the document between the window and the disk, and asks before anything could be lost.

    `starting` is told just before another bike takes the place of the one at hand.
    """

    starting = Signal()
    #: The proposed set is to be kept with the bike.
    keep_asked = Signal()

    def __init__(self, window: QWidget, document: Document, message: MessageStrip, remembered: Remembered) -> None:
        super().__init__(window)
        self._window, self._document, self._message = window, document, message
        self.remembered = remembered
        self._left: dict[Path, str] = {}
        self.saving = Saving(window, lambda text: self.confirmed(text), message.say)
        #: How many bikes have been started with.
        self._started = 0
        self._keeping = Keeping(document, self)
        self._keeping.failed.connect(self._not_kept)
        message.taken.connect(self._open_kept)

    def start_with(self, opened: bikefile.BikeFile, path: Path | None) -> None:
        """Show a bike that has been read; `path` None if it has no file of its own."""
        self.starting.emit()
        self._started += 1
        self._document.start(opened, path)
        self._message.say("\n".join(opened.notices))
        if path is not None:
            self.remembered.keep_recent(path)

    def new(self) -> bool:
        """Begin an empty profile; False if the user would rather stay."""
        if not self.may_leave():
            return False
        self.start_with(bikefile.BikeFile(Bike(), "", ()), None)
        return True

    def ask_open(self) -> None:
        """Ask which file, then open it."""
        if not self.may_leave():
            return
        name, _ = QFileDialog.getOpenFileName(self._window, tr("Open a bike"), self._folder(), _FILTER)
        if name:
            self.open(Path(name))

    def open(self, path: Path) -> bool:
        """Open a file; if it cannot be read, say so and leave what is open as it is."""
        try:
            opened = awaited(lambda: bikefile.read_bike(path), path.name, self._window)
        except (bikefile.BikeFileError, GivenUp) as refused:
            self._message.say(str(refused), wrong=True)
            return False
        self.start_with(opened, path)
        return True

    def open_recent(self, path: Path) -> None:
        """Open one of the recent files."""
        if self.may_leave():
            self.open(path)

    def open_demo(self, name: str) -> None:
        """Open a demo bike by its name."""
        if self.may_leave():
            self.start_with(demo_bike(name), None)

    def save(self, *, wait: bool = True) -> bool:
        """Save to the bike's file, asking for one if it has none; True if it was saved."""
        return self.save_as() if self._document.path is None else self.write(self._document.path, wait=wait)

    def save_as(self) -> bool:
        """Ask for a file and save to it."""
        suggested = self._document.path or self.suggested(SUFFIX)
        path = self.ask_target("bike", str(suggested), _FILTER)
        return path is not None and self.write(path)

    def ask_target(self, what: str, suggested: str, kinds: str) -> Path | None:
        """Ask where to save a bike or a circuit; a name without suffix gets it. None if the user would rather not."""
        name, _ = QFileDialog.getSaveFileName(self._window, _TITLES[what], suggested, kinds)
        if not name:
            return None
        path = Path(name)
        if path.name.endswith(".toml"):
            return path
        # The dialog asked about the name as it was typed, not about this one.
        path = path.with_name(f"{path.name}.{what}.toml")
        if path.exists() and not self.confirmed(tr("{name} exists already. Replace it?", name=path.name)):
            return None
        return path

    def write(self, path: Path, *, wait: bool = True) -> bool:
        """Save to a file; if that fails, say so and keep the work. Without `wait` a slow one goes on by itself."""
        if is_protected(path) and not self.confirmed(
            tr("{path} is protected against writing.\nReplace it all the same?", path=path)
        ):
            return False
        begun = self._started

        def written(held: object) -> None:
            assert isinstance(held, bikefile.BikeFile)
            left_out = ""
            # Another bike may have taken its place while the disk was slow.
            if begun == self._started:
                self._document.saved(path, held)
                left_out = self._left_out()
            self.remembered.keep_recent(path)
            self._message.say(
                tr("Saved: {path}. {left_out}", path=path, left_out=left_out).rstrip(), wrong=bool(left_out)
            )

        def failed(why: Exception) -> None:
            self._message.say(
                tr("Not saved to {path}: {reason}. The bike is still here, unsaved.", path=path, reason=reason(why)),
                wrong=True,
            )

        def begin(over: bool) -> Callable[[], object]:
            if begun != self._started:
                raise bikefile.BikeFileError(tr("another bike is open now"))
            return self._document.saving(path, over_changed=over)

        return self.saving.save(Save(path, begin, written, failed), wait=wait)

    def _left_out(self) -> str:
        return not_in_the_file(self._document.unread(*recovery.BIKE))

    def may_leave(self) -> bool:
        """Ask what to do with unsaved work, a proposed set that is not kept, and what could not be read.

        False, and a save that fails, mean stay.
        """
        # One who would rather not wait is asked as if nothing had been saved.
        self.saving.settle()
        left_out, unsaved, chosen = self._left_out(), self._document.unsaved, self._document.chosen
        # Who tries out sets on a bike without a file of its own has promised them to nobody.
        loose = self._document.path is not None and not is_kept(self._document.bike, chosen)
        if not (unsaved or loose):
            return not left_out or self.gives_up(left_out)
        name = self._document.bike.name or self._file_name()
        asked = [tr("Save the changes to {name} first?", name=name)] if unsaved else []
        if loose:
            asked.append(
                tr("Keep the proposed set {teeth} with {name}?", teeth=teeth(chosen), name="it" if unsaved else name)
            )
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self._window,
            tr("Unsaved changes"),
            plain(" ".join((*asked, left_out)).rstrip()),
            buttons.Save | buttons.Discard | buttons.Cancel,
            buttons.Save,
        )
        if answer == buttons.Save:
            if loose:
                self.keep_asked.emit()
            return self.save()
        return answer == buttons.Discard

    def gives_up(self, left_out: str) -> bool:
        """Whether the user gives up what could not be read, where nothing else is unsaved."""
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self._window,
            tr("Not saved"),
            plain(tr("{left_out} Go on without it?", left_out=left_out)),
            buttons.Discard | buttons.Cancel,
            buttons.Cancel,
        )
        return answer == buttons.Discard

    def confirmed(self, text: str) -> bool:
        """Whether the user agrees to replace something."""
        box = QMessageBox(QMessageBox.Icon.Question, tr("Gearplan"), plain(text), parent=self._window)
        agreed = box.addButton(tr("Replace"), QMessageBox.ButtonRole.AcceptRole)
        box.addButton(QMessageBox.StandardButton.Cancel)
        box.exec()
        answer = box.clickedButton() is agreed
        box.deleteLater()
        return answer

    def ask_speed_picture(self, *, mph: bool) -> None:
        """Ask where to, then draw the speed chart into a file."""
        from gearplan.sheet import painter

        def draw(bike: Bike, chosen: DriveSet, path: Path) -> None:
            painter.save_speed_picture(bike, chosen, path, mph)

        self.ask_and_draw(tr("Save the speed picture"), "speed.png", draw)

    def ask_chain_drawing(self, axle: object) -> None:
        """Ask where to, then draw the chain run into a file, with the axle of the proposed set where it stands (m)."""
        from gearplan.sheet import painter

        def draw(bike: Bike, chosen: DriveSet, path: Path) -> None:
            painter.save_chain_drawing(bike, chosen, path, axle if isinstance(axle, float) else None)

        self.ask_and_draw(tr("Save the drawing"), tr("chain run.svg"), draw)

    def copy_speed_picture(self, *, mph: bool) -> None:
        """Put the speed chart as a picture on the clipboard."""
        from gearplan.sheet import painter

        try:
            image = painter.speed_image(self._document.bike, self._document.chosen, mph)
        except ValueError as lacking:
            self._message.say(str(lacking), wrong=True)
            return
        QApplication.clipboard().setImage(image)
        self._message.say(tr("The speed picture is on the clipboard."))

    def ask_and_draw(self, title: str, ending: str, draw: Callable[[Bike, DriveSet, Path], None]) -> None:
        """Ask where to, then have a picture drawn into that file."""
        self.ask_and_write(
            title,
            str(self.suggested(f" {ending}")),
            tr("Pictures (*.png *.svg *.pdf)"),
            lambda path: draw(self._document.bike, self._document.chosen, path),
        )

    def ask_and_write(
        self,
        title: str,
        suggested: str,
        kinds: str,
        write: Callable[[Path], None],
        also: Callable[[Path], str] = lambda _path: "",
    ) -> None:
        """Ask where to, then have something written into that file; what fails is said.

        A name without ending gets that of the kind that was chosen, else of the suggested one. `also` is what
        else is to be said of what was written.
        """
        name, kind = QFileDialog.getSaveFileName(self._window, title, suggested, kinds)
        if not name:
            return
        path = Path(name)
        if not path.suffix:
            # The dialog asked about the name as it was typed, not about this one.
            endings, usual = re.findall(r"\*(\.\w+)", kind), Path(suggested).suffix
            path = path.with_name(path.name + (usual if usual in endings or not endings else endings[0]))
            if path.exists() and not self.confirmed(tr("{name} exists already. Replace it?", name=path.name)):
                return
        try:
            write(path)
        except (OSError, ValueError) as failed:
            self._message.say(
                tr("Nothing written to {path}: {told_of}", path=path, told_of=told_of(failed, path)), wrong=True
            )
            return
        self._message.say_written(path, also(path))

    def offer_kept(self) -> None:
        """If earlier programs ended without saving, offer what they left; what cannot be read of it is set aside."""
        if self._message.isVisibleTo(self._window):
            return
        left, broken = recovery.told_of(recovery.left_behind())
        aside = "".join(tr(" What could not be read of it is in {path}.", path=path) for path in broken)
        if not left:
            if broken:
                self._message.say(tr("Unsaved work from an earlier start was kept.{aside}", aside=aside), wrong=True)
            return
        self._left = left
        what = next(iter(left.values())) if len(left) == 1 else tr("{left} pieces", left=len(left))
        offer = tr("Open it") if len(left) == 1 else tr("Choose…")
        self._message.say(
            tr("Unsaved work from an earlier start was kept: {what}.{aside}", what=what, aside=aside),
            wrong=True,
            offer=offer,
        )

    def close(self) -> None:
        """The work is saved or given up."""
        self._keeping.stop()
        with contextlib.suppress(OSError):
            recovery.forget()
            recovery.release()

    def _open_kept(self) -> None:
        path = self._chosen_of_kept()
        if path is None:
            return
        if path.name.endswith(".circuit.toml"):
            self._open_kept_circuit(path)
            return
        if not self.may_leave():
            return
        try:
            opened = bikefile.read_bike(path)
        except bikefile.BikeFileError as refused:
            self._message.say(str(refused), wrong=True)
            return
        work = recovery.work_in(opened)
        self.start_with(work.begun, work.path)
        self._document.edit(tr("Work that was kept"), opened.bike)
        self._document.propose(work.proposed, tr("Proposal that was kept"))
        self._drop_kept(path)
        self._say_kept(work.told, opened.text)

    def _chosen_of_kept(self) -> Path | None:
        """The piece of kept work to be opened; the others are offered again at the next start."""
        paths, told = list(self._left), list(self._left.values())
        if len(paths) == 1:
            return paths[0]
        chosen, agreed = QInputDialog.getItem(
            self._window, tr("Unsaved work"), tr("Open; the rest is offered at the next start:"), told, 0, False
        )
        return paths[told.index(chosen)] if agreed else None

    def _open_kept_circuit(self, path: Path) -> None:
        from gearplan.bike.files.circuitfile import CircuitFileError, read_circuit

        try:
            opened = read_circuit(path)
        except CircuitFileError as refused:
            self._message.say(str(refused), wrong=True)
            return
        self._document.take_circuit(tr("Circuit that was kept"), opened.circuit)
        self._drop_kept(path)
        self._say_kept(tr("The circuit that was kept is on the Circuit page; save it under a new name."), opened.text)

    def _drop_kept(self, path: Path) -> None:
        """What was taken up again goes only when its successor is on the disk."""
        if self._keep_aside():
            recovery.drop(path)

    def _say_kept(self, told: str, text: str) -> None:
        """Say what has been opened, and all that could not be read in it, which stands in no field now."""
        lost = [f"{label}: “{typed}”" for label, typed in recovery.unread_in(text)]
        if lost:
            told += tr(" What was not accepted has to be entered again:\n{join}", join=chr(10).join(lost))
        self._message.say(told, wrong=bool(lost))

    def _keep_aside(self) -> bool:
        try:
            recovery.keep_unsaved(self._document)
        except OSError as failed:
            self._not_kept(failed)
            return False
        return True

    def _not_kept(self, failed: OSError) -> None:
        self._message.say(
            tr("Unsaved work cannot be kept aside: {reason}. Save it soon.", reason=reason(failed)), wrong=True
        )

    def _file_name(self) -> str:
        return self._document.path.name if self._document.path else tr("this bike")

    def _folder(self) -> str:
        recent = self.remembered.now.recent
        known = self._document.path or (Path(recent[0]) if recent else None)
        return str(known.parent if known else Path.home())

    def suggested(self, ending: str) -> Path:
        """A name to save under, after the bike, where files were last opened or saved."""
        name = (self._document.bike.name or "bike").replace("/", "-")
        return Path(self._folder()) / f"{name}{ending}"


def told_of(failed: Exception, path: Path) -> str:
    """The reason, with the file's name where it is another than the one to be written."""
    other = getattr(failed, "filename", None)
    return f"{other}: {reason(failed)}" if other and str(other) != str(path) else reason(failed)
