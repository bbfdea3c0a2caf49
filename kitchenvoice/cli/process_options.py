"""Options shared by the look-up and the plan: those that ask for a process, filled up from the kitchen's profile."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import cached_property
from itertools import product
from typing import TYPE_CHECKING, Any

import click

from kitchenvoice.cli import short_text

if TYPE_CHECKING:
    from kitchenvoice.kitchen.profile import Canner, Profile
    from kitchenvoice.reference import Answer, GaugeTarget

__all__ = [
    "EXIT",
    "GUIDE",
    "PROFILE",
    "OwnKitchen",
    "Taken",
    "Usage",
    "as_usage",
    "asked",
    "feet",
    "json_option",
    "narrowed",
    "number",
    "open_questions",
    "pounds_in",
    "process_options",
    "put_json",
    "settled",
    "spaced",
    "taken_words",
]

EXIT = {"ok": 0, "refused": 4, "incomplete": 5}
"""Exit code of each status."""

_PROCESS = ("food", "pack", "jar", "method", "gauge", "altitude_ft")
PROFILE = "the profile"
"""Where a value comes from that the kitchen keeps."""
GUIDE = "the guide's load"
"""Where the jars to a canner come from that the kitchen doesn't know."""

json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")


class Usage(click.ClickException):
    """Raised for options that don't fit together."""

    exit_code = 2

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.ctx = click.get_current_context(silent=True)


@contextmanager
def as_usage() -> Iterator[None]:
    """Turn words that can't be understood into an error of the command line. Raises: Usage."""
    from kitchenvoice.errors import BadInput

    try:
        yield
    except BadInput as error:
        raise Usage(str(error)) from None


@dataclass(frozen=True)
class Taken:
    """One input assumed: its name, value, wording, and origin."""

    name: str
    value: Any
    words: str
    where: str


def number(text: str) -> float:
    """Understand a number as people write it: 1500, 1,500 or 609.6."""
    from kitchenvoice.errors import BadInput
    from kitchenvoice.reference import figure

    try:
        return figure(short_text.text(text))
    except BadInput as error:
        raise click.BadParameter(str(error)) from None


def process_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options of a process, and free words in their place."""
    for option in (
        json_option,
        click.option("--altitude-m", type=number, help="Altitude in meters, rounded up to feet."),
        click.option("--altitude-ft", type=number, help="Altitude in feet."),
        click.option("--gauge", type=short_text.text, help="dial or weighted; for pressure only."),
        click.option(
            "--method", type=short_text.text, help="pressure, boiling-water, atmospheric-steam, pasteurization."
        ),
        click.option(
            "--jar", type=short_text.text, help="half-pint, twelve-ounce, pint, pint-and-half, quart, half-gallon."
        ),
        click.option("--pack", type=short_text.text, help="raw or hot; see-procedure where the guide prints neither."),
        click.option("--food", type=short_text.text, help="Spoken name or product id, such as snap_beans."),
        click.argument("words", nargs=-1, type=short_text.text),
    ):
        function = option(function)
    return function


def asked(line: str, given: Mapping[str, Any], canner: Canner | None = None) -> dict[str, Any]:
    """Return the process that is asked for, by a line of words, the options and the canner together.

    Raises: Usage if they contradict each other or can't be understood.
    """
    from kitchenvoice.reference import require_known, wanted

    with as_usage():
        said = wanted(short_text.text(line))
        require_known({name: given[name] for name in ("pack", "jar", "method", "gauge")})
    options = {name: given[name] for name in _PROCESS if name in given}
    options["altitude_ft"] = feet(given["altitude_ft"], given["altitude_m"])
    for name in _PROCESS:
        heard = getattr(said, name)
        if heard is not None and options[name] not in (None, heard):
            raise Usage(f"{heard} and {options[name]}: say the {_SPOKEN.get(name, name)} once.")
        options[name] = heard if options[name] is None else options[name]
    if canner is not None and canner.gauge is not None and options.get("method") in (None, "pressure"):
        if options["gauge"] not in (None, canner.gauge):
            raise Usage(f"{canner.spoken} has a {canner.gauge} gauge.")
        options["gauge"] = canner.gauge
    if options.get("gauge") is not None and options.get("method") is None:
        options["method"] = "pressure"  # no other canner has a gauge
    return options


_SPOKEN = {"altitude_ft": "altitude"}
_POUNDS = re.compile(
    r"(?<![\w.])(\d+(?:\.\d+)?) ?(?:psi|pounds?|lbs?)\b(?: (?:of )?(?:pressure|weight))?", re.IGNORECASE
)
_BARE_POUNDS = re.compile(rf"{_POUNDS.pattern}|(?<![\w.])(\d+(?:\.\d+)?)(?:$|(?= at\b| \d))", re.IGNORECASE)
"""A number of pounds: with its unit, or first of two, or alone."""


def pounds_in(line: str, *, bare: bool = False) -> tuple[float | None, str]:
    """Return the pressure that is said in a line of words, a bare number too where it can be nothing else, and the
    rest of the line.
    """
    found = (_BARE_POUNDS if bare else _POUNDS).search(line)
    if found is None:
        return None, line
    return float(next(filter(None, found.groups()))), f"{line[: found.start()]} {line[found.end() :]}"


def narrowed(answer: Answer, psi: float | None) -> Answer:
    """Return an answer for the pressure that was named: its minutes alone, or the word that it isn't printed."""
    fits = [pair for pair in answer.pairs if pair[1] == psi]
    if psi is None or not answer.pairs:
        return answer
    if fits:
        return replace(answer, minutes=fits[0][0], psi=psi, options=())
    canner = f" for a {answer.gauge} gauge" if answer.gauge else ""
    word = f"{psi:g} pounds isn't printed for this{canner}. Go by the pounds that are."
    return replace(answer, cautions=(word, *answer.cautions))


