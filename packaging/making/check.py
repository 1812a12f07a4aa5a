"""What the desktop's own validators say of what was built; one that is not on this machine is named."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path


def starts(prefix: Path, folder: Path) -> str:
    """What goes wrong when the program draws its window without a display, in an empty folder; "" if nothing does."""
    folder.mkdir()
    told = subprocess.run(
        [prefix / "bin" / "gearplan"],
        capture_output=True,
        text=True,
        check=False,
        cwd=folder,
        env={"HOME": str(folder), "PATH": "/usr/bin:/bin"},
    )
    drawn = (folder / "gearplan-speed.png").is_file()
    return "" if told.returncode == 0 and drawn and not told.stderr else told.stderr or "no picture was written"


def check(prefix: Path, package: Path) -> int:
    """Have each look; returns 0 if none refuses, 1 if one does."""
    share = prefix / "share"
    looks = (
        ("desktop-file-validate", [share / "applications" / "gearplan.desktop"]),
        ("appstreamcli", ["validate", "--no-net", share / "metainfo" / "gearplan.metainfo.xml"]),
        ("xmllint", ["--noout", share / "mime" / "packages" / "gearplan.xml"]),
        ("man", ["--warnings", "-E", "UTF-8", "-l", "-Tutf8", "-Z", share / "man" / "man1" / "gearplan.1.gz"]),
        ("bash", ["-n", share / "bash-completion" / "completions" / "gearplan"]),
        ("lintian", ["--fail-on", "error", "--allow-root", package]),
    )
    refused = []
    for name, arguments in looks:
        if shutil.which(name) is None:
            print(f"check: {name} is not on this machine, so nothing was asked of it")
            continue
        told = subprocess.run(
            [name, *arguments], capture_output=True, text=True, check=False, env={**os.environ, "LC_ALL": "C.UTF-8"}
        )
        # The man page's formatted text is not of interest, only what is wrong with it.
        words = told.stderr if name == "man" else told.stdout + told.stderr
        wrong = told.returncode != 0 or (name == "man" and bool(words.strip()))
        refused += [name] if wrong else []
        print(f"check: {name}: {'refused' if wrong else 'passed'}")
        print("".join(f"  {line}\n" for line in words.splitlines()), end="")
    return 1 if refused else 0
