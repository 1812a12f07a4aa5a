"""The handbook as pages for a browser: one for each chapter, one with the contents, and the pictures."""

from __future__ import annotations

import re
from html import escape

from markdown_it import MarkdownIt

from gearplan import __version__
from gearplan.sheet.handbook.chapters import Chapter, chapters, picture

_STYLE = """\
:root { color-scheme: light dark; }
body { font: 1rem/1.5 Lato, sans-serif; max-width: 44rem; margin: 2rem auto; padding: 0 1rem; }
img { max-width: 100%; height: auto; border: 1px solid gray; }
h1, h2 { line-height: 1.2; }
nav { margin-bottom: 2rem; }
"""


def anchor(heading: str) -> str:
    """The name by which a heading is linked to."""
    return re.sub(r"[^a-z0-9]+", "-", heading.lower()).strip("-")


def pages() -> dict[str, bytes]:
    """The content of every file of the handbook by its name; FileNotFoundError if a picture is missing."""
    files = {"index.html": _contents().encode()}
    for chapter in chapters():
        files[f"{chapter.name}.html"] = _page(chapter).encode()
        for name in re.findall(r"!\[[^]]*\]\(([^)]*)\)", chapter.text):
            files[name] = picture(name)
    return files


def _page(chapter: Chapter) -> str:
    made = MarkdownIt("commonmark").enable("table").render(chapter.text)
    made = re.sub(r"<h2>(.*?)</h2>", lambda found: f'<h2 id="{anchor(found[1])}">{found[1]}</h2>', made)
    return _whole(chapter.title, f'<nav><a href="index.html">Gearplan handbook</a></nav>\n{made}')


def _contents() -> str:
    parts = [f"<h1>Gearplan handbook</h1>\n<p>Version {__version__}</p>"]
    for chapter in chapters():
        heads = "".join(
            f'<li><a href="{chapter.name}.html#{anchor(section.title)}">{escape(section.title)}</a></li>\n'
            for section in chapter.sections()
        )
        parts.append(f'<h2><a href="{chapter.name}.html">{escape(chapter.title)}</a></h2>\n<ul>\n{heads}</ul>')
    return _whole("Gearplan handbook", "\n".join(parts))


def _whole(title: str, body: str) -> str:
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width">\n<title>{escape(title)}</title>\n'
        f"<style>\n{_STYLE}</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )
