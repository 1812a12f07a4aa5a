"""Tables of one kind, such as jobs, put into the TOML text of a bike file, so that what a person wrote stays."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any


def change_tables(doc: Any, name: str, before: Sequence[dict[str, Any]], after: Sequence[dict[str, Any]]) -> None:
    """Make the [[name]] tables of a tomlkit document, which hold `before`, hold `after`, both as plain values for TOML.

    Tables that did not change are left alone; of the others only the changed values are written.
    """
    if list(before) == list(after):
        return
    import tomlkit

    if before and not isinstance(doc[name], tomlkit.items.AoT):
        # Written as one array in one line: that cannot hold tables, so each gets a section of its own.
        del doc[name]
        before = ()
    if not before:
        if doc.as_string().strip() and not doc.as_string().endswith("\n\n"):
            doc.add(tomlkit.nl())
        doc[name] = tomlkit.aot()
    tables, held = doc[name], list(before)
    # Those that are gone, not merely changed: as many as the list has become shorter.
    for index in reversed(range(len(held))):
        if len(held) > len(after) and held[index] not in after:
            del held[index]
            del tables[index]
    while len(held) > len(after):
        del held[-1]
        del tables[-1]
    for index, values in enumerate(after):
        if index >= len(held):
            tables.append(_filled(tomlkit.table(), values))
        elif held[index] != values:
            _change(tables[index], held[index], values)
    if not after:
        del doc[name]


def _filled(table: Any, values: dict[str, Any]) -> Any:
    for key, value in values.items():
        table.add(key, _item(value))
    return table


def _change(table: Any, old: dict[str, Any], new: dict[str, Any]) -> None:
    for key in old:
        if key not in new:
            del table[key]
    for key, value in new.items():
        if value == old.get(key):
            continue
        if isinstance(value, dict) and isinstance(old.get(key), dict):
            _change(table[key], old[key], value)
            _order(table[key], list(value))
        elif key in table:
            table[key] = _item(value)
        else:
            _add(table, key, _item(value))


def _order(table: Any, wanted: list[str]) -> None:
    """Move what stands out of the wanted order behind the rest; a line keeps the comment at its end."""
    there = [key for key in table if key in wanted]
    same = next((k for k, (one, other) in enumerate(zip(there, wanted, strict=True)) if one != other), len(wanted))
    for key in wanted[same:]:
        item = table[key]
        del table[key]
        table.add(key, item)


def _add(table: Any, key: str, item: Any) -> None:
    """A new plain value stands before the tables within: after them it would belong to the last of these."""
    import tomlkit

    within = {k: table[k] for k in table if isinstance(table[k], (dict, tomlkit.items.AoT))}
    if isinstance(item, (dict, tomlkit.items.AoT)):
        table.add(key, item)
        return
    for name in within:
        del table[name]
    table.add(key, item)
    for name, inner in within.items():
        table.add(name, inner)


def _item(value: Any) -> Any:
    import tomlkit

    if isinstance(value, dict):
        return _filled(tomlkit.table(), value)
    if isinstance(value, list) and value and isinstance(value[0], dict):
        tables = tomlkit.aot()
        for one in value:
            tables.append(_filled(tomlkit.table(), one))
        return tables
    return tomlkit.item(value)
