"""No part of the program asks the network for anything."""

from __future__ import annotations

import os
import platform
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.robustness.nonetwork import ENDED, SOCKET

ROOT = Path(__file__).parents[2]
linux = pytest.mark.skipif(
    sys.platform != "linux" or platform.machine() not in SOCKET, reason="the kernel's filter is Linux's"
)


def gone(way: str) -> subprocess.CompletedProcess[str]:
    environment = os.environ | {"PYTHONPATH": str(ROOT), "QT_QPA_PLATFORM": "offscreen"}
    asked = [sys.executable, "-P", "-m", "tests.robustness.nonetwork", way]
    return subprocess.run(asked, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)


@linux
def test_a_socket_would_be_noticed() -> None:
    told = gone("socket")
    assert told.stdout == "within the machine\n"
    assert told.returncode == ENDED


@linux
@pytest.mark.parametrize("way", ["commands", "window", pytest.param("pages", marks=pytest.mark.long)])
def test_no_way_through_the_program_asks_for_one(way: str) -> None:
    told = gone(way)
    assert told.returncode == 0, told.stderr


def test_nothing_that_talks_to_the_network_is_imported() -> None:
    talks = re.compile(
        r"^\s*(?:import|from) (?:(?:socket|ssl|http|urllib|ftplib|smtplib|asyncio|requests|httpx)\b"
        r"|PySide6.*Qt(?:Network|Web))",
        re.MULTILINE,
    )
    assert talks.search("x = 1\n    from PySide6.QtNetwork import QTcpSocket\n")
    read = {path.name: talks.findall(path.read_text(encoding="utf-8")) for path in (ROOT / "gearplan").rglob("*.py")}
    assert {name: found for name, found in read.items() if found} == {}
