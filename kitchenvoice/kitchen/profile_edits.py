"""Edits of the profile's text that leave every other line and comment as its owner wrote it."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from typing import Any

import tomlkit
from tomlkit.items import AoT, Table

from kitchenvoice.kitchen.profile_file import FEET_PER_METER, render_canner, render_value

__all__ = ["edited"]


def edited(text: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    """Return `text` with the difference between the two profiles (as plain tables of values) written into it.

    A key that is in the text as a commented example is written in its place. `None`, an empty text or an empty table
    removes its line.
    """
    for key in (key for key in after if key != "canners" and after[key] != before[key]):
        text = _with_top_key(text, key, after[key])
    if list(after["canners"]) != list(before["canners"]):
        text = _with_canners(text, before["canners"], after["canners"])
    return text


def _with_top_key(text: str, key: str, value: Any) -> str:
    document = tomlkit.parse(text)
    if key == "altitude_ft" and "altitude_m" in document and value is not None:
        document["altitude_m"] = math.floor(value / FEET_PER_METER * 100) / 100  # reads back as the same feet
        return tomlkit.dumps(document)
    for old in (key, "altitude_m") if key == "altitude_ft" else (key,):
        if old in document and _empty(value):
            document.remove(old)
    if _empty(value):
        return tomlkit.dumps(document)
    if key in document:
        document[key] = _plain(value)
        return tomlkit.dumps(document)
    return _in_its_place(text, f"{key} = {render_value(value)}", key)


def _in_its_place(text: str, line: str, key: str) -> str:
    """Put a line where its commented example is, else above the first table."""
    head, table, rest = _split(text)
    example = re.compile(rf"^#[ \t]*{key}[ \t]*=.*$", re.MULTILINE)
    if example.search(head):
        return example.sub(lambda _: line, head, count=1) + table + rest
    gap = "" if not head or head.endswith("\n") else "\n"
    return f"{head}{gap}{line}\n{table}{rest}"


def _split(text: str) -> tuple[str, str, str]:
    """Split before the first table, if there is one."""
    found = re.search(r"^[ \t]*\[", text, re.MULTILINE)
    return (text, "", "") if found is None else (text[: found.start()], found[0], text[found.end() :])


def _with_canners(text: str, before: Sequence[Mapping[str, Any]], after: Sequence[Mapping[str, Any]]) -> str:
    document = tomlkit.parse(text)
    tables = document.get("canner")
    there = list(tables) if isinstance(tables, AoT) else []
    numbers = [int(table.get("number", place + 1)) for place, table in enumerate(there)]
    wanted = {canner["number"]: canner for canner in after}
    was = {canner["number"]: canner for canner in before}
    fresh: list[tuple[int, str, Any]] = []
    for place in reversed(range(len(there))):
        number = numbers[place]
        if number not in wanted and isinstance(tables, AoT):
            del tables[place]
        elif number in wanted and isinstance(there[place], Table):
            there[place].setdefault("number", number)
            new = _change_table(there[place], was.get(number, {}), wanted[number])
            fresh += [(sum(other in wanted for other in numbers[:place]), key, value) for key, value in new]
    if isinstance(tables, AoT) and not len(tables):
        document.remove("canner")
    text = tomlkit.dumps(document)
    for place, key, value in fresh:
        text = _in_its_table(text, place, f"{key} = {render_value(value)}", key)
    added = [render_canner(canner) for number, canner in wanted.items() if number not in numbers]
    return text if not added else text.rstrip("\n") + "\n" + "".join(added)


def _change_table(table: Table, before: Mapping[str, Any], after: Mapping[str, Any]) -> list[tuple[str, Any]]:
    """Change existing lines; return the values without one."""
    fresh: list[tuple[str, Any]] = []
    for key, value in after.items():
        if key == "number" or value == before.get(key):
            continue
        if _empty(value):
            if key in table:
                table.remove(key)
        elif key in table:
            table[key] = _plain(value)
        else:
            fresh.append((key, value))
    return fresh


def _in_its_table(text: str, place: int, line: str, key: str) -> str:
    """Put a line into the canner's table: where its commented example is, else right below the head."""
    heads = list(re.finditer(r"^[ \t]*\[\[[ \t]*canner[ \t]*\]\].*\n?", text, re.MULTILINE))
    start, end = heads[place].end(), heads[place + 1].start() if place + 1 < len(heads) else len(text)
    block = text[start:end]
    example = re.compile(rf"^#[ \t]*{key}[ \t]*=.*$", re.MULTILINE)
    if example.search(block):
        block = example.sub(lambda _: line, block, count=1)
    else:
        gap = "" if text[:start].endswith("\n") else "\n"
        block = f"{gap}{line}\n{block}"
    return text[:start] + block + text[end:]


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        table = tomlkit.inline_table()
        table.update(value)
        return table
    return list(value) if isinstance(value, tuple) else value


def _empty(value: Any) -> bool:
    return value is None or value in ("", {}, ())
