"""Format of the profile file: keys, allowed values, and the explanatory comments.

One table of fields serves reading and writing, so what is written can be read and every key is explained in the file.
"""

from __future__ import annotations

import difflib
import json
import math
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from kitchenvoice.errors import BadProfile

__all__ = [
    "FEET_PER_METER",
    "JAR_SIZES",
    "LANGUAGES",
    "LEAST_QUARTS",
    "line_of",
    "parse",
    "render",
    "render_canner",
    "render_value",
]

JAR_SIZES = ("half-pint", "pint", "pint-and-half", "quart", "half-gallon")

LANGUAGES = ("en", "de")
"""English is complete; the others have the core commands."""

LEAST_QUARTS = 4
"""How many quart jars a canner for pressure holds at least, upright on the rack; what is smaller isn't recommended for
canning (USDA Complete Guide, page 1-17)."""

FEET_PER_METER = 1 / 0.3048
"""The international foot is 0.3048 m exactly (agreement of 1959)."""
_LONGEST_LINE = 1_000
"""A longer line can only be an attack: the parser's time grows with the square of the number of dotted keys."""
_SHOWN = 60
_MOST_CANNERS = 20
_PLAIN = r"\w{1,40}"
_STEP = re.compile(r"[a-z_]+(\.[0-9]{1,2}\.[a-z_-]+)?")
_HEAD = """\
# The kitchen's profile. What isn't known stays out (a # in front): kitchenvoice asks, it never assumes.
# What is changed by voice changes its own line here and nothing else; comments of your own stay.

"""
_CANNER_HEAD = """
# One [[canner]] for each canner."""
_CANNER_EXAMPLE = """
# One [[canner]] for each canner, for example:
# [[canner]]
# number = 1
# name = "the big one"
# gauge = "dial"
# capacity = { pint = 9, quart = 7 }
"""


class _Wrong(Exception):
    """Raised by a check: the fault in the value, and what to write."""


@dataclass(frozen=True, slots=True)
class _Field:
    key: str
    check: Callable[[Any], Any]
    comment: str
    example: str


def _number(low: float, high: float, unit: str) -> Callable[[Any], float]:
    def check(value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            raise _Wrong(f"{_shown(value)} isn't a number of {unit}")
        if not low <= value <= high:
            raise _Wrong(f"{_shown(value)} is outside {low:g} to {high:g} {unit}")
        return float(value)

    return check


def _whole(low: int, high: int, unit: str) -> Callable[[Any], int]:
    def check(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int):
            raise _Wrong(f"{_shown(value)} isn't a whole number of {unit}")
        return int(_number(low, high, unit)(value))

    return check


def _choice(*allowed: str) -> Callable[[Any], str]:
    def check(value: Any) -> str:
        if value not in allowed:
            raise _Wrong(f"{_shown(value)} isn't one of {', '.join(allowed)}")
        return str(value)

    return check


def _text(value: Any) -> str:
    if not isinstance(value, str) or not value.strip() or not value.isprintable() or len(value) > 200:
        raise _Wrong(f"{_shown(value)} isn't one line of text in quotes")
    return value.strip()


def _phrase(value: Any) -> str:
    words = " ".join(_text(value).lower().split())
    if not re.fullmatch(r"[a-zß-öø-ÿ']+( [a-zß-öø-ÿ']+){0,3}", words):
        raise _Wrong(f"{_shown(value)} isn't one to four English words")
    return words


def _day(value: Any) -> date:
    if isinstance(value, datetime) or not isinstance(value, date):
        raise _Wrong(f"{_shown(value)} isn't a date; write year, month and day without quotes")
    return value


def _by_jar(most: int, unit: str, what: str) -> Callable[[Any], dict[str, int]]:
    def check(value: Any) -> dict[str, int]:
        if not isinstance(value, dict):
            raise _Wrong(f"{_shown(value)} doesn't tell {what}")
        for size, number in value.items():
            try:
                _choice(*JAR_SIZES)(size)
                _whole(1, most, unit)(number)
            except _Wrong as exc:
                raise _Wrong(f"for {size}: {exc}{_nearest(size, JAR_SIZES) if size not in JAR_SIZES else ''}") from exc
        return dict(value)

    return check


def _pairs_of_words(value: Any) -> tuple[str, ...]:
    if not isinstance(value, list) or any(len(_phrase(pair).split()) != 2 for pair in value):
        raise _Wrong(f"{_shown(value)} isn't a list of pairs of words")
    return tuple(map(_phrase, value))


def _names_of_steps(value: Any) -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(name, str) and _STEP.fullmatch(name) for name in value):
        raise _Wrong(f"{_shown(value)} isn't a list of the names that kitchenvoice writes there; take the line out")
    return tuple(value)


