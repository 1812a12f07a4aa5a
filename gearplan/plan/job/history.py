"""What was done to bikes and what is due: over one bike, and over a folder of bike files."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from gearplan.bike.files.bikefile import BikeFileError, read_bike
from gearplan.bike.job import Job
from gearplan.bike.library import chain_sizes
from gearplan.bike.numbertext import both_distances
from gearplan.bike.profile import Bike
from gearplan.plan.findings import Finding
from gearplan.plan.job.words import searched_words
from gearplan.plan.set.wear import WearState, forecast_text, wear_state

_SUFFIX = ".bike.toml"
_FILLERS = frozenset({
    "a", "all", "an", "and", "any", "bike", "bikes", "did", "do", "does", "for", "had", "has", "have", "in", "is",
    "list", "me", "of", "on", "show", "that", "the", "to", "was", "were", "what", "when", "where", "which", "who",
    "with",
})  # fmt: skip
_DUE = re.compile(r"chains?\s+(?:\w+\s+)?due|due\s+chains?")


@dataclass(frozen=True, slots=True)
class ChainDue:
    """Whether a bike's chain is due: the finding, the odometer at which it is due if that is known, and both the
    newest odometer in the file and that at which the chain was fitted (km)."""

    finding: Finding
    due_km: float | None = None
    now_km: float | None = None
    fitted_km: float | None = None

    @property
    def is_due(self) -> bool:
        """Whether somebody should look at the chain now."""
        return self.finding.level != "fits"


@dataclass(frozen=True, slots=True)
class Found:
    """One answer: the file, the bike's name, and the job or what is due."""

    path: Path
    name: str
    job: Job | None = None
    due: ChainDue | None = None


@dataclass(frozen=True, slots=True)
class Search:
    """What a search found, how many files it looked into, and (file or folder, why) of those that cannot be read."""

    found: tuple[Found, ...]
    files: int
    broken: tuple[tuple[Path, str], ...]


def last_new_chain(bike: Bike) -> Job | None:
    """The last finished job that put a new chain on."""
    done = [job for job in bike.jobs if job.state in ("fitted", "done") and job.new_chain == "yes"]
    return max(done, key=lambda job: (job.date or "", job.odometer_km or 0.0), default=None)


def chain_due(bike: Bike, today: date, *, now_km: float | None = None) -> ChainDue | None:
    """Whether the chain is due, by its readings and by the distance entered for it; None if nothing is known of it.

    `now_km` is the odometer today; without it the newest one in the file counts.
    """
    fitted_by, worn = last_new_chain(bike), wear_state(bike)
    if fitted_by is None and worn is None:
        return None
    known = [km for km, _ in bike.wear.readings or ()] + [job.odometer_km for job in bike.jobs if job.odometer_km]
    newest = max([*known, *([] if now_km is None else [now_km])], default=None)
    since = None if fitted_by is None else fitted_by.odometer_km
    interval = bike.service.chain_due_km
    by_distance = None if since is None or interval is None else since + interval
    by_wear = None if worn is None or worn.forecast is None else worn.forecast.due
    due = min((km for km in (by_distance, by_wear) if km is not None), default=None)
    return ChainDue(_finding(bike, today, worn, fitted_by, by_distance, newest, by_wear), due, newest, since)


def _finding(
    bike: Bike,
    today: date,
    worn: WearState | None,
    job: Job | None,
    by_distance: float | None,
    newest: float | None,
    by_wear: float | None,
) -> Finding:
    fitted = "" if job is None else f"{_fitted(job, today)} "
    if worn is not None and worn.finding.level != "fits":
        found = worn.finding
        return Finding(found.level, "chain", f"{fitted}{found.text}", found.value, found.limit, "%", found.source)
    if worn is not None and by_wear is not None and newest is not None and newest >= by_wear:
        text = f"{fitted}By its readings the chain is due at {_km(by_wear)}; the odometer is at {_km(newest)}."
        return Finding("check", "chain", text, newest, by_wear, "km", "straight line through the readings")
    if by_distance is not None and newest is not None:
        source = bike.service.chain_due_km_from or "as entered"
        if newest >= by_distance:
            text = f"{fitted}To be looked at from {_km(by_distance)}; the odometer is at {_km(newest)}."
            return Finding("check", "chain", text, newest, by_distance, "km", source)
        text = f"{fitted}To be looked at from {_km(by_distance)}."
        return Finding("fits", "chain", text, newest, by_distance, "km", source)
    if worn is not None:
        return Finding("fits", "chain", f"{fitted}{worn.finding.text} {forecast_text(worn)}", None, None, "%")
    lacking = "Add a reading of its length to know when it is due, or enter after how far it is looked at again."
    return Finding("fits", "chain", f"{fitted}{lacking}", field="service.chain_due_km")