def feet(altitude_ft: float | None, altitude_m: float | None) -> float | None:
    """Return the altitude in feet of the one that was given. Raises: Usage if both were, or it is none."""
    from kitchenvoice.reference import metres_to_feet_up

    if altitude_m is None:
        return altitude_ft
    if altitude_ft is not None:
        raise Usage("Give the altitude in feet or in meters, not both.")
    try:
        return metres_to_feet_up(altitude_m)
    except ValueError as error:
        raise Usage(str(error)) from None


class OwnKitchen:
    """The kitchen's profile, read once and only when something is needed of it."""

    @cached_property
    def profile(self) -> Profile:
        """The profile. Raises: BadProfile."""
        from kitchenvoice.kitchen.folder import home
        from kitchenvoice.kitchen.profile import load_profile

        return load_profile(home())

    @property
    def canners(self) -> tuple[Canner, ...]:
        """The canners, the usual one first."""
        usual = self.profile.usual_canner
        return tuple(sorted(self.profile.canners, key=lambda canner: canner.number != usual))

    def in_english(self, line: str) -> str:
        """Return a line of words with the foods that it names in the kitchen's own language by their ids."""
        from kitchenvoice.kitchen.profile import LANGUAGES

        if self.profile.language == LANGUAGES[0]:
            return line
        from kitchenvoice.app.languages import food_names
        from kitchenvoice.language import load_language

        foods = food_names(load_language(self.profile.language))
        names = "|".join(re.escape(name) for name in sorted(foods, key=len, reverse=True))
        return re.sub(rf"(?<!\w)({names})(?!\w)", lambda found: foods[found[0].lower()], line, flags=re.IGNORECASE)

    def named(self, line: str) -> tuple[Canner | None, str]:
        """Return the canner named in a line of words, and the rest of the line. Raises: Usage for a strange one."""
        if not line.strip():
            return None, line
        line = self.in_english(line)
        calls = {said: canner for canner in self.canners for said in _calls(canner, line)}
        for said in sorted(calls, key=len, reverse=True):
            if found := re.search(_IN_CANNER.format(re.escape(said)), line, re.IGNORECASE):
                return calls[said], f"{line[: found.start()]} {line[found.end() :]}"
        if found := _STRANGE.search(line):
            own = ", ".join(canner.spoken for canner in self.canners) or "none yet; kitchenvoice start asks for them"
            raise Usage(f"No canner of yours is called {found[0]}. They are: {own}.")
        return None, line

    @property
    def gauge(self) -> str | None:
        """The gauge of the usual canner; else of the others, if they have one kind only."""
        gauges = [canner.gauge for canner in self.canners if canner.gauge]
        usual = self.canners[0] if self.canners and self.canners[0].number == self.profile.usual_canner else None
        return gauges[0] if gauges and (len(set(gauges)) == 1 or (usual and usual.gauge)) else None

    def on_dial(self, canner: Canner, psi: float) -> GaugeTarget:
        """Tell what these pounds are on a canner's dial, by its last test."""
        from kitchenvoice.clock import SystemClock
        from kitchenvoice.reference import gauge_target

        today = datetime.fromtimestamp(SystemClock().now().utc, UTC).date()
        off, tested = canner.dial_error_psi, canner.dial_tested
        return gauge_target(psi, gauge="dial", error_psi=off, tested_on=tested, today=today)

    def on_dials(self, answers: Iterable[Answer]) -> tuple[str, ...]:
        """Give the readings for these answers on each dial of the kitchen that is untested or inexact."""
        pounds = dict.fromkeys(psi for each in answers if each.gauge == "dial" for _, psi in each.pairs if psi)
        told: dict[str, None] = {}
        for psi, canner in product(pounds, [each for each in self.canners if each.gauge == "dial"]):
            target = self.on_dial(canner, psi)
            if target.status != "ok" or canner.dial_error_psi:
                told[f"{canner.spoken}: {target.text}"] = None
        return tuple(told)


