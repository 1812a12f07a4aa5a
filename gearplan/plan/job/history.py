"""What was done to bikes and what is due: over one bike, and over a folder of bike files."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from gearplan.bike.files.bikefile import BikeFileError, read_bike
from gearplan.bike.files.folder import bike_files
from gearplan.bike.library import chain_sizes
from gearplan.bike.profile import Bike
from gearplan.bike.text.numbertext import both_distances
from gearplan.bike.work.job import Job
from gearplan.language import tr, trc, trn
from gearplan.plan.chain.wear import WearState, forecast_text, wear_state
from gearplan.plan.findings import Finding, Level
from gearplan.plan.job.card import due_again
from gearplan.plan.job.words import searched_words

NONE_INSTEAD: Mapping[Path, Bike] = {}

GoOn = Callable[[int, int], bool]


def _always(_done: int, _of: int) -> bool:
    return True


def _understood(english: str, spoken: str) -> str:
    """Words by a pattern that finds any of them: in English always, and in the language that is spoken."""
    return "|".join(dict.fromkeys((*english.split(), *spoken.lower().split())))


#: Words that carry no meaning in a question about jobs.
_FILLERS = frozenset(
    _understood(
        "a all an and any bike bikes did do does for had has have in is list me of on show that the to was were what "
        "when where which who with",
        trc(
            "what a search understands, in all its forms",
            "a all an and any bike bikes did do does for had has have in is list me of on show that the to was were "
            "what when where which who with",
        ),
    ).split("|")
)
#: Which chains are due, as it is asked: every form of both words.
_CHAIN, _IS_DUE = (
    _understood("chain chains", trc("what a search understands, in all its forms", "chain chains")),
    _understood("due", trc("what a search understands, in all its forms", "due")),
)
_DUE = re.compile(rf"(?:{_CHAIN})\s+(?:\w+\s+)?(?:{_IS_DUE})|(?:{_IS_DUE})\s+(?:{_CHAIN})")


def changes_to(spoken: str) -> tuple[re.Pattern[str], ...]:
    """A change to a chain size, as it is asked for, by the size: "520 conversion", and with the words for it in the
    spoken language, "520er …" and "… auf 520"."""
    change = _understood("conversion conversions", spoken)
    english = re.compile(r"(\S+)\s+conversions?\b")
    if change == "conversion|conversions":
        return (english,)
    before, after = rf"(\w+?)(?:er)?[\s-]+(?:{change})\b", rf"\b(?:{change})\s+(?:\w+\s+)?(\w+)"
    return (re.compile(before), re.compile(after))


_CHANGES = changes_to(trc("what a search understands, in all its forms", "conversion conversions"))


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
    done = [(at, job) for at, job in enumerate(bike.jobs) if _is_finished(job) and job.new_chain == "yes"]
    # Of one day the later entered; an odometer that was replaced may have fallen.
    return max(done, key=lambda found: (found[1].date or "", found[0]), default=(0, None))[1]


def unchecked(bike: Bike) -> Job | None:
    """The last finished job, if its check after the first ride is still to be signed."""
    last = next((job for job in reversed(bike.jobs) if _is_finished(job)), None)
    return last if last is not None and last.state == "fitted" else None


def _is_finished(job: Job) -> bool:
    return job.state in ("fitted", "done")


def chain_due(bike: Bike, today: date, *, now_km: float | None = None) -> ChainDue | None:
    """Whether the chain is due, by its readings and by the distance entered for it; None if nothing is known of it.

    `now_km` is the odometer today; without it the newest one in the file counts. A check after the first ride that
    nobody signed is due at any distance; what the last job's card asks for when its day, distance or hours have come.
    """
    fitted_by, worn, ride = last_new_chain(bike), wear_state(bike), unchecked(bike)
    newest = max(_odometers(bike, fitted_by, now_km), default=None)
    again = due_again(bike, today, newest)
    if fitted_by is None and worn is None and ride is None and not again:
        return None
    since = None if fitted_by is None else fitted_by.odometer_km
    interval = bike.service.chain_due_km
    by_distance = None if since is None or interval is None else since + interval
    by_wear = None if worn is None or worn.forecast is None else worn.forecast.due
    due = min((km for km in (by_distance, by_wear) if km is not None), default=None)
    finding = _finding(bike, today, worn, fitted_by, by_distance, newest, by_wear)
    told = list(again)
    if ride is not None:
        if ride.date:
            told.append(tr("The check after the first ride of {date} is not signed off.", date=ride.date))
        else:
            told.append(tr("The check after the first ride of the last job is not signed off."))
    if told:
        level: Level = "check" if finding.level == "fits" else finding.level
        finding = replace(finding, level=level, text=" ".join((*told, finding.text)))
    return ChainDue(finding, due, newest, since)


def _odometers(bike: Bike, since: Job | None, now_km: float | None) -> Iterator[float]:
    """The odometers read since a job, that job's own among them."""
    at = 0 if since is None else bike.jobs.index(since)
    now = bike.wear.odometer_km if now_km is None else now_km
    yield from (job.odometer_km for job in bike.jobs[at:] if _is_finished(job) and job.odometer_km is not None)
    yield from (km for km, _ in bike.wear.readings or ())
    if now is not None:
        yield now


