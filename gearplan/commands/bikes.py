"""`gearplan bikes`: the bike files of folders as a list, or those that words ask for."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import Any

from gearplan.bike.text.written import counted
from gearplan.commands.asked import Refused, json_argument, print_json
from gearplan.language import tr
from gearplan.shelf.entry import Listed
from gearplan.shelf.order import COLUMNS, cells, in_order


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Tell the parser of this command."""
    parser = commands.add_parser("bikes", help=tr("list the bike files of folders, or find one by any word"))
    parser.add_argument("folders", nargs="+", metavar="FOLDER", help=tr("a folder with .bike.toml files"))
    parser.add_argument("--words", default="", metavar="WORDS", help=tr('what to look for, such as a plate: "XQ 4711"'))
    parser.add_argument("--sort", choices=_SORTS, default="motorcycle", metavar="|".join(_SORTS), help=tr("the order"))
    json_argument(parser)
    parser.set_defaults(command=_run)


#: As the columns of the list are named, in one word each.
_SORTS = {name.lower().replace(" ", "-"): name for name in COLUMNS}


def _run(asked: argparse.Namespace) -> None:
    # The window's start passes through here, and needs no database.
    from gearplan.shelf.index import in_memory
    from gearplan.shelf.looking import look

    folders = [Path(name).absolute() for name in asked.folders]
    for folder in folders:
        if not folder.is_dir():
            raise Refused(tr("{folder}: this is no folder", folder=folder))
    index = in_memory()
    looked = look(index, folders, date.today())
    of, found = index.entries(folders), index.matching(asked.words)
    index.close()
    shown = in_order((one for one in of if found is None or str(one.path) in found), _SORTS[asked.sort])
    if asked.json:
        print_json({"bikes": [_values(one) for one in shown], "files": len(of), "notices": list(looked.told)})
        return
    for one in shown:
        print(one.fault or "; ".join(filter(None, (str(one.path), *cells(one)[:-1]))))
    if not shown:
        print(
            tr("Nothing found in {counted}.", counted=counted(len(of), "file", "files"))
            if of
            else tr("There are no bike files (.bike.toml).")
        )
    for told in looked.told:
        print(tr("Notice: {told}", told=told))


def _values(one: Listed) -> dict[str, Any]:
    named = ("name", "owner", "registration", "job", "job_date", "chain", "due_km", "left_km", "fault", "proposals")
    return {"file": str(one.path)} | {key: getattr(one, key) for key in named}
