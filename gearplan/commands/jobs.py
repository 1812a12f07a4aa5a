"""`gearplan jobs`: what was done to the bikes of a folder, or whose chains are due."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import Any

from gearplan.commands.asked import Refused, json_argument, print_json
from gearplan.language import tr
from gearplan.plan.job.history import Found, Search, search
from gearplan.plan.job.words import job_line, job_title


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Tell the parser of this command."""
    parser = commands.add_parser("jobs", help=tr("search the fitting jobs in a folder of bike files"))
    parser.add_argument("folder", metavar="FOLDER", help=tr("a folder with .bike.toml files, or one such file"))
    parser.add_argument("--words", default="", metavar="WORDS", help=tr('what to look for, such as "520 conversion"'))
    parser.add_argument("--chains-due", action="store_true", help=tr("whose chains are worn, or due by the distance"))
    json_argument(parser)
    parser.set_defaults(command=_run)


def _run(asked: argparse.Namespace) -> None:
    folder = Path(asked.folder)
    try:
        answer = search(folder, asked.words, date.today(), due=asked.chains_due)
    except OSError as failed:
        raise Refused(
            tr("{folder}: cannot be searched: {strerror}", folder=folder, strerror=failed.strerror)
        ) from failed
    if folder.is_file() and answer.broken:
        raise Refused(answer.broken[0][1])
    if asked.json:
        print_json(_values(answer))
        return
    for found in answer.found:
        print(f"{found.path}: {found.name or tr('Unnamed bike')}: {_told(found)}")
    if not answer.found:
        print(tr("Nothing found.") if answer.files else tr("There are no bike files (.bike.toml) in this folder."))
    for _, why in answer.broken:
        print(tr("Skipped: {why}", why=why))


def _told(found: Found) -> str:
    if found.due is not None:
        return found.due.finding.text
    assert found.job is not None
    return job_line(found.job)


def _values(answer: Search) -> dict[str, Any]:
    jobs, due = [], []
    for found in answer.found:
        about = {"file": str(found.path), "name": found.name}
        if (job := found.job) is not None:
            kept = ("date", "state", "technician", "odometer_km", "chain", "front", "rear", "links")
            before = ("old_chain", "old_front", "old_rear", "old_links")
            new = ("new_front", "new_rear", "new_chain", "track_only", "consent")
            jobs.append(about | {"title": job_title(job)} | {k: getattr(job, k) for k in (*kept, *before, *new)})
        if (state := found.due) is not None:
            numbers = {"due_km": state.due_km, "now_km": state.now_km, "fitted_km": state.fitted_km}
            due.append(about | {"level": state.finding.level, "text": state.finding.text} | numbers)
    broken = [{"file": str(path), "text": why} for path, why in answer.broken]
    return {"jobs": jobs, "chains_due": due, "files": answer.files, "broken": broken}
