"""Every reader of the program, with good inputs to begin from and the refusal that it may answer with."""

from __future__ import annotations

import contextlib
import io
import random
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QBuffer, QIODevice
from PySide6.QtGui import QColor, QImage

from gearplan import cli
from gearplan.bike.demo import demo_bike
from gearplan.bike.enginecurve import CurveError, read_curve, read_text
from gearplan.bike.files.bikefile import BikeFileError, bike_from_text, read_bike, text_with
from gearplan.bike.files.bookfile import BookFileError, read_book
from gearplan.bike.files.circuitfile import CircuitFileError, circuit_from_text, circuit_text, read_circuit
from gearplan.bike.files.ownfolders import settings_file
from gearplan.bike.files.pictures import PictureError, without_traces
from gearplan.bike.library import demo_bikes
from gearplan.bike.sections.cells import SectionUnits
from gearplan.bike.sections.pasting import PasteError, read_pasted
from gearplan.bike.stocklist.opening import read_table
from gearplan.bike.stocklist.reading import layout_of, stock_of
from gearplan.bike.stocklist.table import StockError
from gearplan.plan.lines.centreline import circuit_of
from gearplan.plan.lines.opening import read_centre_line
from gearplan.plan.lines.points import LineError
from gearplan.ridelog.log import LogError
from gearplan.ridelog.reading.opening import read_log
from gearplan.ridelog.telling.learned import as_numbers, learn
from gearplan.ridelog.telling.words import remarks, text_for_people
from gearplan.sheet.letterhead import read_logo
from gearplan.sheet.shop import LogoError, logo_bytes
from gearplan.window.frame import settings
from gearplan.window.photo import picture
from tests.plan.lines.test_files import as_csv, as_geojson, as_gpx, as_osm
from tests.ridelog.reading.test_nmea import sentences
from tests.robustness.campaign.changing import changed_bytes, changed_text

ROOT = Path(__file__).parents[3]
_RESOURCES = ROOT / "gearplan" / "resources"
_TESTS = ROOT / "tests"
_BIKE = str(sorted((_RESOURCES / "bikes").iterdir())[0])
Refusals = tuple[type[Exception], ...]


@dataclass(frozen=True, slots=True)
class Reader:
    """What is read, from which good inputs by the ending of their file, with which refusals; a seed may be text."""

    name: str
    seeds: tuple[tuple[str, str | bytes], ...]
    read: Callable[[Path], object]
    refusals: Refusals

    def made(self, chance: random.Random) -> tuple[str, bytes]:
        """The ending and the content of one more input."""
        ending, seed = chance.choice(self.seeds)
        if isinstance(seed, bytes):
            return ending, changed_bytes(chance, seed)
        return ending, changed_text(chance, seed)


def _texts(folder: Path, pattern: str, ending: str) -> tuple[tuple[str, str | bytes], ...]:
    return tuple((ending, path.read_bytes().decode("utf-8", "replace")) for path in sorted(folder.glob(pattern)))


def _bike(path: Path) -> None:
    opened = read_bike(path)
    again = bike_from_text(text_with(opened.bike, opened.text), "again")
    assert again.bike == opened.bike


def _circuit(path: Path) -> None:
    opened = read_circuit(path)
    assert circuit_from_text(circuit_text(opened.circuit, opened.text), "again").circuit == opened.circuit


def _stock(path: Path) -> None:
    table = read_table(path)
    stock_of(table, layout_of(table)[0])


def _curve(path: Path) -> None:
    read_curve(read_text(path))


def _log(path: Path) -> None:
    bike = demo_bike().bike
    learned = learn(read_log(path), bike)
    as_numbers(learned, remarks(learned, bike))
    text_for_people(learned, bike)


def _pasted(path: Path) -> None:
    read_pasted(path.read_bytes().decode("utf-8", "replace"), SectionUnits())


def _settings(path: Path) -> None:
    target = settings_file()
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(path.read_bytes())
    settings.asked(settings.load())


def _logo(path: Path) -> None:
    read_logo(logo_bytes(str(path)))


def _photo(path: Path) -> None:
    picture.read_picture(path)


class CommandFailed(Exception):
    """A command that ended otherwise than with 0, or 2 and one line."""


def _command(path: Path) -> None:
    words = path.read_bytes().decode("utf-8", "replace").replace("\x00", "")
    arguments = words.replace("BIKE", _BIKE).split("\n")
    if {"-o", "--output"} & set(arguments) or any(word.startswith(("-o", "--o", "--csv")) for word in arguments):
        return
    told, wrong = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(told), contextlib.redirect_stderr(wrong):
        try:
            code: object = cli.run(arguments)
        except SystemExit as ended:
            code = ended.code
    lines = wrong.getvalue().splitlines()
    if code not in (0, None) and (code != 2 or not 1 <= len(lines) <= 3):
        raise CommandFailed(f"{code}: {lines[:5]}")


def _painted(form: str) -> bytes:
    image = QImage(320, 310, QImage.Format.Format_RGB32)
    image.fill(QColor("teal"))
    store = QBuffer()
    store.open(QIODevice.OpenModeFlag.WriteOnly)
    assert image.save(store, form)  # type: ignore[call-overload]
    return bytes(store.data().data())


