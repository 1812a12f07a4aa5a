"""What `gearplan choices` answers, for people and as values for JSON."""

from __future__ import annotations

from typing import Any

from gearplan.bike.profile import Bike
from gearplan.language import tr
from gearplan.plan.choices.equivalents import exchange_sentence
from gearplan.plan.choices.search import Choice, Choices
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.words import MANUAL_FIRST, NOT_ADVICE, VERDICT, set_name, teeth


def choices_text(bike: Bike, answer: Choices) -> str:
    """The short list in words."""
    on = fitted(bike)
    lines = [bike.name or tr("Unnamed bike"), tr("Fitted: {set_name}", set_name=set_name(on)), ""]
    lines += [tr("Asked for: {words}", words=wish.told) for wish in answer.wishes] or [
        tr("Nothing asked for: say --wish, such as “calmer”.")
    ]
    lines += [
        tr("Cannot be checked: “{words}”: {rstrip}.", words=left.wish.told, rstrip=left.text.rstrip("."))
        for left in answer.unjudged
    ]
    lines += [tr("Note: {note}", note=note) for note in answer.notes]
    lines.append("")
    if not answer.ranked:
        lines.append(f"{answer.count} {answer.costly}")
        if answer.nearest is not None:
            lines.append(
                tr("Nearest: {set_name}: {line}", set_name=set_name(answer.nearest.set), line=answer.nearest.line)
            )
            lines += [f"  {miss}" for miss in answer.misses]
        return "\n".join(lines)
    lines.append(tr("{count} The best:", count=answer.count).lstrip())
    for place, choice in enumerate(answer.ranked, 1):
        lines.append(f"{place}. {set_name(choice.set)}: {VERDICT[choice.level].lower()}: {choice.line}")
        if choice.alike:
            lines.append(tr("   same gearing: {join}", join=", ".join(map(_short, choice.alike))))
    if answer.dropped:
        lines += ["", *(tr("Dropped: {text}", text=dropped.text) for dropped in answer.dropped)]
    if exchange := exchange_sentence(on):
        lines += ["", exchange]
    lines += ["", f"{NOT_ADVICE} {MANUAL_FIRST}"]
    return "\n".join(lines)


def choices_values(answer: Choices) -> dict[str, Any]:
    """The same as values; the unit is in each key's name."""
    return {
        "wishes": [{"words": wish.words, "kind": wish.kind, "aim": wish.aim} for wish in answer.wishes],
        "considered": answer.considered,
        "met": answer.met,
        "choices": [_choice(choice) for choice in answer.ranked],
        "dropped": [
            _set(dropped.set) | {"wish": None if dropped.wish is None else dropped.wish.words, "text": dropped.text}
            for dropped in answer.dropped
        ],
        "nearest": None if answer.nearest is None else _choice(answer.nearest) | {"misses": list(answer.misses)},
        "costly": answer.costly or None,
        "notes": list(answer.notes),
        "unjudged": [
            {"wish": left.wish.words, "text": left.text, "field": left.field or None} for left in answer.unjudged
        ],
    }


def _set(chosen: DriveSet) -> dict[str, Any]:
    return {
        "front": chosen.front,
        "rear": chosen.rear,
        "links": chosen.links,
        "chain": chosen.chain,
        "tyre": chosen.tyre,
    }


def _choice(choice: Choice) -> dict[str, Any]:
    return _set(choice.set) | {
        "verdict": choice.level,
        "rating": choice.rating,
        "engine_speed_change_percent": None if choice.revs is None else 100 * choice.revs,
        "new_parts": list(choice.new_parts),
        "price": choice.price,
        "lap_s": choice.lap_s,
        "line": choice.line,
        "alike": [_set(one) for one in choice.alike],
    }


def _short(chosen: DriveSet) -> str:
    links = "" if chosen.links is None else tr(" with {links} links", links=chosen.links)
    return teeth(chosen) + links
