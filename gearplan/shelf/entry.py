"""What the list holds of one bike file, and the words by which it is found."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from gearplan.bike.files.bikefile import BikeFileError, read_bike
from gearplan.bike.profile import Bike, entries
from gearplan.bike.work.job import Job
from gearplan.language import tr
from gearplan.plan.driveset import fitted
from gearplan.plan.findings import Level
from gearplan.plan.job.history import chain_due
from gearplan.plan.job.words import job_title, searched_words
from gearplan.plan.quote.proposals import open_words
from gearplan.plan.words import set_name


@dataclass(frozen=True, slots=True)
class Listed:
    """One bike file. `chain` says how its chain stands ("" where nothing is known of it), `due_km` the odometer at
    which it is due and `left_km` how far that is from the newest one in the file (km).

    `fault` says why a file cannot be read; all else of it is then blank. `words` are what a search looks through.
    """

    path: Path
    name: str = ""
    owner: str = ""
    registration: str = ""
    job: str = ""
    job_date: str = ""
    chain: Level | str = ""
    due_km: float | None = None
    left_km: float | None = None
    proposals: str = ""
    proposed: str = ""
    fault: str = ""
    words: str = ""


def listed(path: Path, today: date) -> Listed:
    """A bike file as the list holds it; one that cannot be read is listed with the reason."""
    try:
        return of_bike(path, read_bike(path).bike, today)
    except BikeFileError as error:
        fault = str(error)
    except Exception as error:
        # Whatever is wrong with one file, the others are still listed, and it is named.
        fault = tr("{path}: cannot be judged: {error}", path=path, error=error).replace("\n", " ")
    return Listed(path, fault=fault, words=path.name)


def of_bike(path: Path, bike: Bike, today: date) -> Listed:
    """A bike as the list holds it."""
    due = chain_due(bike, today)
    last = max(enumerate(bike.jobs), key=lambda job: (job[1].date or "", job[0]), default=(0, Job()))[1]
    left = None if due is None or due.due_km is None or due.now_km is None else due.due_km - due.now_km
    return Listed(
        path,
        name=bike.name,
        owner=bike.owner.name or "",
        registration=bike.owner.registration or "",
        job=job_title(last) if bike.jobs else "",
        job_date=last.date or "",
        chain="" if due is None else due.finding.level,
        due_km=None if due is None else due.due_km,
        left_km=left,
        proposals=open_words(bike),
        proposed=max((one.date or "" for one in bike.proposals if one.open), default=""),
        words=" ".join(_words(path, bike)),
    )


def _words(path: Path, bike: Bike) -> Iterator[str]:
    yield from (path.name, bike.name, bike.kind, set_name(fitted(bike)), bike.tyre.size or "")
    for key, _ in entries("owner"):
        text = getattr(bike.owner, key) or ""
        yield text
        if key != "note":
            # "XQ 4711", "XQ-4711" and "xq4711" are one plate, and a telephone number is written in many ways.
            yield re.sub(r"\W", "", text)
            yield " ".join(re.findall(r"[^\W\d]+|\d+", text))
    yield from (searched_words("", job) for job in bike.jobs)
    yield from (" ".join(filter(None, (one.name, one.quote, one.state))) for one in bike.proposals)
