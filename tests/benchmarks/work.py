"""Times one slider step until everything in sight is painted, and the computations beneath it, by the processor.

Of steps and pages it is the window's thread that counts: what is ridden ahead beside it holds nothing up.
"""

from __future__ import annotations

import math
import resource
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, QEventLoop, QTimer
from PySide6.QtWidgets import QApplication, QMainWindow

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.plan.choices.candidates import candidates
from gearplan.plan.choices.search import search
from gearplan.plan.choices.space import default_space
from gearplan.plan.choices.wishtext import parse_wishes
from gearplan.plan.driveset import fitted
from gearplan.plan.laps.view import lap_view
from gearplan.plan.pull.asked import ROLL_ONS, SPRINTS, read_roll_ons, read_sprints
from gearplan.plan.pull.doubts import pull_doubts, top_speed_doubt
from gearplan.plan.set import doubts, evaluate, grid
from gearplan.window.frame import application, settings
from gearplan.window.frame.pagehost import PAGES
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme

_STEPS = 400


def window() -> Workbench:
    app = application.prepared_application()
    theme.apply(app, theme.LIGHT)
    made = Workbench(settings.Settings())
    made.make_pages()
    made.files.start_with(demo_bike(), None)
    made.show()
    app.processEvents()
    return made


def slider_steps(made: Workbench) -> list[float]:
    """Milliseconds of each step of a held slider: new value to painted window. No result is found ready."""
    app = QApplication.instance()
    assert app is not None
    slider = made.bar.sliders["rear"]
    slider.setSliderDown(True)
    values = list(range(slider.minimum(), slider.maximum() + 1))
    times = []
    for step in range(_STEPS):
        evaluate.evaluate.cache_clear()
        target = values[abs(step % (2 * len(values) - 2) - (len(values) - 1))]
        begun = time.thread_time()
        slider.setValue(target)
        QApplication.sendPostedEvents(None, QEvent.Type.UpdateRequest.value)
        app.processEvents()
        times.append(1e3 * (time.thread_time() - begun))
    slider.setSliderDown(False)
    return times[10:]


def bare_steps() -> list[float]:
    """Milliseconds of each repaint of a bare window with six curves, smooth at the edges, of which each step moves all.

    The window is as large as the program's, which has a chart, tables and the set bar on it.
    """
    app = QApplication.instance()
    assert app is not None
    bare, plot = QMainWindow(), pg.PlotWidget()
    bare.setCentralWidget(plot)
    bare.resize(1280, 800)
    along = np.linspace(0, 300, 60)
    curves = [plot.plot(along, along, pen=pg.mkPen("b", width=2), antialias=True) for _ in range(6)]
    bare.show()
    app.processEvents()
    times = []
    for step in range(_STEPS):
        begun = time.thread_time()
        for number, curve in enumerate(curves):
            curve.setData(along, along * (number + 1) * (1 + 0.2 * math.sin(step)))
        QApplication.sendPostedEvents(None, QEvent.Type.UpdateRequest.value)
        app.processEvents()
        times.append(1e3 * (time.thread_time() - begun))
    bare.close()
    return times[10:]


def shown_again(made: Workbench, name: str) -> float:
    """Median milliseconds from another page until a page that has been seen before is painted."""
    app = QApplication.instance()
    assert app is not None

    def turn() -> None:
        made.show_page(name)
        QApplication.sendPostedEvents(None, QEvent.Type.UpdateRequest.value)
        app.processEvents()

    times = []
    for _ in range(15):
        made.show_page("Speed" if name != "Speed" else "Bike")
        app.processEvents()
        begun = time.thread_time()
        turn()
        times.append(1e3 * (time.thread_time() - begun))
    return float(np.median(times))


def typical(work: Callable[[], object], rounds: int = 200) -> float:
    """Median milliseconds of a piece of work."""
    times = []
    for _ in range(rounds):
        begun = time.process_time()
        work()
        times.append(1e3 * (time.process_time() - begun))
    return float(np.median(times))


def memory_mb() -> float:
    """The most memory that this process has held."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def report() -> dict[str, float]:
    """All figures by name."""
    made = window()
    made.circuits.open_demo("Heronfleet")
    for name in (*PAGES, "Speed"):
        made.show_page(name)
        QApplication.processEvents()
    memory = memory_mb()
    found = {}
    for name in PAGES:
        made.show_page(name)
        QApplication.processEvents()
        if name == "Circuit":
            # As a user finds it: ranked, and the next sets ridden ahead.
            wait = QEventLoop()
            QTimer.singleShot(3000, wait.quit)
            wait.exec()
        bare, steps = bare_steps(), slider_steps(made)
        found[f"slider step on the {name} page, median ms"] = float(np.median(steps))
        found[f"slider step on the {name} page, p99 ms"] = float(np.percentile(steps, 99))
        over = np.percentile(steps, 99) / np.percentile(bare, 99)
        found[f"slider step on the {name} page, p99, times that of the bare plot"] = float(over)
        found[f"the {name} page shown again, ms"] = shown_again(made, name)
    bike = demo_bike().bike
    chosen = replace(fitted(bike), front=14)
    fronts, rears = tuple(range(9, 26)), tuple(range(36, 53))

    def one_set() -> None:
        evaluate.evaluate.cache_clear()
        evaluate.evaluate(bike, chosen)

    def with_doubts() -> None:
        evaluate.evaluate.cache_clear()
        for kept in (doubts.set_doubts, doubts.rolling_doubt, doubts.strength_doubts, top_speed_doubt, pull_doubts):
            kept.cache_clear()
        result = evaluate.evaluate(bike, chosen)
        doubts.judged(bike, result)
        doubts.set_doubts(bike, result)
        top_speed_doubt(bike, chosen)

    def with_times() -> None:
        with_doubts()
        pull_doubts(bike, chosen, asked=read_sprints(SPRINTS), in_gear=read_roll_ons(ROLL_ONS))

    def one_grid() -> None:
        grid.evaluate_grid.cache_clear()
        grid.evaluate_grid(bike, chosen, fronts, rears)

    space = default_space(bike, fronts=(12, 21), rears=(32, 71), tyres=("190/50-17", "180/60-17", "170/60-17"))
    wishes = parse_wishes(("calmer", "faster", "smoother", "top gear reaches at least 200 km/h"))[0]

    def one_search() -> None:
        candidates.cache_clear()
        search(bike, wishes, space)

    circuit = demo_circuit("Heronfleet").circuit

    def one_lap() -> None:
        lap_view.cache_clear()
        lap_view(bike, chosen, circuit)

    made.document.edit_circuit("as it was", circuit)
    return found | {
        "both laps of a set that was not ridden ahead, ms": typical(one_lap, 50),
        "one set evaluated, ms": typical(one_set),
        "the same with its doubts, ms": typical(with_doubts),
        "the same with the doubts of all listed times, ms": typical(with_times, 50),
        "grid of 17 x 17, ms": typical(one_grid, 50),
        "every set of 10 x 40 x 8 lengths x 4 tyres searched, ms": typical(one_search, 20),
        "the same with another wish, ms": typical(lambda: search(bike, wishes[1:], space), 20),
        "memory with all pages opened, MB": memory,
    }


if __name__ == "__main__":
    for label, figure in report().items():
        print(f"{label}\t{figure:.3f}")
