"""What a job's card says: how long each step took, who checked it as a second person, when the bike is due again."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from gearplan.bike.profile import Bike
from gearplan.bike.text.numbertext import NumberTextError, both_distances, format_number, parse_number
from gearplan.bike.work.job import Job
from gearplan.language import decimal, tr
from gearplan.plan.job.job import NotYet, is_signed, with_text
from gearplan.plan.job.steps.order import steps
from gearplan.plan.job.steps.scope import new_set
from gearplan.plan.job.steps.targets import Step
from gearplan.plan.words import set_name

#: How the last line of a label begins.
DUE_AGAIN = tr("Due again")
_OR = tr("or")
#: A step that took longer is a slip of the pen.
_MOST_MINUTES = 1440


def minutes_of(text: str) -> float:
    """How long a step took (min); ValueError for what cannot be."""
    try:
        value = parse_number(text.strip().removesuffix("min").strip())
    except NumberTextError as refused:
        raise ValueError(str(refused)) from refused
    if not 0 <= value <= _MOST_MINUTES:
        raise ValueError(
            tr(
                "{value} min can't be right; expected 0 to {most}",
                value=decimal(format_number(value)),
                most=_MOST_MINUTES,
            )
        )
    return value


def with_minutes(job: Job, step: str, text: str) -> Job:
    """The job with how long a step took; empty for nothing. ValueError for what cannot be."""
    if text.strip():
        text = format_number(minutes_of(text))
    return with_text(job, "minutes", step, text)


def minutes_in_all(job: Job) -> float:
    """How long the steps took together, as far as it was written down (min)."""
    return sum(_minutes(text) for _, text in job.minutes)


def time_words(minutes: float) -> str:
    """ "45 min", "1 h 05 min"."""
    whole = round(minutes)
    return f"{whole} min" if whole < 60 else f"{whole // 60} h {whole % 60:02d} min"


def wants_check(job: Job, step: Step) -> bool:
    """Whether a second person checks a step: what nobody may ride on without, where the shop wants it."""
    return step.relied_on and job.card.second_check == "yes"


def check_off(bike: Bike, job: Job, step: Step, initials: str) -> Job:
    """The job with a step checked by a second person; NotYet unless it is signed, by somebody else."""
    who = initials.strip()
    if who and not is_signed(bike, job, step):
        raise NotYet(tr("The step is signed off first, then checked."))
    if who and who.casefold() == dict(job.signed).get(step.key, "").strip().casefold():
        raise NotYet(tr("{who} signed this step; another person checks it.", who=who))
    return with_text(job, "checked", step.key, who)


def is_checked(bike: Bike, job: Job, step: Step) -> bool:
    """Whether a second person's check stands: it goes with the signature that it followed."""
    who = dict(job.checked).get(step.key, "")
    return bool(who) and is_signed(bike, job, step) and who.casefold() != dict(job.signed)[step.key].casefold()


def still_to_check(bike: Bike, job: Job) -> tuple[Step, ...]:
    """The steps that a second person has still to check."""
    return tuple(step for step in steps(bike, job) if wants_check(job, step) and not is_checked(bike, job, step))


def due_words(job: Job) -> tuple[str, ...]:
    """When the bike is due again: at which odometer, on which day, at which hours."""
    card = job.card
    found = [] if card.due_km is None else [tr("at {km}", km=both_distances(card.due_km))]
    found += [] if card.due_date is None else [tr("on {date}", date=card.due_date)]
    found += [] if card.due_hours is None else [tr("at {hours} h", hours=_hours(card.due_hours))]
    return tuple(found)


def due_again(bike: Bike, today: date, now_km: float | None) -> tuple[str, ...]:
    """What the last finished job's card says is due by now, in sentences; empty where nothing is.

    The hour meter is known from a job that was begun since.
    """
    at = next((at for at in reversed(range(len(bike.jobs))) if bike.jobs[at].state in ("fitted", "done")), None)
    if at is None:
        return ()
    hours = max((job.card.hours for job in bike.jobs[at:] if job.card.hours is not None), default=None)
    return tuple(_due(bike.jobs[at], today, now_km, hours))


def label_lines(job: Job) -> tuple[str, ...]:
    """What a label for bag or tank says of a job: what was fitted, when, and when it is due again."""
    at = "" if job.odometer_km is None else f", {both_distances(job.odometer_km)}"
    due = due_words(job)
    lines = (set_name(new_set(job)), f"{job.date or tr('No date')}{at}")
    return (*lines, f"{DUE_AGAIN} {f' {_OR} '.join(due)}") if due else lines


def _hours(value: float) -> str:
    return decimal(format_number(value))


def _minutes(text: str) -> float:
    try:
        return minutes_of(text)
    except ValueError:
        return 0.0


def _due(job: Job, today: date, now_km: float | None, now_hours: float | None) -> Iterator[str]:
    card = job.card
    if card.due_date is not None and today.isoformat() >= card.due_date:
        yield tr("Due since {since} by the job of {date}.", since=card.due_date, date=job.date or "–")
    if card.due_km is not None and now_km is not None and now_km >= card.due_km:
        yield tr(
            "Due at {due}; the odometer is at {now}.",
            due=both_distances(card.due_km),
            now=both_distances(now_km),
        )
    if card.due_hours is not None and now_hours is not None and now_hours >= card.due_hours:
        yield tr(
            "Due at {due} h; the hour meter is at {now} h.",
            due=_hours(card.due_hours),
            now=_hours(now_hours),
        )