_FIELDS = (
    _Field("altitude_ft", _whole(-1_500, 30_000, "feet"), "Height above the sea, in whole feet.", "1250"),
    _Field("altitude_m", _number(-450, 9_000, "meters"), "", "380"),
    _Field("units", _choice("us", "metric"), 'How amounts are spoken: "us" or "metric".', '"us"'),
    _Field("language", _choice(*LANGUAGES), "The language: en; de has the core commands, typed only.", '"en"'),
    _Field("usual_jar", _choice(*JAR_SIZES), f"The jar you use most: {', '.join(JAR_SIZES)}.", '"quart"'),
    _Field("usual_canner", _whole(1, 99, "(a canner's number)"), "The canner a load goes into if you name none.", "1"),
    _Field("attention", _phrase, "The words that come before a command.", '"kitchen voice"'),
    _Field(
        "speech_level",
        _choice("full", "brief"),
        '"full" tells every step and why; "brief" only what matters.',
        '"full"',
    ),
    _Field("speech_rate_wpm", _whole(80, 300, "words a minute"), "Speed of the voice, in words a minute.", "165"),
    _Field(
        "volume", _number(0.05, 1, "(1 is full)"), "Loudness of the voice, 0.05 to 1. Alarms are always full.", "0.5"
    ),
    _Field("voice", _text, 'Name of the synthesiser\'s voice, or "neural" (an extra, see DEVELOPERS.md).', '"en-us"'),
    _Field("input_device", _text, "The microphone, by its name or a part of it.", '"USB microphone"'),
    _Field("gain_db", _number(0, 30, "decibels"), "How much louder the microphone is made; tune sets it.", "12"),
    _Field(
        "alike",
        _pairs_of_words,
        "Numbers that you say, and what I take them for; I read those back. tune sets it.",
        '["eleven seven"]',
    ),
    _Field("output_device", _text, "The loudspeaker, by its name or a part of it.", '"USB speaker"'),
    _Field(
        "push_to_talk", _text, "A key to press before speaking: space, enter, page-down; or a pedal's path.", '"space"'
    ),
    _Field(
        "asked",
        _names_of_steps,
        "What the first evening asked already; take a name out to be asked again.",
        '["units"]',
    ),
)
_CANNER_FIELDS = (
    _Field("number", _whole(1, 99, "(a canner's number)"), 'What it is called in "canner one".', "1"),
    _Field("name", _text, "Another name for it.", '"the big one"'),
    _Field("gauge", _choice("dial", "weighted"), '"dial" or "weighted"; leave out for boiling water only.', '"dial"'),
    _Field("dial_error_psi", _number(-10, 10, "psi"), "What the dial's last test found; + if it reads high.", "0.5"),
    _Field("dial_tested", _day, "When the dial was last tested.", "2026-04-18"),
    _Field(
        "capacity",
        _by_jar(100, "jars", "how many jars of which size fit"),
        "How many jars fit, for each size, in all layers together.",
        "{ pint = 18, quart = 7 }",
    ),
    _Field(
        "layers",
        _by_jar(4, "layers", "in how many layers jars of which size stand"),
        "In how many layers those jars stand, where it is more than one.",
        "{ pint = 2 }",
    ),
    _Field("quart_jars", _whole(1, 100, "quart jars"), "How many quart jars it holds upright, for its size.", "7"),
)


