"""The chapters of the handbook, their sections, and which of them hold some words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources.abc import Traversable

from gearplan.bike.library import resource
from gearplan.language import spoken, tr

#: The chapters in English and their pictures; those in another language stand in a folder of its own within.
_FOLDER = "handbook"
#: What Markdown adds to the words.
_MARKS = re.compile(r"!\[[^]]*\]\([^)]*\)|[*`]")


@dataclass(frozen=True, slots=True)
class Section:
    """One heading of a chapter and what stands below it, in Markdown; the words before the first have no heading."""

    chapter: str
    title: str
    text: str

    def holds(self, words: tuple[str, ...]) -> bool:
        """Whether every word, in small letters, begins a word of its heading or text."""
        said = _MARKS.sub("", f"{self.title}\n{self.text}").lower()
        return all(re.search(rf"(?<!\w){re.escape(word)}", said) for word in words)


@dataclass(frozen=True, slots=True)
class Chapter:
    """One chapter: the name of its file without number and ending, its title, its text in Markdown."""

    name: str
    title: str
    text: str

    def sections(self) -> tuple[Section, ...]:
        """Its sections in order."""
        parts = re.split(r"^## +(.*)$", self.text, flags=re.MULTILINE)
        heads, texts = parts[1::2], parts[2::2]
        return tuple(Section(self.name, head.strip(), text.strip()) for head, text in zip(heads, texts, strict=True))


def chapters() -> tuple[Chapter, ...]:
    """The chapters in the spoken language, in the order in which they are read."""
    return chapters_in(spoken())


@lru_cache(maxsize=2)
def chapters_in(language: str) -> tuple[Chapter, ...]:
    """The chapters in a language, in English if there are none in it; ValueError if one has no title."""
    found = []
    for file in sorted(_folder(language).iterdir(), key=lambda file: file.name):
        if file.name.endswith(".md"):
            text = file.read_text(encoding="utf-8")
            title = re.match(r"# +(.+)\n", text)
            if title is None:
                raise ValueError(tr("{name} has no title in its first line", name=file.name))
            found.append(Chapter(file.name[3:].removesuffix(".md"), title.group(1).strip(), text))
    return tuple(found)


def sections_with(words: str) -> tuple[Section, ...]:
    """The sections that hold all of some words, or all sections where there are none."""
    wanted = tuple(words.lower().split())
    return tuple(section for chapter in chapters() for section in chapter.sections() if section.holds(wanted))


def picture(name: str) -> bytes:
    """A picture of the handbook by its file name, in the spoken language; FileNotFoundError if there is none."""
    return picture_in(spoken(), name)


def picture_in(language: str, name: str) -> bytes:
    """The same in a language, the English one if there is none in it."""
    if "/" in name or not name.endswith(".png"):
        raise FileNotFoundError(name)
    own = _folder(language) / name
    return (own if own.is_file() else resource(_FOLDER, name)).read_bytes()


def _folder(language: str) -> Traversable:
    own = resource(_FOLDER, language)
    return own if own.is_dir() else resource(_FOLDER)


#: What F1 opens on a page where nothing at hand has an explanation of its own: chapter and section.
OF_PAGE = {
    "New bike": ("first-answer", tr("What is asked first")),
    "Bike": ("measuring", tr("How a field is measured")),
    "Speed": ("what-changes", tr("Speed and engine speed")),
    "Chain": ("chain-fits", tr("The least that is needed")),
    "Pull": ("what-changes", tr("Pull, sprints and top speed")),
    "Circuit": ("race-weekend", tr("A circuit")),
    "Choices": ("what-changes", tr("Choosing by what you want")),
    "Customer": ("offer-to-sheet", tr("At the counter")),
    "Quote": ("offer-to-sheet", tr("The quote")),
    "Fitting": ("offer-to-sheet", tr("The job at the bench")),
    "Ride log": ("recorded-ride", tr("Opening a ride")),
    "All bikes": ("offer-to-sheet", tr("Found again")),
}
