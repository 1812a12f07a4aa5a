"""Window or command: chosen before Qt is imported."""

from __future__ import annotations

import sys
from pathlib import Path

from gearplan import STOPPED


def main() -> int:
    """Start the program with the arguments of the process; returns the exit code, 130 after Ctrl+C in a command."""
    try:
        return _started(sys.argv[1:])
    except KeyboardInterrupt:
        print(STOPPED, file=sys.stderr)
        return 130


def _started(arguments: list[str]) -> int:
    from gearplan import cli

    if arguments and (arguments[0] in cli.COMMANDS or arguments[0].startswith("-")):
        return cli.run(arguments)
    if len(arguments) > 1:
        return cli.run(["--help-arguments", *arguments])
    file = arguments[0] if arguments else None
    if file is not None and (wrong := cli.told_apart(file)):
        print(f"gearplan: {wrong}", file=sys.stderr)
        return 2
    from gearplan.window.frame.display import display_problem

    if problem := display_problem():
        return _without_display(problem, file)
    from gearplan.window.frame import application

    return application.run(file)


def _without_display(problem: str, file: str | None) -> int:
    """Say so, print the numbers and leave a picture of the window's Speed page."""
    from gearplan import cli

    print(f"No window can be shown: {problem}.")
    print("The same bike without a window:\n")
    if code := cli.run(["numbers", *([file] if file else [])]):
        return code
    from gearplan.window.frame import application

    picture = Path("gearplan-speed.png").absolute()
    return application.photograph(file, picture)


if __name__ == "__main__":
    sys.exit(main())
