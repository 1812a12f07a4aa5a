"""`gearplan customer`: what a proposed set changes, in plain words or as a page to take home."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from datetime import date
from pathlib import Path

from gearplan.bike.files.ordinary import reason, why
from gearplan.commands.asked import Refused, chosen_set, json_argument, opened, print_json, set_arguments, stock_list
from gearplan.language import tr
from gearplan.plan.choices.wishes import TOP_GEAR
from gearplan.plan.choices.wishtext import WishError, parse_gear, parse_speed
from gearplan.plan.customer.page import Asked, customer, usual_cruise
from gearplan.plan.words import Speed
from gearplan.setup.ratios import gearbox


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Tell the parser of this command."""
    parser = commands.add_parser("customer", help=tr("tell in plain words what a proposed set changes"))
    set_arguments(parser)
    parser.add_argument(
        "--cruise", type=_speed, metavar="SPEED", help=tr('cruising speed, such as "120 km/h" or "70 mph"')
    )
    parser.add_argument("--pull-at", type=_speed, metavar="SPEED", help=tr("where the pull matters"))
    parser.add_argument("--pull-gear", type=_gear, default=TOP_GEAR, metavar="GEAR", help=tr('"gear 4" or "top gear"'))
    parser.add_argument("--stock", metavar="FILE", help=tr("a stock list with prices, as CSV, XLSX or ODS"))
    parser.add_argument("-o", "--output", metavar="PAGE", help=tr("write the page to a .pdf, .png or .svg file"))
    parser.add_argument("--paper", choices=("A4", "Letter"), default="A4", help=tr("size of the page"))
    parser.add_argument("--shop", default="", metavar="NAME", help=tr("the shop's name for the page"))
    parser.add_argument("--logo", metavar="FILE", help=tr("the shop's logo for the page: PNG, JPEG or SVG"))
    parser.add_argument(
        "--date", type=_date, default=None, metavar="YYYY-MM-DD", help=tr("the day on the page, or today")
    )
    parser.add_argument("--owner", action="store_true", help=tr("say on it whose motorcycle it is"))
    json_argument(parser)
    parser.set_defaults(command=_run)


def _speed(text: str) -> Speed:
    try:
        return parse_speed(text)
    except WishError as error:
        raise argparse.ArgumentTypeError(str(error)) from error


def _gear(text: str) -> int:
    try:
        return parse_gear(text)
    except WishError as error:
        raise argparse.ArgumentTypeError(str(error)) from error


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(tr("“{text}” is no date; write it like 2026-05-31", text=text)) from error


def _logo(path: Path) -> bytes:
    from gearplan.sheet.shop import logo_bytes

    try:
        return logo_bytes(str(path))
    except OSError as failed:
        raise Refused(f"{path}: {why(failed)}") from failed


def _run(asked: argparse.Namespace) -> None:
    file = opened(asked.file)
    chosen = chosen_set(file, asked)
    cruise = asked.cruise or usual_cruise(file.bike, "km/h")
    wanted = Asked(cruise, asked.pull_at or cruise, asked.pull_gear)
    gears = len(gearbox(file.bike).gears)
    if gears and asked.pull_gear > gears:
        raise Refused(tr("--pull-gear: this bike has {gears} gears", gears=gears))
    stock, problems = stock_list(asked.stock)
    notices = [*file.notices, *problems]
    if asked.output is not None:
        # The painter needs Qt; nothing else on the command line does.
        from gearplan.sheet import painter
        from gearplan.sheet.customer.content import customer_sheet
        from gearplan.sheet.shop import Shop

        target = Path(asked.output)
        if asked.owner and not painter.says_whose(target):
            raise Refused(tr("{target}: a picture does not say whose motorcycle it is; write a .pdf", target=target))
        try:
            logo = b"" if asked.logo is None else _logo(Path(asked.logo))
            shop, day = Shop(asked.shop, logo=logo), asked.date or date.today()
            sheet = customer_sheet(
                file.bike, chosen, wanted, day, shop=shop, stock=stock, paper=asked.paper, with_owner=asked.owner
            )
            painter.save_customer_page(sheet, target)
        except OSError as failed:
            # Its own words name a file beside the target.
            raise Refused(tr("{target}: cannot be written: {reason}", target=target, reason=reason(failed))) from failed
        except ValueError as failed:
            raise Refused(f"{target}: {failed}") from failed
        print(tr("Written: {target}", target=target))
        return
    content = customer(file.bike, chosen, wanted, stock)
    if asked.json:
        sentences = [asdict(sentence) for sentence in content.sentences]
        answer = {"sentences": sentences, "assumptions": list(content.assumptions), "cautions": list(content.cautions)}
        print_json(answer | {"lacking": list(content.lacking), "notices": notices})
        return
    print(content.bike)
    for line in (*(s.text for s in content.sentences), *content.lacking, "", *content.assumptions, *content.cautions):
        print(line)
    for notice in notices:
        print(tr("Notice: {notice}", notice=notice))