def _fitted(job: Job, today: date) -> str:
    """When and where the chain was fitted, and how long ago."""
    at = "" if job.odometer_km is None else f" at {_km(job.odometer_km)}"
    day = date.fromisoformat(job.date) if job.date else None
    if day is None:
        return f"Chain fitted{at}."
    months = (today.year - day.year) * 12 + today.month - day.month - (today.day < day.day)
    ago = f", {months} month{'' if months == 1 else 's'} ago" if months >= 1 else ""
    return f"Chain fitted on {job.date}{at}{ago}."


def _km(value: float) -> str:
    return both_distances(round(value))


def asks_for_due(words: str) -> bool:
    """Whether words ask which chains are due."""
    return bool(_DUE.search(words.lower()))


def matches(words: str, name: str, job: Job) -> bool:
    """Whether a job is what the words ask for: every word that carries meaning begins a word of it.

    "520 conversion" means a change to that size, so these two words are looked for together.
    """
    text = searched_words(name, job)
    asked = words.lower().replace("?", " ")
    for size in re.findall(r"(\S+)\s+conversions?\b", asked):
        if size in {known.lower() for known in chain_sizes()}:
            if f"{size} conversion" not in text:
                return False
            asked = re.sub(rf"{re.escape(size)}\s+conversions?\b", " ", asked)
    wanted = [word.strip(".,;:“”\"'") for word in asked.split()]
    return all(re.search(rf"(?<!\w){re.escape(word)}", text) for word in wanted if word and word not in _FILLERS)


def bike_files(folder: Path, closed: list[tuple[Path, str]]) -> Iterator[Path]:
    """The bike files in a folder and the folders in it, in order; links to folders are not followed.

    Folders within that cannot be read are added to `closed`, with why; OSError if it is the folder itself.
    """

    def refuse(error: OSError) -> None:
        place = Path(error.filename or "")
        if place == folder:
            raise error
        closed.append((place, f"{place}: this folder cannot be searched: {error.strerror}"))

    for place, inside, files in os.walk(folder, onerror=refuse):
        inside.sort()
        for file in sorted(files):
            if file.endswith(_SUFFIX) and not file.startswith("."):
                yield Path(place) / file


def search_files(files: Iterator[Path], words: str, today: date, *, due: bool = False) -> Iterator[Found | str]:
    """Look through bike files one by one, so that a caller may show progress or stop.

    For each file first its findings, then "" as a sign that it is done, or why it cannot be read. With `due` it is
    told whose chains are due, otherwise which jobs the words ask for (all of them for no words).
    """
    for path in files:
        try:
            bike = read_bike(path).bike
        except BikeFileError as error:
            yield str(error)
            continue
        if due:
            state = chain_due(bike, today)
            if state is not None and state.is_due:
                yield Found(path, bike.name, due=state)
        else:
            for job in bike.jobs:
                if matches(words, bike.name, job):
                    yield Found(path, bike.name, job=job)
        yield ""


def search(folder: Path, words: str, today: date, *, due: bool = False) -> Search:
    """The whole answer over a folder, or over one file; OSError if the folder cannot be read.

    Words that ask for it mean `due`.
    """
    due = due or asks_for_due(words)
    found: list[Found] = []
    broken: list[tuple[Path, str]] = []
    files = [folder] if folder.is_file() else list(bike_files(folder, broken))
    at = 0
    for answer in search_files(iter(files), words, today, due=due):
        if isinstance(answer, Found):
            found.append(answer)
            continue
        if answer:
            broken.append((files[at], answer))
        at += 1
    return Search(tuple(found), len(files), tuple(broken))
