"""What stands on the fitting sheet, apart from how it is drawn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from gearplan.bike.profile import Bike, entry
from gearplan.bike.stock import Stock
from gearplan.bike.text.numbertext import both_distances, shown_number
from gearplan.bike.text.written import listed
from gearplan.bike.work.job import Job
from gearplan.language import decimal, tr
from gearplan.plan.findings import Finding, Level
from gearplan.plan.job.card import due_words, is_checked, label_lines, minutes_in_all, time_words
from gearplan.plan.job.job import RIDE, contradictions, is_signed, still_to_sign
from gearplan.plan.job.kept import bike_of, is_recomputed
from gearplan.plan.job.parts import Part, parts
from gearplan.plan.job.steps.order import steps, targets_missing
from gearplan.plan.job.steps.readings import Blank
from gearplan.plan.job.steps.scope import new_set, old_set
from gearplan.plan.job.steps.targets import Step
from gearplan.plan.job.verdicts import step_state
from gearplan.plan.job.words import job_title, reasons_told
from gearplan.plan.set.doubts import judged
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.plan.set.measurenext import measure_next
from gearplan.plan.set.quantities import CHAIN, RATIO
from gearplan.plan.set.sideview import SideView, side_view
from gearplan.plan.set.verdict import verdict
from gearplan.plan.set.words import no_drawing
from gearplan.plan.words import CAUTIONS, set_name, whose
from gearplan.sheet.shop import NO_SHOP, Paper, Shop

#: The numbers of both sets that a fitter needs, of those that are listed.
_LISTED = (
    tr("Pivot to axle"),
    tr("Axle back from where it stands"),
    tr("Centre distance"),
    tr("Wheelbase"),
    tr("Slack needed as it stands"),
    tr("Wear the adjuster can take up"),
)
#: So many measurements are named at most.
_MOST_ASKED = 3
#: A longer name of a page is cut on paper; the bike file holds it whole.
_LONGEST_SOURCE = 60
_LINE_KINDS = {"length": "mm", "torque": "N·m"}

NO_PHOTOS: Mapping[str, bytes] = {}
RECOMPUTED = tr("Computed from today's bike data: nothing of that day's was kept with this job.")


@dataclass(frozen=True, slots=True)
class SheetBlank:
    """A place to write: its label, the unit printed behind the line, and what is filled in ("" for a blank).

    `choices` are words one of which is ticked instead; `wide` is for words.
    """

    label: str
    unit: str
    text: str
    choices: tuple[str, ...] = ()
    wide: bool = False


@dataclass(frozen=True, slots=True)
class SheetStep:
    """One step: `targets` are (label, text or "" for a blank line, unit, source), `told` what its readings say."""

    title: str
    how: str
    caution: str
    tool: str
    targets: tuple[tuple[str, str, str, str], ...]
    blanks: tuple[SheetBlank, ...]
    told: tuple[str, ...]
    ticked: bool
    initials: str


@dataclass(frozen=True, slots=True)
class SheetPart:
    """One line of the parts: a box to tick, the name with its reason, and the shop's quantity, number and price."""

    action: str
    name: str
    quantity: str
    number: str
    price: str


