"""What the window's first frame needs: nothing of it waits for what computes."""

from __future__ import annotations

import subprocess
import sys


def test_the_frame_comes_without_numpy() -> None:
    told = "import sys, gearplan.window.frame.workbench; print('numpy' in sys.modules, 'pyqtgraph' in sys.modules)"
    found = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert found.stdout.split() == ["False", "False"]
