"""What the columns of a stock list hold: guessed from headings and values, for a person to confirm."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Self

from gearplan.bike.stocklist import cells
from gearplan.bike.stocklist.cells import DECIMALS
from gearplan.bike.stocklist.table import StockError, Table
from gearplan.bike.text.written import inside
from gearplan.language import tr

#: What a column may hold, in the order in which a person is asked, with the names.
LABELS = {
    "chain_size": tr("Chain size"),
    "side": tr("Front, rear or chain"),
    "teeth": tr("Teeth, or links"),
    "links": tr("Links"),
    "quantity": tr("Quantity"),
    "price": tr("Price"),
    "number": tr("Article number"),
    "description": tr("Description"),
    "unused": tr("Not used"),
}
#: The ways in which the cells of a kind may be written; the first is what is taken where nothing tells.
UNITS: dict[str, tuple[str, ...]] = dict.fromkeys(LABELS, ()) | {"price": tuple(DECIMALS)}
#: The columns of a list of the program's own, and what it writes above them.
OWN = ("chain_size", "side", "teeth", "quantity", "price", "number")
_NEEDED = ("chain_size", "side", "teeth")

#: Words in small letters without accents; each name is one or several words that must all stand in the heading. The
#: kinds stand in the order in which they claim a heading.
_NAMED: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "teeth",
        ("teeth", "tooth", "zahne", "zahnezahl", "zahnzahl", "z", "dents", "denti", "dientes", "tanden"),
    ),
    (
        "links",
        ("links", "glieder", "gliederzahl", "maillons", "maglie", "eslabones", "schakels"),
    ),
    (
        "number",
        (
            "article number", "article no", "article nr", "item number", "item no", "part number", "part no",
            "order number", "order no", "stock number", "sku", "artikelnummer", "artikelnr", "artikel nr", "art nr",
            "art no", "teilenummer", "bestellnummer", "bestellnr", "numero", "reference", "ref", "referenz",
            "codice", "codigo", "code", "number", "artikelcode",
        ),
    ),
    (
        "price",
        ("price", "preis", "verkaufspreis", "einzelpreis", "stuckpreis", "nettopreis", "bruttopreis", "vk", "ek",
         "einkaufspreis", "cost", "prix", "prezzo", "precio", "prijs", "eur", "chf", "gbp", "usd"),
    ),
    (
        "quantity",
        ("quantity", "qty", "stock", "on hand", "pieces", "pcs", "menge", "bestand", "lagerbestand", "stuck",
         "stuckzahl", "anzahl", "quantite", "quantita", "giacenza", "cantidad", "existencias", "aantal", "voorraad"),
    ),
    (
        "side",
        ("side", "seite", "position", "place", "einbauort", "cote", "lato", "lado", "kant", "type", "typ", "art",
         "kind", "tipo"),
    ),
    (
        "chain_size",
        ("chain size", "size", "chain", "pitch", "kettengrosse", "kettentyp", "kette", "teilung", "grosse", "taille",
         "pas", "misura", "passo", "tamano", "paso", "maat", "chaine", "catena", "cadena"),
    ),
    (
        "description",
        ("description", "name", "article", "item", "part", "artikel", "bezeichnung", "beschreibung", "designation",
         "descrizione", "descripcion", "omschrijving", "articolo", "articulo"),
    ),
)  # fmt: skip
_SAMPLE, _PREVIEW, _HEADING_WITHIN = 300, 6, 15
#: So many of a column's filled cells must read as what its heading says, and as what is guessed without one.
_MOST_READ, _GUESSED = 0.5, 0.7
_AS_BEFORE = "The columns are read as you said for an earlier list with these headings."


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its place (from 0), heading, what it holds and how that is written.

    `sure` says that heading and values leave no doubt; `why` tells a person what was guessed and from what.
    """

    index: int
    heading: str
    kind: str
    unit: str = ""
    sure: bool = True
    why: str = ""


@dataclass(frozen=True, slots=True)
class Layout:
    """The columns of a table as guessed or confirmed. `first` is the first row of parts (from 0), `preview` some rows.

    `look` is what stands above the columns, by which a list is known again; nothing where no heading stands there.
    """

    columns: tuple[Column, ...]
    first: int
    preview: tuple[tuple[str, ...], ...]
    look: tuple[str, ...] = ()
    gathered: tuple[str, ...] = ()

    @property
    def lacking(self) -> tuple[str, ...]:
        """What no column tells, of that which makes a part."""
        kinds = {column.kind for column in self.columns}
        found = kinds | ({"teeth"} if "links" in kinds else set())
        return () if "description" in kinds else tuple(kind for kind in _NEEDED if kind not in found)

    @property
    def usable(self) -> bool:
        """Whether the columns tell what makes a part."""
        return not self.lacking

    @property
    def sure(self) -> bool:
        """Whether nothing needs a person's confirmation."""
        return self.usable and all(column.sure for column in self.columns)

    @property
    def said(self) -> tuple[tuple[str, str], ...]:
        """What each column holds and how it is written."""
        return tuple((column.kind, column.unit) for column in self.columns)

    def column(self, kind: str) -> Column | None:
        """The column that holds a kind, if any."""
        return next((column for column in self.columns if column.kind == kind), None)

    def as_said(self, said: Sequence[tuple[str, str]]) -> Self:
        """The layout as a person has said it of an earlier list with this look; as it is, if that does not fit it."""
        used = [kind for kind, _ in said if kind != "unused"]
        fits = len(said) == len(self.columns) and len(set(used)) == len(used)
        if not fits or any(kind not in LABELS or unit not in (UNITS[kind] or ("",)) for kind, unit in said):
            return self
        columns = [
            replace(column, kind=kind, unit=unit, sure=True, why=tr("as you said before"))
            for column, (kind, unit) in zip(self.columns, said, strict=True)
        ]
        return replace(self, columns=tuple(columns), gathered=(*self.gathered, _AS_BEFORE))

    def with_column(self, index: int, kind: str, unit: str = "") -> Layout:
        """The layout with one column as a person says it is; a kind that another column held goes over to this.

        Without a unit it is that which the cells show.
        """
        if unit not in UNITS[kind]:
            values = [row[index] for row in self.preview if index < len(row)]
            unit = _decimal(values) if kind == "price" else ""
        changed = [
            replace(column, kind=kind, unit=unit, sure=True, why=tr("as you said"))
            if column.index == index
            else replace(column, kind="unused", unit="", sure=True, why="")
            if column.kind == kind and kind != "unused"
            else column
            for column in self.columns
        ]
        gathered = tuple(note for note in self.gathered if note != _AS_BEFORE)
        return replace(self, columns=tuple(changed), gathered=gathered)


