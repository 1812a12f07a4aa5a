"""python -m making [--check] [--into FOLDER]: builds both forms; --check has the desktop's validators look at them."""

from __future__ import annotations

import argparse
import hashlib
import platform
import shutil
import sys
import tempfile
from pathlib import Path

from gearplan import __version__
from making import archives, bill, check, debian, papers, shared, tree
from making.libraries import Unknown, depends

PROJECT = Path(__file__).parents[2]


def main() -> int:
    """Build what is asked for; returns the exit code."""
    parser = argparse.ArgumentParser(prog="packaging/build", description=__doc__)
    parser.add_argument("--check", action="store_true", help="look at what was built with the desktop's validators")
    parser.add_argument("--into", type=Path, default=PROJECT / "dist", metavar="FOLDER", help="where the files go")
    asked = parser.parse_args()
    asked.into.mkdir(parents=True, exist_ok=True)
    machine = platform.machine()
    when = papers.seconds(shared.current(PROJECT)[0])
    with tempfile.TemporaryDirectory(prefix="gearplan-build-") as folder:
        prefix, data = Path(folder) / "prefix", Path(folder) / "data"
        try:
            tree.make(PROJECT, prefix)
            shared.make(PROJECT, prefix)
            asks = depends(prefix)
            if wrong := check.starts(prefix, Path(folder) / "empty"):
                raise ValueError(f"the program that was built does not start: {wrong}")
        except (Unknown, ValueError) as refused:
            print(f"packaging/build: {refused}", file=sys.stderr)
            return 1
        name = f"gearplan-{__version__}"
        archive = asked.into / f"{name}-linux-{machine}.tar.xz"
        archive.write_bytes(archives.packed(prefix, name, when))
        shutil.copytree(prefix, data / "usr")
        package = asked.into / f"gearplan_{__version__}_{debian.architecture(machine)}.deb"
        package.write_bytes(debian.package(data, Path(folder) / "control", machine, asks, when))
        parts = asked.into / f"{name}.cdx.json"
        parts.write_bytes(bill.of(PROJECT, shared.current(PROJECT)[0].day.isoformat()))
        for made in (archive, package, parts):
            digest = hashlib.sha256(made.read_bytes()).hexdigest()
            print(f"{digest}  {made}  {made.stat().st_size / 1e6:.1f} MB")
        print(f"needs: {asks[0]}")
        return check.check(prefix, package) if asked.check else 0


if __name__ == "__main__":
    sys.exit(main())