def parse(text: str, file: str) -> dict[str, Any]:
    """Return the checked values by field name, the canners as a list under `canners`; missing fields are left out.

    Raises: BadProfile naming file, line and field, and what to write.
    """
    long = next((number for number, line in enumerate(text.split("\n"), 1) if len(line) > _LONGEST_LINE), None)
    if long is not None:
        raise BadProfile(f"{file}, line {long}: this line is over {_LONGEST_LINE:,} letters long. Make it shorter.")
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as exc:
        found = re.search(r"at line (\d+)", str(exc))
        line = int(found[1]) if found else text.count("\n") + 1
        why = str(exc).split(" (at ")[0]
        raise BadProfile(f'{file}, line {line}: {why}. Write one field a line, as in: units = "us"') from exc
    lines = _lines(text)
    canners = raw.pop("canner", [])
    if not isinstance(canners, list) or not all(isinstance(canner, dict) for canner in canners):
        raise BadProfile(f"{file}, line {lines.get(('canner',), 1)}, canner: write [[canner]] with two brackets.")
    if len(canners) > _MOST_CANNERS:
        where = f"{file}, line {lines.get(('canner', _MOST_CANNERS), 1)}, canner"
        count = f"canner {_MOST_CANNERS + 1} of {len(canners):,}"
        raise BadProfile(f"{where}: this is {count}. Keep {_MOST_CANNERS} at the most.")
    values = _checked(raw, _FIELDS, (), lines, file)
    _settle_altitude(values, lines, file)
    values["canners"] = [
        _checked(canner, _CANNER_FIELDS, ("canner", index), lines, file) for index, canner in enumerate(canners)
    ]
    _check_canners(values["canners"], lines, file)
    return values


def render(values: Mapping[str, Any]) -> str:
    """Return the commented text for these values; `None`, an empty text or an empty table is written as unknown."""
    parts = [_HEAD, *(_rendered(field, values.get(field.key)) for field in _FIELDS if field.key != "altitude_m")]
    parts.append(_CANNER_HEAD if values.get("canners") else _CANNER_EXAMPLE)
    parts += [render_canner(canner) for canner in values.get("canners", ())]
    return "".join(parts)


def render_canner(values: Mapping[str, Any]) -> str:
    """Return the commented table of one canner."""
    return "".join(["\n[[canner]]\n", *(_rendered(field, values.get(field.key)) for field in _CANNER_FIELDS)])


def _rendered(field: _Field, value: Any) -> str:
    known = value is not None and value not in ("", {}, ())
    line = f"{field.key} = {render_value(value) if known else field.example}"
    return f"# {field.comment}\n{'' if known else '# '}{line}\n"


def render_value(value: Any) -> str:
    """Return a value in TOML."""
    if isinstance(value, str):  # a JSON string is a TOML string, except for one sign
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007F")
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {render_value(item)}" for key, item in value.items()) + " }"
    if isinstance(value, tuple):
        return f"[{', '.join(map(render_value, value))}]"
    return value.isoformat() if isinstance(value, date) else repr(value)


def _checked(
    raw: Mapping[str, Any], fields: Sequence[_Field], place: tuple[Any, ...], lines: Mapping[Any, int], file: str
) -> dict[str, Any]:
    known = {field.key: field for field in fields}
    values = {}
    for key, value in raw.items():
        where = f"{file}, line {_line(lines, (*place, key))}, {key if re.fullmatch(_PLAIN, key) else _shown(key)}"
        if key not in known:
            raise BadProfile(
                f"{where}: there is no such field.{_nearest(key, [*known, *([] if place else ['canner'])])}"
            )
        try:
            values[key] = known[key].check(value)
        except _Wrong as exc:
            raise BadProfile(f"{where}: {exc}. Write for example: {key} = {known[key].example}") from exc
    return values


def _settle_altitude(values: dict[str, Any], lines: Mapping[Any, int], file: str) -> None:
    """Convert meters to feet, rounded up: a bit too high errs towards more pressure and more time."""
    meters = values.pop("altitude_m", None)
    if meters is None:
        return
    if "altitude_ft" in values:
        where = f"{file}, line {_line(lines, ('altitude_m',))}, altitude_m"
        raise BadProfile(f"{where}: the altitude is given twice. Keep altitude_ft or altitude_m, not both.")
    values["altitude_ft"] = math.ceil(round(meters * FEET_PER_METER, 6))


