"""The Debian package: what it says of itself, around the same tree that the archive holds."""

from __future__ import annotations

from pathlib import Path

from gearplan import __version__
from making import archives
from making.papers import MAINTAINER

#: What the policy asks for and why it is not so here, for its checker.
_OVERRIDES = """# It carries its own Python, Qt and numpy on purpose, to run on any release.
gearplan: embedded-library *
# Compiled beforehand, because its own Python writes nothing where it is installed.
gearplan: package-installs-python-pycache-dir *
# Modules of Python and numpy that call nothing of the C library by themselves.
gearplan: library-not-linked-against-libc *
# Carried as they were published; stripping breaks some of numpy's.
gearplan: unstripped-binary-or-object *
# No address can be written to.
gearplan: bogus-mail-host *
gearplan: bogus-mail-host-in-debian-changelog *
"""

_CONTROL = """Package: gearplan
Version: {version}
Architecture: {architecture}
Maintainer: {maintainer}
Installed-Size: {size}
Depends: {depends}
Recommends: {recommends}
Section: science
Priority: optional
Description: final-drive gearing planner for motorcycles
 Choose front and rear sprocket and the chain's links, see what they change
 in speed, thrust and lap time, and whether the chain fits the swingarm;
 then fit the set by a sheet that asks for every reading.
 .
 The package carries its own Python and Qt.
"""


def architecture(machine: str) -> str:
    """Debian's name of a kind of machine."""
    return {"x86_64": "amd64", "aarch64": "arm64"}.get(machine, machine)


def package(data: Path, control: Path, machine: str, asks: tuple[str, str], when: int) -> bytes:
    """The package of the tree `data`, which holds usr/; `asks` is what it depends on and recommends."""
    overrides = data / "usr" / "share" / "lintian" / "overrides" / "gearplan"
    overrides.parent.mkdir(parents=True)
    overrides.write_text(_OVERRIDES, encoding="utf-8")
    control.mkdir()
    told = _CONTROL.format(
        version=__version__,
        architecture=architecture(machine),
        maintainer=MAINTAINER,
        size=sum(-(-path.stat().st_size // 1024) for path in data.rglob("*") if path.is_file()),
        depends=asks[0],
        recommends=asks[1],
    )
    (control / "control").write_text(told, encoding="utf-8")
    (control / "md5sums").write_text(archives.sums(data), encoding="utf-8")
    return archives.deb(control, data, when)
