"""`gearplan numbers`: the numbers of the fitted and a proposed set."""

from __future__ import annotations

import argparse

from gearplan.commands.asked import chosen_set, json_argument, opened, print_json, set_arguments
from gearplan.plan.numbers import numbers
from gearplan.plan.pullwords import pull_text
from gearplan.plan.sentences import numbers_text


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Tell the parser of this command."""
    parser = commands.add_parser("numbers", help="print the numbers of the fitted and a proposed set")
    set_arguments(parser)
    json_argument(parser)
    parser.set_defaults(command=_run)


def _run(asked: argparse.Namespace) -> None:
    file = opened(asked.file)
    chosen = chosen_set(file, asked)
    if asked.json:
        print_json(numbers(file.bike, chosen) | {"notices": list(file.notices)})
        return
    print(numbers_text(file.bike, chosen))
    print(f"\n{pull_text(file.bike, chosen)}")
    for notice in file.notices:
        print(f"Notice: {notice}")
