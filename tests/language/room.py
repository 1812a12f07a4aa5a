"""Finds texts that a longer language cuts off: `python -m tests.language.room LANGUAGE WIDTHxHEIGHT …`, page by page.

With a set that fits and, in a language that is spoken, with one that does not. What is printed has no room. The hint in
an empty field may be cut in the language that is none: it says again what the label says.
"""

from __future__ import annotations

import os
import sys
from dataclasses import replace

if __name__ == "__main__":
    os.environ["LANGUAGE"] = sys.argv[1]
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from gearplan.bike.demo import demo_bike
from gearplan.language import LANGUAGES, spoken
from gearplan.window.frame.application import prepared_application
from gearplan.window.frame.settings import Settings
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme
from tests.window.clipping import cut
from tests.window.pages import each_tab


def main(sizes: list[tuple[int, int]]) -> int:
    """Print what is cut off in windows of some sizes; returns 1 if there is any."""
    app = prepared_application()
    theme.apply(app, theme.LIGHT)
    window = Workbench(Settings())
    window.make_pages()
    window.files.start_with(demo_bike(), None)
    window.show()
    found = False
    real = spoken() in LANGUAGES
    for teeth in ((15, 46), (9, 70)) if real else ((15, 46),):
        window.document.propose(replace(window.document.chosen, front=teeth[0], rear=teeth[1]), "propose")
        for size in sizes:
            window.resize(*size)
            for place in each_tab(window):
                for _ in range(30):
                    app.processEvents()
                for what in cut(window):
                    if not real and ": field “" in what:
                        continue
                    found = True
                    print(f"{size[0]}x{size[1]}, {place}: {what}")
    return int(found)


if __name__ == "__main__":
    sys.exit(main([(int(wide), int(high)) for wide, high in (size.split("x") for size in sys.argv[2:])]))
