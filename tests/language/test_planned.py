"""What the chain, a set and a fitting job say goes through the catalogues, whatever is missing or wrong."""

from __future__ import annotations

import subprocess
import sys


def test_no_text_of_chain_set_and_job_is_left_out() -> None:
    said = subprocess.run(
        [sys.executable, "-m", "tests.language.planned"], capture_output=True, text=True, encoding="utf-8", check=False
    )
    told = said.stdout.splitlines()
    assert said.stderr == ""
    assert told[:-1] == []
    assert int(told[-1].split()[2]) > 1000
