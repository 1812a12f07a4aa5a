"""The handbook: every chapter can be read, names only what the program has, and is found by its words."""

from __future__ import annotations

import ast
import os
import posixpath
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
from babel.messages.pofile import read_po
from making import handbook
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage

import gearplan
from gearplan.language import CATALOGUES
from gearplan.sheet.handbook.chapters import OF_PAGE, chapters, chapters_in, picture, sections_with
from gearplan.window.frame.pagehost import NEW_BIKE, PAGES

PICTURES = {name for chapter in chapters() for name in re.findall(r"!\[[^]]*\]\(([^)]*)\)", chapter.text)}


def said_by_the_program() -> str:
    """Every text in the program's code, without the marks of keys, as one."""
    texts = []
    for file in Path(gearplan.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                texts.append(node.value.replace("&", ""))
    return "\n".join(texts)


def test_what_is_set_bold_outside_the_glossary_stands_in_the_program() -> None:
    said = said_by_the_program()
    named = {
        (chapter.name, name)
        for chapter in chapters()
        if chapter.name != "glossary"
        for name in re.findall(r"\*\*(.+?)\*\*", chapter.text)
    }
    assert len(named) > 20
    assert {one for one in named if one[1] not in said} == set()


def test_each_page_has_a_section() -> None:
    known = {(section.chapter, section.title) for section in sections_with("")}
    assert set(OF_PAGE) == {*PAGES, NEW_BIKE}
    assert set(OF_PAGE.values()) <= known


def test_pictures_are_there_and_are_png() -> None:
    assert len(PICTURES) >= len(PAGES)
    for name in PICTURES:
        assert picture(name).startswith(b"\x89PNG")
    for name in ("none.png", "../icons/gearplan.svg", "01-first-answer.md"):
        with pytest.raises(FileNotFoundError):
            picture(name)


def test_words_find_sections_by_the_beginning_of_words() -> None:
    found = {section.title for section in sections_with("adjust RULER")}
    assert "The least that is needed" in found
    assert "The book" not in found
    assert sections_with("xyzzy") == ()
    # Marks and the descriptions of pictures are no words of the text.
    assert sections_with("bike.png") == ()


class Links(HTMLParser):
    """What a page links to, shows, and can be linked to by."""

    def __init__(self) -> None:
        super().__init__()
        self.to, self.names, self.open = set[str](), set[str](), list[str]()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for key, value in attrs:
            if key in ("href", "src"):
                self.to.add(str(value))
            if key == "id":
                self.names.add(str(value))
        if tag != "meta":
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_pages_for_a_browser_hold_together() -> None:
    files = handbook.pages()
    read = {}
    for name, content in files.items():
        if name.endswith(".html"):
            read[name] = Links()
            read[name].feed(content.decode())
            assert read[name].open == [], name
    for place, links in read.items():
        for to in links.to:
            page, _, name = to.partition("#")
            page = posixpath.normpath(posixpath.join(posixpath.dirname(place), page))
            assert page in files
            assert not name or name in read[page].names
    for language, place in (("en", "index.html"), ("de", "de/index.html")):
        sections = [section for chapter in chapters_in(language) for section in chapter.sections()]
        assert len({to for to in read[place].to if "#" in to}) == len(sections)


def test_each_language_has_the_same_chapters_sections_and_pictures() -> None:
    for english, german in zip(chapters_in("en"), chapters_in("de"), strict=True):
        assert english.name == german.name
        assert english.title != german.title
        assert len(english.sections()) == len(german.sections())
        for marks in (r"!\[[^]]*\]\(([^)]*)\)", r"`([^`A-Z ]{5,})`", r"^- |^\|"):
            found = [re.findall(marks, chapter.text, re.MULTILINE) for chapter in (english, german)]
            assert found[0] == found[1], english.name


def test_what_is_set_bold_in_german_stands_in_the_catalogue() -> None:
    with (CATALOGUES / "de.po").open("rb") as file:
        told = {str(part).replace("&", "") for message in read_po(file) for part in _forms(message.string)}
    said = "\n".join(told)
    named = {
        (chapter.name, name)
        for chapter in chapters_in("de")
        if chapter.name != "glossary"
        for name in re.findall(r"\*\*(.+?)\*\*", chapter.text)
    }
    assert len(named) > 20
    assert {one for one in named if one[1] not in said} == set()


def _forms(string: object) -> tuple[object, ...]:
    return tuple(string) if isinstance(string, (tuple, list)) else (string,)


def test_pictures_still_look_like_the_pages(tmp_path: Path) -> None:
    # Coarsely: fonts and drawing differ by a little between machines, a page that was laid out anew by far more.
    root = Path(__file__).parents[3]
    found = os.environ | {"PYTHONPATH": f"{root}{os.pathsep}{root / 'packaging'}"}
    subprocess.run([sys.executable, "-m", "making.pictures", tmp_path, "speed", "bike"], check=True, env=found)
    for name in ("speed.png", "bike.png"):
        kept, now = QImage.fromData(picture(name)), QImage(str(tmp_path / name))
        assert kept.size() == now.size()
        far = np.abs(coarse(kept) - coarse(now))
        assert far.mean() < 2.0, f"{name} has changed: draw the handbook's pictures anew (DEVELOPERS.md)"
        # So coarse a picture still tells one page from another.
    assert np.abs(coarse(QImage.fromData(picture("chain.png"))) - coarse(now)).mean() > 6.0


def coarse(image: QImage) -> np.ndarray:
    """Some 20 px of the window as one grey value from 0 to 255."""
    small = image.convertToFormat(QImage.Format.Format_Grayscale8).scaled(
        64, 40, Qt.AspectRatioMode.IgnoreAspectRatio, Qt.TransformationMode.SmoothTransformation
    )
    return np.array([[small.pixelColor(x, y).red() for x in range(64)] for y in range(40)], float)
