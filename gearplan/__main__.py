"""Window or command: chosen before Qt is imported."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from gearplan import STOPPED
from gearplan.bike.files.ownfolders import settings_file
from gearplan.commands import COMMANDS
from gearplan.language import LANGUAGES, speak, tr


def main() -> int:
    """Start the program with the arguments of the process; returns the exit code, 130 after Ctrl+C in a command."""
    try:
        return _started(sys.argv[1:])
    except KeyboardInterrupt:
        print(STOPPED, file=sys.stderr)
        return 130


def _started(arguments: list[str]) -> int:
    asks = bool(arguments) and (arguments[0] in COMMANDS or arguments[0].startswith("-"))
    if asks or len(arguments) > 1:
        # The window does without all that the commands need.
        from gearplan import cli

        return cli.run(arguments if asks else ["--help-arguments", *arguments])
    file = arguments[0] if arguments else None
    if file is not None and (wrong := told_apart(file)):
        print(tr("gearplan: {wrong}", wrong=wrong), file=sys.stderr)
        return 2
    _speak_as_chosen()
    from gearplan.window.frame.display import display_problem

    if problem := display_problem():
        return _without_display(problem, file)
    from gearplan.window.frame import application

    return application.run(file)


def _speak_as_chosen() -> None:
    """The language that was chosen in the window, before any text is told; where none was, the environment's stays."""
    import tomllib

    try:
        chosen = tomllib.loads(settings_file().read_text(encoding="utf-8")).get("language")
    except (OSError, ValueError, RuntimeError):
        # Settings that cannot be read are told of where all of them are.
        return
    if chosen in LANGUAGES:
        speak(chosen)


def told_apart(argument: str) -> str:
    """What is wrong with the only argument where it is neither a command nor a file; empty for a file, there or not."""
    if Path(argument).suffix or os.sep in argument or Path(argument).exists():
        return ""
    import difflib

    near = difflib.get_close_matches(argument, COMMANDS, 1, 0.6)
    guess = tr("; did you mean {near}?", near=near[0]) if near else ""
    return tr(
        "“{argument}” is neither a command nor a file{guess} (gearplan --help lists the commands)",
        argument=argument,
        guess=guess,
    )


def _without_display(problem: str, file: str | None) -> int:
    """Say so, print the numbers and leave a picture of the window's Speed page."""
    from gearplan import cli

    print(tr("No window can be shown: {problem}.", problem=problem))
    print(tr("The same bike without a window:\n"))
    if code := cli.run(["numbers", *([file] if file else [])]):
        return code
    from gearplan.window.frame import application

    picture = Path("gearplan-speed.png").absolute()
    return application.photograph(file, picture)


if __name__ == "__main__":
    sys.exit(main())
