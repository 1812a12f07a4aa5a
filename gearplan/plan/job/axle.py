"""The axle as measured at the bench against where the links put it, the old chain's wear among them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from gearplan.bike import library
from gearplan.bike.profile import Bike
from gearplan.bike.text.numbertext import NumberTextError
from gearplan.bike.text.units import MM
from gearplan.bike.work.job import Job
from gearplan.drive.chain import wear
from gearplan.language import tr
from gearplan.plan.chain.reach import reach
from gearplan.plan.chain.wear import unlikely, wear_limit
from gearplan.plan.findings import Finding
from gearplan.plan.job.kept import bike_of
from gearplan.plan.job.steps.readings import ROUNDING, Question, Reading, parse_reading, shown
from gearplan.plan.job.steps.scope import new_set
from gearplan.plan.set.evaluate import evaluate


@dataclass(frozen=True, slots=True)
class _Axle:
    """The axle as read (m) against the nearest place at which the links may put it; they may differ by `doubt`.

    `words` are both in words, by the fields of the sentences that tell them.
    """

    read: float
    nearest: float
    doubt: float
    pitch: float
    words: dict[str, object]

    @property
    def by(self) -> float:
        return abs(self.read - self.nearest)

    @property
    def is_likely(self) -> bool:
        return self.by <= self.doubt + ROUNDING

    @property
    def is_behind(self) -> bool:
        return self.read > self.nearest


def worn_by(chain: str | None, readings: Mapping[str, Reading]) -> float | None:
    """The old chain's elongation (a fraction) by its readings."""
    size, links, length = library.chain_sizes().get(chain or ""), readings["gauge_links"], readings["gauge_length"]
    return None if size is None else wear.elongation(length.value, int(links.value), size.pitch_mm * MM)


def _old_elongation(job: Job) -> float | None:
    """The same where its readings are texts of another step; None unless they can be right."""
    typed = dict(job.readings)
    try:
        readings = {
            "gauge_links": parse_reading("count", typed.get("gauge_links", "")),
            "gauge_length": parse_reading("length", typed.get("gauge_length", "")),
        }
    except NumberTextError:
        return None
    found = worn_by(job.old_chain, readings) if readings["gauge_links"].value >= 1 else None
    return None if found is None or unlikely(found) else found


def axle_doubt(bike: Bike, job: Job) -> Question | None:
    """What is to be asked of the axle as measured; None where it can be, or nothing is computed.

    Half a pair of links is some 16 mm: an axle that far from where the links put it tells of a miscount.
    """
    at = _against(bike_of(bike, job), job)
    if at is None or at.is_likely:
        return None
    if at.is_behind:
        text = tr(
            "Pivot to axle {read}, {by:.0f} mm behind what is computed for {links} links: {place}. "
            "A pair of links is {pitch:.0f} mm of axle: count the links, then measure axle and swingarm again.",
            **at.words,
            by=at.by / MM,
            pitch=at.pitch / MM,
        )
    else:
        text = tr(
            "Pivot to axle {read}, {by:.0f} mm ahead of what is computed for {links} links: {place}. "
            "A pair of links is {pitch:.0f} mm of axle: count the links, then measure axle and swingarm again.",
            **at.words,
            by=at.by / MM,
            pitch=at.pitch / MM,
        )
    return Question("axle_now", text)


def axle_finding(bike: Bike, job: Job) -> Iterator[Finding]:
    """What is to be said of an axle that was measured where it should be."""
    at = _against(bike, job)
    if at is not None and at.is_likely:
        figures = (at.read / MM, at.nearest / MM, "mm", tr("exact chain run at the slack asked for"))
        text = tr("Pivot to axle {read}; computed for {links} links: {place}.", **at.words)
        yield Finding("fits", "axle", text, *figures)


def _against(bike: Bike, job: Job) -> _Axle | None:
    typed = dict(job.readings).get("axle_now", "")
    try:
        read = parse_reading("length", typed) if typed else None
    except NumberTextError:
        return None
    run, arm = evaluate(bike, new_set(job)).run, reach(bike)
    if read is None or job.links is None or run.axle_position is None or run.pitch is None or isinstance(arm, Finding):
        return None
    first = last = run.axle_position
    if job.new_chain != "yes":
        # A worn chain stands half of what it is longer farther back; how worn it is may not be known.
        worn = _old_elongation(job)
        longer = job.links * run.pitch / 2
        first += max(worn or 0.0, 0.0) * longer
        last += (wear_limit(bike).elongation if worn is None else max(worn, 0.0)) * longer
    nearest = min(max(read.value, first), last)
    place = (
        f"{first / MM:.0f} mm"
        if last - first < MM
        else tr("{first:.0f} to {last:.0f} mm", first=first / MM, last=last / MM)
    )
    words = {"read": shown(read.value, read.unit), "links": job.links, "place": place}
    return _Axle(read.value, nearest, arm.close, run.pitch, words)
