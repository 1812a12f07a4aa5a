"""python -m tests.robustness.campaign COUNT [--seed N] [--only READER] [--into FOLDER]

Gives each reader of the program COUNT inputs that are almost right and prints a row for each: inputs, how many were
refused in words, faults, the slowest (s of the processor) and the hungriest (MB). The first input of each fault is
kept in FOLDER with what it did. Ends with 1 if there is any.
"""

from __future__ import annotations

import argparse
import os
import tempfile
from pathlib import Path


def main() -> int:
    """Run it."""
    asked = argparse.ArgumentParser(prog="python -m tests.robustness.campaign", description=__doc__)
    asked.add_argument("count", type=int)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--only", default="")
    asked.add_argument("--into", type=Path)
    given = asked.parse_args()
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    faults = inputs = 0
    with tempfile.TemporaryDirectory(prefix="campaign") as name:
        folder = Path(name)
        for variable in ("HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME"):
            os.environ[variable] = str(folder / "home")
        # The folders are known from here on.
        from gearplan.window.frame.application import prepared_application
        from tests.robustness.campaign.readers import readers
        from tests.robustness.campaign.trying import run

        app = prepared_application()
        print(f"{'reader':12} {'inputs':>9} {'refused':>9} {'faults':>7} {'slowest':>8} {'hungriest':>9}")
        for reader in readers():
            if given.only and given.only != reader.name:
                continue
            tally = run(reader, given.count, given.seed, folder)
            faults, inputs = faults + tally.faults, inputs + tally.inputs
            print(
                f"{reader.name:12} {tally.inputs:9} {tally.refused:9} {tally.faults:7} {tally.slowest:6.1f} s "
                f"{tally.hungriest:6.0f} MB",
                flush=True,
            )
            for number, (what, (ending, data, told)) in enumerate(tally.finds.items()):
                print(f"    {what}")
                if given.into is not None:
                    given.into.mkdir(parents=True, exist_ok=True)
                    stem = f"{reader.name.replace(' ', '-')}-{given.seed}-{number}"
                    (given.into / f"{stem}{ending}").write_bytes(data)
                    (given.into / f"{stem}.told").write_text(f"{what}\n{told}", encoding="utf-8")
        del app
    print(f"{inputs} inputs, {faults} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    raise SystemExit(main())