def _check_canners(canners: list[dict[str, Any]], lines: Mapping[Any, int], file: str) -> None:
    taken: dict[Any, int] = {}
    for index, canner in enumerate(canners):
        _check_size(canner, ("canner", index), lines, file)
    for index, canner in enumerate(canners):
        canner.setdefault("number", index + 1)
        for key in ("dial_error_psi", "dial_tested"):
            if key in canner and canner.get("gauge") != "dial":
                where = f"{file}, line {_line(lines, ('canner', index, key))}, {key}"
                raise BadProfile(f'{where}: only a dial gauge is tested. Write gauge = "dial", or take this line out.')
        for key in ("number", "name"):
            mark = (key, str(canner.get(key, "")).lower())
            if mark[1] and taken.setdefault(mark, index) != index:
                where = f"{file}, line {_line(lines, ('canner', index, key))}, {key}"
                raise BadProfile(f"{where}: two canners have the same {key}. Give each its own.")


def _check_size(canner: Mapping[str, Any], place: tuple[Any, ...], lines: Mapping[Any, int], file: str) -> None:
    """Refuse a pressure canner that is too small to be one.

    Raises: BadProfile.
    """
    sizes = {("quart_jars",): canner.get("quart_jars"), ("capacity", "quart"): canner.get("capacity", {}).get("quart")}
    for path, holds in sizes.items():
        if canner.get("gauge") is not None and holds is not None and holds < LEAST_QUARTS:
            raise BadProfile(
                f"{file}, line {_line(lines, (*place, *path))}, {path[0]}: a pressure canner holds at least"
                f" {LEAST_QUARTS} quart jars, upright on the rack. Correct the number, or take the gauge out: then it"
                " is for boiling water only."
            )


def _nearest(word: str, known: Any) -> str:
    """Suggest the nearest keys, all of them on a tie: feet and meters mustn't be taken for each other."""
    close = difflib.get_close_matches(word, list(known), n=3, cutoff=0.5)
    alike = [each for each in close if _alike(word, each) > _alike(word, close[0]) - 0.1]
    return f" Did you mean {' or '.join(alike)}?" if alike else f" There are: {', '.join(known)}."


def _alike(word: str, other: str) -> float:
    return difflib.SequenceMatcher(None, word, other).ratio()


def _shown(value: Any) -> str:
    """Return a value for display on one line, shortened if it is long."""
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= _SHOWN else f"{text[:_SHOWN]}..."


def line_of(text: str, path: tuple[Any, ...]) -> int:
    """Return the line of a field such as ("canner", 0, "name"); that of its table if it is missing."""
    return _line(_lines(text), path)


def _line(lines: Mapping[Any, int], path: tuple[Any, ...]) -> int:
    while path and path not in lines:
        path = path[:-1]
    return lines.get(path, 1)


def _lines(text: str) -> dict[tuple[Any, ...], int]:
    """Return the line of every table and key; good enough for messages (not inside multi-line strings)."""
    found: dict[tuple[Any, ...], int] = {}
    place: tuple[Any, ...] = ()
    count = -1
    for number, line in enumerate(text.split("\n"), start=1):
        if head := re.match(r"\s*\[\[?\s*([\w.\-\"' ]+?)\s*\]", line):
            names = _names(head[1])
            count += line.lstrip().startswith("[[")
            place = ("canner", max(count, 0), *names[1:]) if names[0] == "canner" else names
            found.setdefault(names, number)
            found.setdefault(place, number)
        elif key := re.match(r"\s*([\w.\-\"' ]+?)\s*=", line):
            names = _names(key[1])
            for end in range(1, len(names) + 1):
                found.setdefault((*place, *names[:end]), number)
    return found


def _names(dotted: str) -> tuple[str, ...]:
    return tuple(part.strip().strip("\"'") for part in dotted.split("."))
