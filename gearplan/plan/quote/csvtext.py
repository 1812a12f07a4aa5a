"""A quote as a table for other programs."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

from gearplan.bike.text.written import safe_cell
from gearplan.language import tr
from gearplan.plan.money import plain
from gearplan.plan.quote.quote import Quote
from gearplan.plan.words import set_name

COLUMNS = ("quote", "date", "proposal", "set", "line", "number", "quantity", "unit", "price", "amount", "currency")


def quote_csv(shown: Quote) -> str:
    """The lines and sums of each set: commas between, decimal points; no cell is taken for a formula."""
    out, currency = io.StringIO(), shown.terms.currency
    write = csv.writer(out, lineterminator="\n")
    write.writerow(COLUMNS)
    for one in shown.sets:
        head = [shown.number, shown.day.isoformat(), one.name, set_name(one.set)]

        def row(name: str, amount: Decimal, *between: str, head: list[str] = head) -> None:
            cells = (*head, name, *(between or ("", "", "", "")))
            write.writerow((*map(safe_cell, cells), plain(amount, currency), safe_cell(currency)))

        for line in one.lines:
            row(line.name, line.amount, line.number, f"{line.quantity:f}", line.unit, f"{line.price:f}")
        if one.discount:
            row(tr("discount {discount_told}", discount_told=one.discount_told), -one.discount)
        row("net", one.net)
        if shown.terms.tax is not None:
            row(tr("tax {tax:f} %", tax=shown.terms.tax), one.tax)
        row("total", one.total)
    return out.getvalue()