@dataclass(frozen=True, slots=True)
class FittingSheet:
    """The sheet, ready to be drawn; `head` are (label, text or "" for a blank line) of the job.

    `exceptions` are what was signed with a reason, or not signed before the ride. `signature` is the customer's, points
    of a field from 1 to `FIELD`, `photos` are (title, file's bytes).
    """

    bike: str
    title: str
    head: tuple[tuple[str, str], ...]
    exceptions: tuple[str, ...]
    fitted: str
    proposed: str
    verdict: Level
    head_line: str
    heeded: tuple[str, ...]
    reasons: tuple[str, ...]
    rows: tuple[tuple[str, str, str], ...]
    on: SideView | None
    view: SideView | None
    no_view: str
    parts: tuple[SheetPart, ...]
    steps: tuple[SheetStep, ...]
    lacking: tuple[str, ...]
    cautions: tuple[str, ...]
    paper: Paper
    shop: Shop = NO_SHOP
    signature: tuple[tuple[float, float], ...] = ()
    photos: tuple[tuple[str, bytes], ...] = ()
    currency: str = ""


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A label for bag or tank, ready to be drawn."""

    bike: str
    whose: str
    lines: tuple[str, ...]


def label_sheet(bike: Bike, job: Job, *, with_owner: bool = False) -> LabelSheet:
    """The label of a job; `with_owner` says on it whose motorcycle it is."""
    return LabelSheet(bike.name or tr("Unnamed bike"), whose(bike) if with_owner else "", label_lines(job))


def fitting_sheet(
    bike: Bike,
    job: Job,
    *,
    filled: bool = True,
    paper: Paper = "A4",
    stock: Stock | None = None,
    with_owner: bool = False,
    shop: Shop = NO_SHOP,
    photos: Mapping[str, bytes] = NO_PHOTOS,
    currency: str = "",
) -> FittingSheet:
    """The sheet of a job; without `filled` all that is to be written at the bench is blank.

    A job that is done already is shown against the set that it took off, by the values that it keeps. `with_owner`
    says on it whose motorcycle it is. `photos` are those of the job by their names, for a page of their own. Its
    prices are in `currency`.
    """
    bike = bike_of(bike, job)
    before = _as_it_was(bike, job)
    on, proposed = evaluate(before, old_set(job)), evaluate(before, new_set(job))
    listed = steps(bike, job)
    view = side_view(before, proposed)
    found = contradictions(job) if filled else ()
    recomputed = (RECOMPUTED,) if is_recomputed(job) else ()
    said = verdict(judged(before, proposed))
    # On paper for the bench: what is worth measuring while the motorcycle stands there.
    asked = (
        ()
        if filled
        else tuple(tr("Next: {text}", text=one.text) for one in measure_next(before, proposed)[:_MOST_ASKED])
    )
    return FittingSheet(
        bike=bike.name or tr("Unnamed bike"),
        title=job_title(job),
        head=(
            *(((tr("Whose motorcycle"), told),) if with_owner and (told := whose(bike)) else ()),
            *_head(job, filled),
        ),
        exceptions=_exceptions(bike, job) if filled else (),
        fitted=tr("To remove: {set_name}", set_name=set_name(on.set)),
        proposed=tr("To fit: {set_name}", set_name=set_name(proposed.set)),
        verdict=said.level,
        head_line=said.head,
        heeded=said.told,
        reasons=(
            *said.passed,
            *(f.text for f in found),
            *recomputed,
            *asked,
        ),
        rows=_rows(on, proposed),
        on=side_view(before, on),
        view=view,
        no_view="" if view is not None else _why_no_view(proposed),
        parts=tuple(_part(part, filled) for part in parts(bike, job, stock)),
        steps=tuple(_step(bike, job, step, filled) for step in listed),
        lacking=tuple(_label(finding) for finding in targets_missing(listed)),
        cautions=CAUTIONS,
        paper=paper,
        shop=shop,
        signature=(job.card.signature or ()) if filled else (),
        photos=tuple(_photos(job, listed, photos)) if filled else (),
        currency=currency,
    )


def _photos(job: Job, listed: tuple[Step, ...], photos: Mapping[str, bytes]) -> Iterator[tuple[str, bytes]]:
    """Each photo below the title of its step, in working order."""
    for place, step in enumerate(listed, 1):
        for name, key in job.photos:
            if key == step.key and name in photos:
                yield f"{place}. {step.title}", photos[name]


def _as_it_was(bike: Bike, job: Job) -> Bike:
    """The bike with the set that came off as its fitted one, so that an old job's sheet tells the same as then.

    The wear log is that of the old chain, and says nothing of a new one.
    """
    old = old_set(job)
    if job.new_chain == "yes":
        bike = replace(bike, wear=replace(bike.wear, readings=None))
    on = replace(bike.final_drive, chain=old.chain, front=old.front, rear=old.rear, links=old.links)
    return replace(bike, final_drive=on, jobs=())


def _head(job: Job, filled: bool) -> tuple[tuple[str, str], ...]:
    at = "" if job.odometer_km is None else both_distances(job.odometer_km)
    entered = ((tr("Date"), job.date or ""), (tr("Odometer"), at), (tr("Technician"), job.technician or ""))
    head = [(label, text if filled else "") for label, text in entered]
    if job.track_only == "yes":
        agreed = tr("agreed to by the customer") if filled and job.consent == "yes" else ""
        head.append((tr("Parts for the track only, customer's consent"), agreed))
    if filled:
        head += _card(job)
    head.append((tr("Note"), (job.note or "") if filled else ""))
    return tuple(head)


def _card(job: Job) -> list[tuple[str, str]]:
    """What the card says, in two lines at most."""
    card = job.card
    took = minutes_in_all(job)
    wrench = " ".join(
        filter(
            None,
            (
                card.wrench,
                card.wrench_calibrated
                and tr("calibrated on {wrench_calibrated}", wrench_calibrated=card.wrench_calibrated),
            ),
        )
    )
    told = (
        (tr("Time"), time_words(took) if took else ""),
        (tr("Torque wrench"), wrench),
        (tr("Chain, make and batch"), card.chain_batch or ""),
        (tr("Old parts"), card.old_parts or ""),
        (tr("Hour meter"), "" if card.hours is None else f"{shown_number(card.hours)} h"),
        (tr("Due again"), listed(due_words(job), tr("or"))),
    )
    words = "; ".join(f"{label}: {text}" for label, text in told if text)
    return [(tr("Job card"), words)] if words else []


def _initials(bike: Bike, job: Job, step: Step) -> str:
    """Who signed, and who checked as a second person."""
    by = dict(job.signed).get(step.key, "")
    return f"{by} / {dict(job.checked)[step.key]}" if is_checked(bike, job, step) else by


def _exceptions(bike: Bike, job: Job) -> tuple[str, ...]:
    """What nobody who reads the sheet's head may miss."""
    told = [f"{reasons}." for reasons in (reasons_told(job),) if reasons]
    missed = [s.title for s in still_to_sign(bike, job) if s.relied_on]
    if RIDE in dict(job.signed) and missed:
        told.append(tr("Test ride signed, but not signed off: {join}.", join="; ".join(missed)))
    return tuple(told)