def _finding(
    bike: Bike,
    today: date,
    worn: WearState | None,
    job: Job | None,
    by_distance: float | None,
    newest: float | None,
    by_wear: float | None,
) -> Finding:
    fitted = "" if job is None else _fitted(job, today)

    def told(*sentences: str) -> str:
        return " ".join(filter(None, (fitted, *sentences)))

    if worn is not None and worn.finding.level != "fits":
        found = worn.finding
        return Finding(found.level, "chain", told(found.text), found.value, found.limit, "%", found.source)
    if worn is not None and by_wear is not None and newest is not None and newest >= by_wear:
        due = tr(
            "By its readings the chain is due at {due}; the odometer is at {now}.", due=_km(by_wear), now=_km(newest)
        )
        return Finding("check", "chain", told(due), newest, by_wear, "km", tr("straight line through the readings"))
    if by_distance is not None and newest is not None:
        source = bike.service.chain_due_km_from or tr("as entered")
        given = {"due": _km(by_distance), "now": _km(newest)}
        if newest >= by_distance:
            due = tr("First chain check due at {due}; the odometer is at {now}.", **given)
            return Finding("check", "chain", told(due), newest, by_distance, "km", source)
        due = tr("First chain check due at {due}.", **given)
        return Finding("fits", "chain", told(due), newest, by_distance, "km", source)
    if worn is not None:
        return Finding("fits", "chain", told(worn.finding.text, forecast_text(worn)), None, None, "%")
    if job is None:
        return Finding("fits", "chain", tr("Nothing more is known of the chain's age."))
    lacking = tr("Add a reading of its length to know when it is due, or enter the first chain check.")
    return Finding("fits", "chain", told(lacking), field="service.chain_due_km")


def _fitted(job: Job, today: date) -> str:
    """When and where the chain was fitted, and how long ago."""
    km = None if job.odometer_km is None else _km(job.odometer_km)
    if job.date is None:
        return tr("Chain fitted.") if km is None else tr("Chain fitted at {km}.", km=km)
    day = date.fromisoformat(job.date)
    months = (today.year - day.year) * 12 + today.month - day.month - (today.day < day.day)
    given = {"date": job.date, "km": km}
    if months < 1:
        return tr("Chain fitted on {date}.", **given) if km is None else tr("Chain fitted on {date} at {km}.", **given)
    if km is None:
        return trn("Chain fitted on {date}, {n} month ago.", "Chain fitted on {date}, {n} months ago.", months, **given)
    return trn(
        "Chain fitted on {date} at {km}, {n} month ago.",
        "Chain fitted on {date} at {km}, {n} months ago.",
        months,
        **given,
    )


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
    for pattern in _CHANGES:
        for found in list(pattern.finditer(asked)):
            size = found[1]
            if size in {known.lower() for known in chain_sizes()}:
                if f"{size} conversion" not in text:
                    return False
                asked = asked.replace(found[0], " ")
    wanted = [word.strip(".,;:“”\"'") for word in asked.split()]
    return all(re.search(rf"(?<!\w){re.escape(word)}", text) for word in wanted if word and word not in _FILLERS)


def search_files(
    files: Iterator[Path], words: str, today: date, *, due: bool = False, instead: Mapping[Path, Bike] = NONE_INSTEAD
) -> Iterator[Found | str]:
    """Look through bike files one by one, so that a caller may show progress or stop.

    For each file first its findings, then "" as a sign that it is done, or why it cannot be read. With `due` it is
    told whose chains are due, otherwise which jobs the words ask for (all of them for no words). `instead` are bikes
    (by resolved path) that count in place of what their files hold, such as one that is open and not saved.
    """
    for path in files:
        try:
            now = instead.get(path.resolve()) if instead else None
            bike = read_bike(path).bike if now is None else now
            yield from tuple(_found(path, bike, words, today, due=due))
        except BikeFileError as error:
            yield str(error)
            continue
        except Exception as error:
            # Whatever is wrong with one file, the others are still looked into, and it is named.
            yield tr("{path}: cannot be judged: {error}", path=path, error=error).replace("\n", " ")
            continue
        yield ""


def _found(path: Path, bike: Bike, words: str, today: date, *, due: bool) -> Iterator[Found]:
    if due:
        state = chain_due(bike, today)
        if state is not None and state.is_due:
            yield Found(path, bike.name, due=state)
        return
    for job in bike.jobs:
        if matches(words, bike.name, job):
            yield Found(path, bike.name, job=job)


def search(
    folder: Path,
    words: str,
    today: date,
    *,
    due: bool = False,
    instead: Mapping[Path, Bike] = NONE_INSTEAD,
    go_on: GoOn = _always,
) -> Search:
    """The whole answer over a folder, or over one file; OSError if the folder cannot be read.

    Words that ask for it mean `due`. `go_on` is told after each file how many are done and how many there are (0 while
    they are still being listed); the search ends where it says no.
    """
    due = due or asks_for_due(words)
    found: list[Found] = []
    broken: list[tuple[Path, str]] = []
    files: list[Path] = []
    for path in (folder,) if folder.is_file() else bike_files(folder, broken):
        files.append(path)
        if not go_on(0, 0):
            return Search((), len(files), tuple(broken))
    at = 0
    for answer in search_files(iter(files), words, today, due=due, instead=instead):
        if isinstance(answer, Found):
            found.append(answer)
            continue
        if answer:
            broken.append((files[at], answer))
        at += 1
        if not go_on(at, len(files)):
            break
    return Search(tuple(found), len(files), tuple(broken))
