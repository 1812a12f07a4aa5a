"""The steps of a fitting in working order: what to do, beware of, aim at, take in hand and write down.

They adapt to the job: the chain cut, split or left closed, one sprocket or both, another size, the wheel out or not.
What to aim at comes from the bike's service data; what is not entered there stays a blank line, never a number.
The order and the advice are common practice, no source; the maker's manual comes first.
"""

from __future__ import annotations

from gearplan.bike.profile import Bike, entry
from gearplan.bike.work.job import Job
from gearplan.language import tr
from gearplan.plan.findings import Finding
from gearplan.plan.job.kept import bike_of

from .apart import taken_apart
from .closing import closing_checks
from .targets import Step
from .together import put_together


def steps(bike: Bike, job: Job) -> tuple[Step, ...]:
    """The steps of a job on this bike; those of a finished job by the values that it keeps."""
    bike = bike_of(bike, job)
    return (*taken_apart(bike, job), *put_together(bike, job), *closing_checks(bike, job))


def targets_missing(listed: tuple[Step, ...]) -> tuple[Finding, ...]:
    """For each target that the service data lack, what to enter; the sheet has a blank line for it."""
    found = {}
    for lacking in (t for step in listed for t in step.targets if not t.text):
        section, key = lacking.field.split(".")
        label = entry(section, key).label
        text = tr("Still to be taken from the manual: {label}; the sheet has a line for it.", label=label)
        found[lacking.field] = Finding("check", "service data", text, field=lacking.field)
    return tuple(found.values())