def _rows(on: SetResult, proposed: SetResult) -> tuple[tuple[str, str, str], ...]:
    wanted = (RATIO, *(q for q in CHAIN if q.name in _LISTED))
    return tuple((q.title(), q.text(on), q.text(proposed)) for q in wanted)


def _why_no_view(proposed: SetResult) -> str:
    return no_drawing(proposed)[0].replace("\n", " ") or tr("The chain run cannot be drawn yet.")


def _part(part: Part, filled: bool) -> SheetPart:
    quantity = part.wanted if filled else part.quantity
    price = part.price if filled else None
    return SheetPart(
        action=part.action,
        name=f"{part.name} ({part.why})" if part.why else part.name,
        quantity="" if quantity is None else shown_number(quantity),
        number=part.number if filled else "",
        price="" if price is None else decimal(f"{price:.2f}"),
    )


def _step(bike: Bike, job: Job, step: Step, filled: bool) -> SheetStep:
    typed = dict(job.readings) if filled else {}
    told: list[str] = []
    if filled:
        state = step_state(bike, job, step)
        labels = {blank.key: blank.label for blank in step.blanks}
        if state.unread:
            told.append(
                tr(
                    "{join}: what is written there is no reading.",
                    join=", ".join((labels[key] for key, _ in state.unread)),
                )
            )
        told += [asked.text for asked in state.questions]
        told += [f"{_MARK[f.level]} {f.text}" for f in state.findings if f.level != "fits"]
        if state.findings and not told and not state.lacking:
            # How worn the old chain was stands nowhere else on the paper.
            told += [f.text for f in state.findings] if step.key == "old_chain" else [OK]
        if reason := dict(job.reasons).get(step.key):
            told.append(tr("Reason: {reason}", reason=reason))
        if took := dict(job.minutes).get(step.key):
            told.append(f"{took} min.")
    ticked = filled and is_signed(bike, job, step)
    return SheetStep(
        title=step.title,
        how=" ".join(step.how),
        caution=step.caution,
        tool=step.tool,
        targets=tuple((t.label, t.text, t.unit, _short(t.source)) for t in step.targets),
        blanks=tuple(_blank(blank, typed.get(blank.key, "")) for blank in step.blanks),
        told=tuple(told),
        ticked=ticked,
        initials=_initials(bike, job, step) if ticked else "",
    )


OUT_OF_RANGE = tr("Out of range:")
OK = "OK"
#: In words, so that it can be read in black and white.
_MARK: dict[Level, str] = {"check": tr("Check:"), "does not fit": OUT_OF_RANGE}


def _blank(blank: Blank, text: str) -> SheetBlank:
    unit = _LINE_KINDS.get(blank.kind, "")
    # A unit that is written down stands for itself.
    unit = "" if text and not text.strip()[-1:].isdigit() else unit
    told = tr(text.strip()) if text.strip() in blank.choices else text.strip()
    return SheetBlank(blank.label, unit, told, tuple(map(tr, blank.choices)), blank.kind == "word")


def _short(source: str) -> str:
    return source if len(source) <= _LONGEST_SOURCE else f"{source[:_LONGEST_SOURCE]}…"


def _label(lacking: Finding) -> str:
    section, key = lacking.field.split(".")
    return entry(section, key).label