_CURVES = (
    "rpm;N·m;kW\n2000;29,1;6,1\n4000;45,2;18,93\n6000;57,3;36\n8000;62,1;52,02\n10000;55;57,6\n",
    "Engine speed [rpm], Torque [lbf-ft]\n2000, 21.3\n4000, 33.9\n6000, 42.1\n9000, 44.7\n",
    "2000 29\n3000 36.5\n4000 44\n6000 57\n9000 58\n",
)
_STOCK = (
    "part;teeth;chain;count;price;number\nfront sprocket;15;520;2;48,00;00015\nrear sprocket;45;520;1;27,30;K-45\n"
    "chain;112;525;1;104,80;X-112\nrear sprocket;47;520;0;0,30;K-47\n",
    "Artikel,Zähne,Kette,Bestand,Preis EUR\nRitzel,15,520,2,48.00\nKettenrad,45,520,1,27.30\nKette,112,525,3,104.80\n",
)
_BOOK = (
    'format = 1\n\n# the first one\n[[entry]]\ndate = "2026-05-02"\ncircuit = "Marlpit Lane"\nfront = 15\nrear = 45\n'
    'notes = "wet"\n\n[[entry]]\ndate = "2026-06-11"\ncircuit = "Heronfleet"\nlap_s = 91.2\nfront = 15\nrear = 44\n'
)
_PASTED = "Length [m]\tRadius [m]\tSlope [%]\n320\t\t1,5\n80\t35\t-2\n210\t\t0\n60\t-20\t0\n"
_SETTINGS = (
    'speed_unit = "km/h"\nappearance = "dark"\ntext_size = 1.25\nwidth = 1280\nheight = 800\nmaximised = false\n'
    'page = "Pull"\nrecent = ["/a/b.bike.toml", "/c.bike.toml"]\nbike_folders = ["/a"]\nlast_quote = 12\npaper = "A4"\n'
    'sprints = "0-100, 400 m"\nroll_ons = "60-100"\nslopes = "0, 6"\nspeeds = "50, 100, 130"\nseam = 0.4\n'
)
_LOGO = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="120" height="40" viewBox="0 0 120 40"><g id="a"><rect width="100" '
    'height="30" fill="#146"/><path d="M0 0 L50 20 C10 10 20 20 30 5 Z"/></g><use href="#a" x="5"/>'
    '<text x="3" y="20">Shop</text></svg>'
)
_COMMANDS = (
    "numbers\nBIKE\n--front\n15\n--rear\n45\n--json",
    "numbers\nBIKE\n--links\n114\n--chain\n525",
    "choices\nBIKE\n--wish\ncalmer",
    "log\nBIKE\n--json",
    "jobs\nBIKE",
    "book\nBIKE",
    "season\nBIKE",
    "bikes\n/nowhere",
    "customer\nBIKE\n--rear\n44",
    "sheet\nBIKE",
    "lap\nBIKE\n--help",
    "board\nBIKE",
)


def readers() -> tuple[Reader, ...]:
    """All of them; Qt is needed for pictures alone."""
    ride = [line for at in range(40) for line in sentences(3600 + at, 47.3 + at * 1e-4, 8.4, 40.0, 400.0, "230394")]
    logs = _TESTS / "ridelog" / "reading" / "files"
    made = _TESTS / "bike" / "stocklist" / "made"
    assert len(demo_bikes()) == 3
    jpeg, png = _painted("JPEG"), _painted("PNG")
    return (
        Reader("bike", _texts(_RESOURCES / "bikes", "*.toml", ".bike.toml"), _bike, (BikeFileError,)),
        Reader("circuit", _texts(_RESOURCES / "circuits", "*.toml", ".circuit.toml"), _circuit, (CircuitFileError,)),
        Reader("book", ((".book.toml", _BOOK),), read_book, (BookFileError,)),
        Reader(
            "stock",
            (
                *((".csv", text) for text in _STOCK),
                *((path.suffix, path.read_bytes()) for path in sorted(made.iterdir())),
            ),
            _stock,
            (StockError,),
        ),
        Reader("curve", tuple((".csv", text) for text in _CURVES), _curve, (CurveError,)),
        Reader(
            "ride log",
            (
                *_texts(logs, "*.csv", ".csv"),
                *_texts(logs, "*.gpx", ".gpx"),
                (".nmea", "\r\n".join(ride)),
                (".gpx", as_gpx().replace("</trkpt>", "<time>2026-05-02T10:00:00Z</time></trkpt>")),
            ),
            _log,
            (LogError,),
        ),
        Reader(
            "centre line",
            ((".csv", as_csv()), (".geojson", as_geojson()), (".gpx", as_gpx()), (".osm", as_osm())),
            lambda path: circuit_of(read_centre_line(path)),
            (LineError,),
        ),
        Reader("sections", ((".txt", _PASTED),), _pasted, (PasteError,)),
        Reader("settings", ((".toml", _SETTINGS),), _settings, ()),
        Reader("logo", ((".svg", _LOGO), (".png", png), (".jpg", jpeg)), _logo, (LogoError,)),
        Reader("photo", ((".jpg", jpeg), (".png", png)), _photo, (picture.PictureError,)),
        Reader(
            "picture",
            ((".jpg", jpeg), (".png", png)),
            lambda path: without_traces(path.read_bytes()),
            (PictureError,),
        ),
        Reader("command", tuple((".txt", text) for text in _COMMANDS), _command, ()),
    )
