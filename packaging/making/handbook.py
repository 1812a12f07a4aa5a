"""The handbook as pages for a browser, in each language: the chapters, the contents, and the pictures."""

from __future__ import annotations

import re
from html import escape

from markdown_it import MarkdownIt

from gearplan import __version__
from gearplan.language import LANGUAGES
from gearplan.sheet.handbook.chapters import Chapter, chapters_in, picture_in

_STYLE = """\
:root { color-scheme: light dark; }
body { font: 1rem/1.5 Lato, sans-serif; max-width: 44rem; margin: 2rem auto; padding: 0 1rem; }
img { max-width: 100%; height: auto; border: 1px solid gray; }
h1, h2 { line-height: 1.2; }
nav { margin-bottom: 2rem; }
"""


_TITLES = {"en": "Gearplan handbook", "de": "Gearplan-Handbuch"}


def anchor(heading: str) -> str:
    """The name by which a heading is linked to."""
    return re.sub(r"[^a-z0-9äöüß]+", "-", heading.lower()).strip("-")


def pages() -> dict[str, bytes]:
    """The content of every file of the handbook by its name, those in other languages in a folder each;
    FileNotFoundError if a picture is missing."""
    files = {}
    for language in LANGUAGES:
        within = "" if language == "en" else f"{language}/"
        files[f"{within}index.html"] = _contents(language).encode()
        for chapter in chapters_in(language):
            files[f"{within}{chapter.name}.html"] = _page(chapter, language).encode()
            for name in re.findall(r"!\[[^]]*\]\(([^)]*)\)", chapter.text):
                files[f"{within}{name}"] = picture_in(language, name)
    return files


def _page(chapter: Chapter, language: str) -> str:
    made = MarkdownIt("commonmark").enable("table").render(chapter.text)
    made = re.sub(r"<h2>(.*?)</h2>", lambda found: f'<h2 id="{anchor(found[1])}">{found[1]}</h2>', made)
    back = f'<nav><a href="index.html">{_TITLES[language]}</a></nav>'
    return _whole(chapter.title, f"{back}\n{made}", language)


def _contents(language: str) -> str:
    others = " · ".join(
        f'<a href="{"../" if language != "en" else ""}{"" if other == "en" else f"{other}/"}index.html">{name}</a>'
        for other, name in LANGUAGES.items()
        if other != language
    )
    parts = [f"<h1>{_TITLES[language]}</h1>\n<p>Version {__version__} · {others}</p>"]
    for chapter in chapters_in(language):
        heads = "".join(
            f'<li><a href="{chapter.name}.html#{anchor(section.title)}">{escape(section.title)}</a></li>\n'
            for section in chapter.sections()
        )
        parts.append(f'<h2><a href="{chapter.name}.html">{escape(chapter.title)}</a></h2>\n<ul>\n{heads}</ul>')
    return _whole(_TITLES[language], "\n".join(parts), language)


def _whole(title: str, body: str, language: str) -> str:
    return (
        f'<!DOCTYPE html>\n<html lang="{language}">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width">\n<title>{escape(title)}</title>\n'
        f"<style>\n{_STYLE}</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )
