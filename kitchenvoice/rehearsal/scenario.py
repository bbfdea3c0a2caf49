"""Rehearsal scripts: plain lines, read with file and line in every error. Their page: tests/scenarios/README.md.

    # a comment
    @ 00:12:30          the simulated time since the start (hours may pass 24)
    > words             what the cook says
    < words             must be answered by now: since the cook's last line but one, in the order of the script
    <- words            must not be in anything answered since the last thing the cook said
    ! event             must have been logged by now; `! event name=value` looks at its data too
    !- event            must not have been logged
    % altitude 5280     the kitchen's altitude in feet (before anything is said)
    % altitude unknown  the altitude has to be asked for
    % dial 1            what the test of the dial found, in pounds; positive if it reads high
    % dial untested     the dial has no test on record
    % level brief       the speech level (before anything is said)
    % profile none      nothing is known of the kitchen: the first evening
    % off 00:04:00      the power fails now and is back after that time

Words are compared without case, commas and hyphens, and numbers as words: "25 minutes" is "twenty five minutes".
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from kitchenvoice.errors import BadScenario
from kitchenvoice.files import read_small
from kitchenvoice.language import Language, load_language

__all__ = ["Scenario", "ScenarioLine", "clock_text", "event_of", "plain_words", "read_scenario", "seconds_of"]

_SIGNS = {"@": "time", ">": "cook", "<": "answer", "!": "event", "%": "kitchen"}
_TIME = re.compile(r"(\d{1,3}):([0-5]\d)(?::([0-5]\d))?$")
_EVENT = re.compile(r"(-\s*)?([a-z_]+)((?:\s+[a-z_]+=\S+)*)$")
_KITCHEN = {
    "altitude": re.compile(r"(\d{1,5}|unknown)$"),
    "dial": re.compile(r"(-?\d(\.\d+)?|untested)$"),
    "level": re.compile(r"(full|brief)$"),
    "profile": re.compile(r"none$"),
    "off": _TIME,
}
_ENGLISH = load_language("en")
_NUMBER = re.compile(r"\d+(?:,\d{3})*(?:\.\d+)?")
_MAX_BYTES = 1_000_000
_MOST_LETTERS = 500


@dataclass(frozen=True, slots=True)
class ScenarioLine:
    """One line of a script: its kind (`time`, `cook`, `answer`, `event`, `kitchen`), text and line number."""

    kind: str
    text: str
    number: int

    @property
    def setting(self) -> tuple[str, str]:
        """The name and the value of a line about the kitchen; empty for another."""
        name, _, value = self.text.partition(" ") if self.kind == "kitchen" else ("", "", "")
        return name, value.strip()


@dataclass(frozen=True, slots=True)
class Scenario:
    """A script and where it came from."""

    name: str
    lines: tuple[ScenarioLine, ...]


def read_scenario(path: Path) -> Scenario:
    """Read a script. Raises: BadScenario naming file and line, and what would be right there."""
    try:
        raw = read_small(path, _MAX_BYTES)
    except OSError as exc:
        raise BadScenario(f"The scenario {path} can't be read: {exc.strerror}. Name a text file.") from exc
    except ValueError as exc:
        what = f"{path} {exc}" if "\0" not in str(path) else "has a name that no file can have"
        raise BadScenario(f"The scenario {what}. Name a text file.") from exc
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as exc:
        raise BadScenario(f"The scenario {path} isn't UTF-8 text. Save it as UTF-8.") from exc
    lines = tuple(_line(path, number, line) for number, line in enumerate(text.splitlines(), 1) if _wanted(line))
    if not any(line.kind == "cook" for line in lines):
        raise BadScenario(f"The scenario {path} has nothing for the cook to say. Begin such a line with >.")
    _check_order(path, lines)
    return Scenario(path.name, lines)


def _wanted(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")


def _line(path: Path, number: int, line: str) -> ScenarioLine:
    sign, text = line.strip()[0], line.strip()[1:].strip()
    if len(line) > _MOST_LETTERS:
        raise BadScenario(f"{path}, line {number}: it has {len(line):,} letters, and {_MOST_LETTERS} is the most.")
    kind = _SIGNS.get(sign)
    if kind is None:
        raise BadScenario(f"{path}, line {number}: a line begins with @, >, <, !, % or #, not with {sign!r}.")
    if not text:
        raise BadScenario(f"{path}, line {number}: there is nothing after {sign}.")
    if kind == "time" and not _TIME.match(text):
        raise BadScenario(f"{path}, line {number}: {text!r} isn't a time. Write it as 00:12:30.")
    if kind == "event" and not _EVENT.match(text):
        raise BadScenario(f"{path}, line {number}: {text!r} isn't an event. Write a name such as hold_started.")
    if kind == "kitchen":
        word, _, value = text.partition(" ")
        if word not in _KITCHEN or not _KITCHEN[word].match(value.strip()):
            raise BadScenario(
                f"{path}, line {number}: write % altitude 5280, % dial 1, % level brief or % off 00:04:00."
            )
    return ScenarioLine(kind, text, number)


def _check_order(path: Path, lines: tuple[ScenarioLine, ...]) -> None:
    now, begun = 0.0, False
    for line in lines:
        begun = begun or line.kind == "cook"
        name, value = line.setting
        if begun and name not in ("", "off"):
            raise BadScenario(f"{path}, line {line.number}: % {line.text} has to come before anything is said.")
        if name == "off":
            now += seconds_of(value)
        if line.kind != "time":
            continue
        if seconds_of(line.text) < now:
            raise BadScenario(f"{path}, line {line.number}: time can't go back to {line.text}.")
        now = seconds_of(line.text)


def seconds_of(text: str) -> float:
    """Return "00:12:30" as 750 seconds. Raises: ValueError."""
    match = _TIME.match(text)
    if match is None:
        raise ValueError(f"{text!r} isn't a time")
    hours, minutes, seconds = (int(part or 0) for part in match.groups())
    return 3600.0 * hours + 60.0 * minutes + seconds


def clock_text(seconds: float) -> str:
    """Return 750 seconds as "00:12:30"; what lacks a thousandth of a second is whole."""
    whole = int(seconds + 0.001)
    return f"{whole // 3600:02d}:{whole % 3600 // 60:02d}:{whole % 60:02d}"


def plain_words(text: str, language: Language = _ENGLISH) -> str:
    """Return the bare words for comparing: no case, no punctuation, numbers as words."""
    spoken = _NUMBER.sub(lambda match: f" {language.number(min(float(match[0].replace(',', '')), 999_999))} ", text)
    return " ".join(re.sub(r"[^a-zß-öø-ÿ' ]", " ", spoken.lower().replace("-", " ")).split())


def event_of(text: str) -> tuple[bool, str, dict[str, str]]:
    """Split an event line into: wanted or not, name, data. Raises: ValueError."""
    match = _EVENT.match(text)
    if match is None:
        raise ValueError(f"{text!r} isn't an event")
    pairs = (tuple(pair.split("=", 1)) for pair in match[3].split())
    return match[1] is None, match[2], dict(pairs)
