"""What stands beside the program in share/: desktop entry, icons, file types, papers."""

from __future__ import annotations

import gzip
import os
import tomllib
from pathlib import Path

from gearplan import __version__
from gearplan.cli import parser
from making import handbook, papers
from making.archives import gzipped

SIZES = (16, 22, 24, 32, 48, 64, 128, 256, 512)
_DESKTOP = Path(__file__).parents[1] / "desktop"


def current(project: Path) -> tuple[papers.Release, ...]:
    """The changes; ValueError if the newest is not of the program's version."""
    made = papers.releases((project / "CHANGELOG.md").read_text(encoding="utf-8"))
    if not made or made[0].version != __version__:
        raise ValueError(f"CHANGELOG.md must begin with version {__version__}, which gearplan/__init__.py has")
    return made


def make(project: Path, prefix: Path) -> None:
    """Fill `prefix`/share."""
    made = current(project)
    told = tomllib.loads((project / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    share = prefix / "share"

    def write(name: str, content: bytes | str) -> None:
        target = share / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content.encode() if isinstance(content, str) else content)

    write("applications/gearplan.desktop", (_DESKTOP / "gearplan.desktop").read_bytes())
    write("mime/packages/gearplan.xml", (_DESKTOP / "gearplan.xml").read_bytes())
    metainfo = (_DESKTOP / "gearplan.metainfo.xml").read_text(encoding="utf-8")
    write("metainfo/gearplan.metainfo.xml", metainfo.replace("    <!-- releases -->\n", papers.metainfo_releases(made)))
    write("man/man1/gearplan.1.gz", gzipped(papers.man_page(parser(), told["description"], made[0])))
    write("bash-completion/completions/gearplan", papers.bash_completion(parser()))
    write("doc/gearplan/changelog.gz", gzipped(papers.debian_changelog(made)))
    write("doc/gearplan/copyright", (_DESKTOP / "copyright").read_bytes())
    for name, content in handbook.pages().items():
        write(f"doc/gearplan/handbook/{name}", content)
    drawing = project / "gearplan" / "resources" / "icons" / "gearplan.svg"
    write("icons/hicolor/scalable/apps/gearplan.svg", drawing.read_bytes())
    for size in SIZES:
        write(f"icons/hicolor/{size}x{size}/apps/gearplan.png", picture(drawing, size))


def picture(drawing: Path, size: int) -> bytes:
    """A drawing as PNG, so many pixels wide and high."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtCore import QBuffer, QIODevice
    from PySide6.QtGui import QImage, QPainter
    from PySide6.QtSvg import QSvgRenderer

    image = QImage(size, size, QImage.Format.Format_ARGB32)
    image.fill(0)
    painter = QPainter(image)
    QSvgRenderer(str(drawing)).render(painter)
    painter.end()
    store = QBuffer()
    store.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(store, "PNG")  # type: ignore[call-overload]  # the stub asks for bytes, the call for text
    return bytes(store.data().data())


def man_page_of(prefix: Path) -> str:
    """The man page as it was written."""
    return gzip.decompress((prefix / "share" / "man" / "man1" / "gearplan.1.gz").read_bytes()).decode()
