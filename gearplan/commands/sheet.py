"""`gearplan sheet`: the fitting sheet of a proposed set, blank for the bench, or of a job in the bike file, filled."""

from __future__ import annotations

import argparse
from datetime import date

from gearplan.bike.files.bikefile import BikeFile
from gearplan.bike.work.job import Job
from gearplan.commands.asked import Refused, chosen_set, drawn, opened, paper, set_arguments, whole
from gearplan.language import tr, trn
from gearplan.plan.job.job import begin, contradictions, current
from gearplan.plan.job.steps.order import steps, targets_missing

_LATEST = 0


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Tell the parser of this command."""
    parser = commands.add_parser("sheet", help=tr("write the fitting sheet of a proposed set, or of a job, as a PDF"))
    set_arguments(parser)
    parser.add_argument("--chain", metavar="SIZE", help=tr('size of the proposed chain, such as "520"'))
    parser.add_argument("-o", "--output", required=True, metavar="SHEET", help=tr("the .pdf file to write"))
    parser.add_argument("--paper", type=paper, default="A4", metavar="a4|letter", help=tr("size of the pages"))
    parser.add_argument(
        "--filled",
        nargs="?",
        type=whole,
        const=_LATEST,
        metavar="N",
        help=tr("the job in the bike file, with what was written down: the N-th, or the one at hand or last"),
    )
    parser.add_argument("--owner", action="store_true", help=tr("say on it whose motorcycle it is"))
    parser.set_defaults(command=_run)


def _run(asked: argparse.Namespace) -> None:
    file = opened(asked.file)
    if asked.filled is None:
        chosen = chosen_set(file, asked)
        if chosen.tyre is not None:
            raise Refused(tr("--tyre: the fitting sheet is about the chain and its sprockets; leave the tyre out"))
        job = begin(file.bike, chosen, date.today())
    else:
        job = _kept(file, asked)
    # The painter needs Qt; little else on the command line does.
    from gearplan.sheet import painter
    from gearplan.sheet.fitting.content import fitting_sheet

    sheet = fitting_sheet(file.bike, job, filled=asked.filled is not None, paper=asked.paper, with_owner=asked.owner)
    drawn(asked.output, lambda target: painter.save_fitting_sheet(sheet, target))
    print(f"{sheet.title}: {sheet.head_line.lower()}. {' '.join(sheet.reasons)}")
    for finding in (*contradictions(job), *targets_missing(steps(file.bike, job))):
        print(tr("Check: {for_file}", for_file=finding.for_file))
    for notice in file.notices:
        print(tr("Notice: {notice}", notice=notice))


def _kept(file: BikeFile, asked: argparse.Namespace) -> Job:
    """The job in the file that was asked for."""
    if any(getattr(asked, key) is not None for key in ("front", "rear", "links", "chain", "tyre")):
        raise Refused(tr("--filled: the job in the file has a set of its own; leave --front, --rear and the like out"))
    jobs, number = file.bike.jobs, asked.filled
    if not jobs:
        raise Refused(tr("--filled: there is no job in this bike file yet; without it a blank sheet is written"))
    if number == _LATEST:
        return current(file.bike) or jobs[-1]
    if not 1 <= number <= len(jobs):
        raise Refused(
            trn(
                "--filled {number}: this bike file has {n} job",
                "--filled {number}: this bike file has {n} jobs",
                len(jobs),
                number=number,
            )
        )
    chosen: Job = jobs[number - 1]
    return chosen
