"""A fitting job as the bike file keeps it: what came off, what went on, what was measured, who signed.

Immutable, like the rest of the profile. Readings are kept as they were typed, number and unit ("17,50 mm"), so that
nothing typed is lost and a later version can read them anew. In the file each job is a [[job]].
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Any

from gearplan.bike.entries import entered
from gearplan.bike.values import check_text
from gearplan.language import marked, tr

from .jobcard import DAYS, JobCard
from .tables import entries_from, plain_entries, tables_of

#: How far a job has come: being worked on, fitted but not yet looked at after the first ride, finished.
STATES = (marked("open"), marked("fitted"), marked("done"))

Texts = tuple[tuple[str, str], ...]
#: Values of a profile that a job keeps: (section, ((field, value), …)) of what was entered.
Kept = tuple[tuple[str, tuple[tuple[str, Any], ...]], ...]
_MOST_TEXTS = 400


def _yes_or_no(label: str) -> Any:
    return entered(label, "choice", choices=(marked("yes"), marked("no")))


@dataclass(frozen=True, slots=True)
class JobPart:
    """What the shop entered for one part of the list: quantity, its own part number, a price each."""

    part: str | None = entered(tr("Part"), "text")
    quantity: float | None = entered(tr("Quantity"), "number", "", 0, 1000)
    number: str | None = entered(tr("Part number"), "text")
    price: float | None = entered(tr("Price"), "number", "", 0, 1_000_000)


@dataclass(frozen=True, slots=True)
class Job:
    """One job. The fields that begin with `old_` are the set that came off.

    `readings` are (blank, text as typed), `signed` (step, initials), `reasons` (step, why it was signed without its
    measurement or against its limit), `minutes` (step, how long it took), `checked` (step, initials of the second
    person), `photos` (file beside the bike's, step). `profile` are the bike's values as they were when the job was
    finished: what its sheet says rests on them for good.
    """

    date: str | None = entered(tr("Date"), "text", example="2026-05-31")
    state: str | None = entered(tr("State"), "choice", choices=STATES)
    technician: str | None = entered(tr("Technician's initials"), "text", example="M. K.")
    odometer_km: float | None = entered(tr("Odometer"), "number", "km", 0, 1_000_000)
    old_chain: str | None = entered(tr("Chain size before"), "chain")
    old_front: int | None = entered(tr("Front sprocket before"), "whole", "teeth", 9, 60)
    old_rear: int | None = entered(tr("Rear sprocket before"), "whole", "teeth", 9, 150)
    old_links: int | None = entered(tr("Chain length before"), "whole", "links", 20, 400)
    chain: str | None = entered(tr("Chain size"), "chain")
    front: int | None = entered(tr("Front sprocket"), "whole", "teeth", 9, 60)
    rear: int | None = entered(tr("Rear sprocket"), "whole", "teeth", 9, 150)
    links: int | None = entered(tr("Chain length"), "whole", "links", 20, 400)
    new_front: str | None = _yes_or_no(tr("New front sprocket"))
    new_rear: str | None = _yes_or_no(tr("New rear sprocket"))
    new_chain: str | None = _yes_or_no(tr("New chain"))
    opened: str | None = entered(
        tr("Old chain"), "choice", choices=(marked("cut"), marked("split at its link"), marked("left closed"))
    )
    closed: str | None = entered(
        tr("Chain closed by"), "choice", choices=(marked("rivet link"), marked("clip link"), marked("endless"))
    )
    wheel_out: str | None = _yes_or_no(tr("Rear wheel taken out"))
    track_only: str | None = _yes_or_no(tr("Parts for the track only"))
    consent: str | None = _yes_or_no(tr("Customer agrees to track use only"))
    note: str | None = entered(tr("Note"), "text")
    kind: str | None = entered(tr("Kind of motorcycle"), "text")
    old_wear: tuple[tuple[float, float], ...] | None = entered(
        tr("Readings of the old chain"), "points", "km, mm", 0, 1_000_000, most=3000
    )
    readings: Texts = ()
    signed: Texts = ()
    reasons: Texts = ()
    minutes: Texts = ()
    checked: Texts = ()
    photos: Texts = ()
    card: JobCard = JobCard()
    parts: tuple[JobPart, ...] = ()
    profile: Kept = ()


#: The tables of texts within a job.
_TABLES = ("readings", "signed", "reasons", "minutes", "checked", "photos")


def job_from_table(table: Mapping[str, Any]) -> tuple[Job, list[str], list[str]]:
    """(job, faults, notices) of one [[job]] as read from TOML; with faults the job lacks what is wrong.

    What it keeps of the profile is read by whoever knows the profile's fields.
    """
    faults: list[str] = []
    values = entries_from(Job, table, faults, days=("date",))
    for name in _TABLES:
        values[name] = tuple(_texts_from(table.get(name, {}), name, faults))
    card = table.get("card", {})
    if not isinstance(card, Mapping):
        faults.append(tr("card: must be a section of its own, headed [job.card]"))
        card = {}
    values["card"] = JobCard(**entries_from(JobCard, card, faults, "card, ", days=DAYS))
    values["parts"] = parts_from(table, "job", faults)
    known = {f.name for f in fields(Job)} - {"parts"} | {"part"}
    notices = [tr("“{key}” is not known and is left as it is", key=key) for key in table if key not in known]
    return Job(**values), faults, notices


def parts_from(table: Mapping[str, Any], heading: str, faults: list[str]) -> tuple[JobPart, ...]:
    """What the shop entered for parts, of a job or a proposal; `heading` is that of its table."""
    listed = enumerate(tables_of(table, "part", heading, faults), 1)
    return tuple(
        JobPart(**entries_from(JobPart, part, faults, tr("part {number}: ", number=number))) for number, part in listed
    )


def job_table(job: Job) -> dict[str, Any]:
    """The job as plain values for TOML, what is not entered left out; inverse of `job_from_table`."""
    table = plain_entries(job)
    for name in _TABLES:
        if texts := getattr(job, name):
            table[name] = dict(texts)
    if card := plain_entries(job.card):
        table["card"] = card
    if job.parts:
        table["part"] = [plain_entries(part) for part in job.parts]
    return table


def _texts_from(table: object, name: str, faults: list[str]) -> Iterator[tuple[str, str]]:
    if not isinstance(table, Mapping) or len(table) > _MOST_TEXTS:
        faults.append(tr("{name}: must be a section of texts, headed [job.{name}]", name=name))
        return
    for key, value in table.items():
        # A number that a person wrote without quotes is as good as its text.
        text = str(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else value
        if fault := check_text(text):
            faults.append(f"{name}, {key}: {fault}")
        else:
            yield str(key), str(text)