def look(table: Table) -> Layout:
    """The columns of a table, by its headings and its first values."""
    at = _heading(table)
    body = [row for row in table.rows[at + 1 :] if any(cell.strip() for cell in row)][:_SAMPLE]
    width = len(table.rows[at]) if at >= 0 else table.width
    headings = table.rows[at] if at >= 0 else ("",) * width
    values = [[row[i].strip() for row in body if i < len(row) and row[i].strip()] for i in range(width)]
    columns: list[Column] = []
    for index, heading in enumerate(headings):
        columns.append(_column(index, heading.strip(), values[index]))
    gathered = () if at >= 0 else ("There is no heading; the columns are guessed from their values.",)
    return Layout(
        tuple(_once(columns)),
        at + 1,
        tuple(body[:_PREVIEW]),
        tuple(heading.strip() for heading in headings) if at >= 0 else (),
        gathered,
    )


def _heading(table: Table) -> int:
    """The row of the headings: that which names most columns; -1 where the first row holds parts."""
    rows = table.rows[:_HEADING_WITHIN]
    known = [sum(_named(cell) != "unused" for cell in row) for row in rows]
    best = max(range(len(rows)), key=lambda at: (known[at], -at))
    if known[best] >= 2:
        return best
    filled = next((at for at, row in enumerate(rows) if sum(bool(cell.strip()) for cell in row) > 1), 0)
    return filled - 1 if any(cell.strip().isdigit() for cell in rows[filled]) else filled


def _named(heading: str) -> str:
    """What a heading says that its column holds."""
    words = cells.words_in(heading)
    # A heading is some words; a remark that happens to hold one of them is none.
    if not words or len(words) > 5 or any(word.isdigit() for word in words):
        return "unused"
    for kind, names in _NAMED:
        if any(all(part in words for part in name.split()) for name in names):
            return kind
    return "unused"


def _column(index: int, heading: str, values: list[str]) -> Column:
    kind = _named(heading)
    unit = _decimal(values) if kind == "price" else ""
    if kind == "unused":
        return _by_values(index, heading, values)
    reads = _reads(kind, values)
    if kind == "side" and reads < _MOST_READ:
        # A “type” of something else.
        return _by_values(index, heading, values)
    own = heading.lower().replace(" ", "_") in OWN
    if own or reads >= _MOST_READ:
        return Column(index, heading, kind, unit, own or kind not in ("description",))
    return Column(index, heading, kind, unit, False, tr("few of its values read as {kind}", kind=inside(LABELS[kind])))


def _by_values(index: int, heading: str, values: list[str]) -> Column:
    for kind in ("side", "chain_size"):
        if len(values) > 1 and _reads(kind, values) >= _GUESSED:
            return Column(index, heading, kind, "", False, tr("by its values"))
    return Column(index, heading, "unused")


def _once(columns: list[Column]) -> list[Column]:
    """Of two columns that claim a kind the first gets it; of two prices a person is to say which."""
    taken: dict[str, int] = {}
    found: list[Column] = []
    for column in columns:
        if column.kind in taken and column.kind != "unused":
            first = found[taken[column.kind]]
            why = tr(
                "“{heading}” could be the {kind} too", heading=column.heading[:30], kind=inside(LABELS[column.kind])
            )
            if column.sure or not first.sure:
                found[first.index] = replace(first, sure=False, why=why)
            found.append(replace(column, kind="unused", unit="", sure=True))
            continue
        taken[column.kind] = column.index
        found.append(column)
    kinds = {column.kind for column in found}
    if {"chain_size", "side"} <= kinds and kinds & {"teeth", "links"}:
        # What is told by columns of its own need not be read from a description.
        return [replace(c, kind="unused", sure=True) if c.kind == "description" else c for c in found]
    return found


def _reads(kind: str, values: list[str]) -> float:
    """The share of values that read as a kind; 1 where there are none, or any text would do."""
    tests: dict[str, Callable[[str], object]] = {
        "chain_size": cells.read_size,
        "side": cells.read_side,
        "teeth": lambda text: cells.read_count(text, "chain" if len(text) > 2 and text[:3].isdigit() else "rear"),
        "links": lambda text: cells.read_count(text, "chain"),
        "quantity": cells.read_quantity,
        "price": lambda text: cells.read_price(text, DECIMALS[_decimal(values)]),
    }
    if kind not in tests or not values:
        return 1.0
    read = 0
    for value in values:
        try:
            tests[kind](value)
            read += 1
        except StockError:
            continue
    return read / len(values)


def _decimal(values: Sequence[str]) -> str:
    usual = cells.usual_decimal(values)
    return next(name for name, mark in DECIMALS.items() if mark == usual)