_NO_FIGURE = r"(?![, ]\d| ?(?:feet|foot|ft|meters?|metres?|m|pounds?|lbs?|psi)\b)"
"""Behind a canner's number: with a unit it is a number of something else, "steam canner 500 feet"."""
_IN_CANNER = rf"(?<!\w)(?:(?:in|with|using) )?(?:the )?{{}}(?!\w){_NO_FIGURE}"
_STRANGE = re.compile(
    rf"\bcanner \d+\b{_NO_FIGURE}|\b(?:big|small|large|little|old|new|other) (?:canner|one)\b", re.IGNORECASE
)


def _calls(canner: Canner, line: str) -> Iterator[str]:
    """Yield the names of a canner in a command: "canner 2", "the small one", "small canner"."""
    if "canner " in line.lower():
        from kitchenvoice.language import load_language  # all sentences: of no use to a line without a number

        yield f"canner {canner.number}"
        yield f"canner {load_language('en').number(canner.number)}"
    if canner.name:
        yield canner.name
        yield canner.name.removeprefix("the ").removesuffix(" one") + " canner"


def settled(given: dict[str, Any], kitchen: OwnKitchen, **qualifiers: Any) -> tuple[Answer, list[Taken]]:
    """Look a process up; missing inputs come from the tables, if they print only one value, or from the profile."""
    from kitchenvoice.reference import lookup

    taken: list[Taken] = []
    while True:
        answer = lookup(**given, **qualifiers)
        open_ones = [name for name in answer.missing if given[name] is None and answer.food]
        found = next((each for name in open_ones if (each := _known(name, answer, kitchen))), None)
        if found is None:
            return answer, taken
        taken.append(found)
        given[found.name] = found.value


def _known(name: str, answer: Answer, kitchen: OwnKitchen) -> Taken | None:
    """Return an input without asking: the only printed value, or else the kitchen's own."""
    choices = answer.choices.get(name, ())
    if len(choices) == 1:
        return Taken(name, choices[0], _worded(name, choices[0]), "the only one printed")
    altitude, jar, gauge = kitchen.profile.altitude_ft, kitchen.profile.usual_jar, kitchen.gauge
    if name == "altitude_ft" and altitude is not None:
        return Taken(name, altitude, f"{altitude:,} feet", PROFILE)
    if name == "jar" and jar in choices:
        return Taken(name, jar, _worded(name, str(jar)), PROFILE)
    if name == "gauge" and gauge is not None:
        return Taken(name, gauge, f"{gauge} gauge", PROFILE)
    return None


def open_questions(answer: Answer, *, same_numbers: bool = False) -> str:
    """Ask for missing particulars; `same_numbers`: the pack changes neither minutes nor pressure."""
    told = []
    for name in answer.missing:
        choices = spaced(answer.choices.get(name, ()))
        same = ", with the same numbers" if name == "pack" and same_numbers else ""
        told.append(f"Which {_ASKED[name]}{f': {choices}' if choices else ''}{same}?")
    return " ".join(told)


def spaced(names: Iterable[str]) -> str:
    """Name choices as they are said."""
    return " or ".join(name.replace("see-procedure", "by its procedure").replace("-", " ") for name in names)


_ASKED = {
    "food": "food",
    "pack": "pack",
    "jar": "jar",
    "method": "canner",
    "gauge": "gauge",
    "altitude_ft": "altitude (say 900 feet; kitchenvoice start asks once for all)",
}


def _worded(name: str, value: str) -> str:
    if name == "pack":
        return "packed by its procedure" if value == "see-procedure" else f"{value} pack"
    return f"{value} jars" if name == "jar" else value.replace("-", " ")


def put_json(fields: dict[str, Any], taken: list[Taken]) -> None:
    """Print one JSON object, with its sources spelled out and its assumptions."""
    from kitchenvoice.reference import source_title

    fields["source_text"] = [source_title(citation) for citation in fields["source"]]
    fields["taken"] = {each.name: {"value": each.value, "from": each.where} for each in taken}
    click.echo(json.dumps(fields, ensure_ascii=False))


def taken_words(taken: list[Taken]) -> str:
    """Name the assumptions and their origin."""
    places = dict.fromkeys(each.where for each in taken)
    return "; ".join(f"{', '.join(each.words for each in taken if each.where == where)}: {where}" for where in places)
