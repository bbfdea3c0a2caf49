"""`kitchenvoice plan`: jars, loads, salt and lids from what is on hand, and the day of one cook by the clock."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kitchenvoice.cli import short_text
from kitchenvoice.cli.paper_file import paper_option, put_page
from kitchenvoice.cli.plan_pages import MadePlan, calendar, page, text
from kitchenvoice.cli.process_options import (
    EXIT,
    GUIDE,
    PROFILE,
    OwnKitchen,
    Taken,
    Usage,
    as_usage,
    asked,
    process_options,
    put_json,
    settled,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from kitchenvoice.kitchen.profile import Canner
    from kitchenvoice.reference import Answer, ClockLine, Plan

__all__ = ["plan_command"]

_MOST_CANNERS = 4
_TIME = re.compile(r"(\d{1,2})(?:[:.](\d{2}))?\s*([ap])?\.?m?\.?", re.IGNORECASE)
_STARTING = re.compile(
    rf"\b(?:start(?:ing|s)?|begin(?:ning|s)?|from) (?:at )?({_TIME.pattern}|noon)(?!\w)", re.IGNORECASE
)


@click.command("plan")
@process_options
@click.option("--have", type=short_text.text, help='What is on hand, such as "28 lb" or "2 bushels".')
@click.option("--capacity", type=click.IntRange(1, 100), help="How many of these jars fit the canner.")
@click.option(
    "--style", type=short_text.text, help="thin or thick, for tomato sauce; the fruit, for jam or jelly without pectin."
)
@click.option(
    "--canners",
    type=click.IntRange(1, _MOST_CANNERS),
    help="How many canners run: one, or each of yours if gauges differ.",
)
@click.option("--pack-minutes", type=short_text.text, help="How long packing a load takes you, such as 30-45.")
@click.option("--heat-minutes", type=short_text.text, help="How long heating up takes, such as 15-25.")
@click.option("--start", type=short_text.text, help="When the day begins, such as 9:00: the plan by the clock.")
@click.option(
    "--date", "day", type=click.DateTime(["%Y-%m-%d"]), metavar="YYYY-MM-DD", help="The day, today if not given."
)
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="Write .pdf, .html or .ics (a calendar).")
@paper_option
@click.pass_context
def plan_command(
    ctx: click.Context,
    /,
    words: tuple[str, ...],
    as_json: bool,
    have: str | None,
    capacity: int | None,
    style: str | None,
    canners: int | None,
    pack_minutes: str | None,
    heat_minutes: str | None,
    start: str | None,
    day: datetime | None,
    out: Path | None,
    paper: str | None,
    **process: Any,
) -> None:
    """Plan jars, loads, salt and lids from what is on hand. By published yields.

    WORDS may stand for the options, such as: 28 lb carrots quarts. What isn't said is taken from the profile.
    """
    from kitchenvoice.reference import amount_in, clock, plan
    from kitchenvoice.reference.library import product
    from kitchenvoice.reference.recipes import style_in
    from kitchenvoice.reference.yields import usual_load

    kitchen = OwnKitchen()
    line = short_text.text(" ".join(words))
    if found := _STARTING.search(line):
        start, line = start or found[1], line[: found.start()] + line[found.end() :]
    named, line = _named(kitchen, line)
    canner = named[0] if len({each.gauge for each in named}) == 1 else None
    said_canners, canners = canners or named, max(canners or 1, len(named))
    with as_usage():
        said, rest = amount_in(line)
        more, _ = amount_in(rest) if said else (None, "")
    if said and have:
        raise Usage(f"{said} and {have}: say once how much there is.")
    if more:
        raise Usage(f"{more}: one amount of one food at a time. How many jars fit is --capacity.")
    given = asked(rest, process, canner)
    if given["jar"] is None and (said or have):
        given["jar"] = _counted_jar(str(said or have))
    answer, taken = settled(given, kitchen)
    answer = _either_pack(answer, given, taken)
    mine = named or kitchen.canners
    running = mine[:canners] if said_canners or "gauge" not in answer.missing else _gauged(mine)
    answers = _each_gauge(answer, given, taken, running)
    if answers:
        canners = len(running)
    elif running and answer.missing == ("gauge",) and not said_canners:
        answers = (_first_gauge(running[0], given, taken),)
    answers = answers or (answer,)
    answer = answers[0]
    fitting = [each for each in mine if answer.gauge in (each.gauge, None) or each.gauge is None]
    own = running if len(answers) > 1 else fitting
    if capacity is None and answer.jar:
        pots = [each for each in mine if each.gauge is None or answer.method == "pressure"]
        capacity = _capacity(sorted(pots, key=lambda each: each not in own), answer, canners, taken)
        if capacity is None and (words or (mine and answer.method != "pressure")):
            capacity = usual_load(answer.jar)
            taken.append(Taken("capacity", capacity, f"{capacity} to a canner", GUIDE))
    with as_usage():
        made = plan(
            **given,
            have=said or have,
            capacity=capacity,
            style=style or (style_in(product(answer.food), line) if answer.food else None),
            canners=canners,
            pack_minutes=_span(pack_minutes),
            heat_minutes=_span(heat_minutes),
        )
    begins = _moment(start, day)
    if begins and made.status == "ok" and (lacking := tuple(_lacking(answer, made, mine))):
        raise Usage(" ".join(lacking))
    if begins and len(own) < min(canners, len(mine)):
        gauge = f"Your canners with a {answer.gauge} gauge: {len(own) or 'none'}. Each gauge has its own pounds."
        raise Usage(f"{gauge} Leave the gauge out, and each canner is planned by its own.")
    lines = clock(answers, made.day, begins) if begins and made.day else ()
    by_clock = tuple(_as_read(line, kitchen, own, answers) for line in lines)
    vessels = tuple(own) if answer.gauge else ()
    whole = MadePlan(made, answers, taken, by_clock, vessels, kitchen.on_dials(answers), kitchen.profile.hours)
    if out is not None and made.status == "ok":
        put_page(out, *page(whole), paper or kitchen.profile.paper, ics=lambda: calendar(whole))
    elif as_json:
        put_json({**made.as_dict(), "clock": [_json_line(line, whole.canner(line.canner)) for line in by_clock]}, taken)
    else:
        for line in text(whole):
            click.echo(line)
    ctx.exit(EXIT[made.status])


def _named(kitchen: OwnKitchen, line: str) -> tuple[tuple[Canner, ...], str]:
    """Return all canners that are named in a line of words, and the rest of the line."""
    found: list[Canner] = []
    while True:
        canner, line = kitchen.named(line)
        if canner is None:
            return tuple(each for each in kitchen.canners if each in found), line
        found.append(canner)


def _each_gauge(
    answer: Answer, given: dict[str, Any], taken: list[Taken], running: Sequence[Canner]
) -> tuple[Answer, ...]:
    """Return a process for each canner that runs, by its own gauge; none if one was said, or their minutes differ."""
    from kitchenvoice.reference import lookup

    gauges = [each.gauge for each in running]
    usual = [each for each in taken if (each.name, each.where) == ("gauge", PROFILE)]
    if not (usual or "gauge" in answer.missing) or None in gauges or len(set(gauges)) < 2:
        return ()
    found: list[Answer] = []
    for gauge in gauges:
        one = {**given, "gauge": gauge}
        found.append(_either_pack(lookup(**one), one, taken))
        given["pack"] = one["pack"]
    if {each.status for each in found} != {"ok"} or len({tuple(m for m, _ in each.pairs) for each in found}) > 1:
        return ()
    given["gauge"] = gauges[0]
    taken[:] = [each for each in taken if each not in usual]
    return tuple(found)


def _gauged(canners: Sequence[Canner]) -> tuple[Canner, ...]:
    """Return the canners with a gauge, as many as may run."""
    return tuple(each for each in canners if each.gauge)[:_MOST_CANNERS]


def _first_gauge(canner: Canner, given: dict[str, Any], taken: list[Taken]) -> Answer:
    """Settle the gauge by one canner, where each has minutes of its own."""
    from kitchenvoice.reference import lookup

    given["gauge"] = canner.gauge
    taken.append(Taken("gauge", canner.gauge, f"{canner.spoken}, {canner.gauge} gauge", PROFILE))
    return lookup(**given)


def _as_read(line: ClockLine, kitchen: OwnKitchen, own: Sequence[Canner], answers: Sequence[Answer]) -> ClockLine:
    """Add to a hold what the pounds are on a dial that isn't exact."""
    if line.name != "hold" or line.canner > len(own):
        return line
    canner, answer = own[line.canner - 1], answers[(line.canner - 1) % len(answers)]
    if answer.gauge != "dial" or answer.psi is None or not canner.dial_error_psi:
        return line
    read = kitchen.on_dial(canner, answer.psi).read_psi
    return line if read is None else replace(line, what=f"{line.what}, {read:g} on this dial")


def _counted_jar(amount: str) -> str | None:
    """Return the size of jar that an amount is counted in, if it is: "20 quarts"."""
    from kitchenvoice.reference import parse_have

    with as_usage():
        found = parse_have(amount)
    return found.unit if found.counts_jars and found.unit != "jar" else None


def _lacking(answer: Answer, made: Plan, own: Sequence[Canner]) -> Iterator[str]:
    """Yield everything a clock still lacks, to be said at once."""
    if answer.status != "ok":
        choices = [" or ".join(found) for found in answer.choices.values()]
        yield f"A clock needs the whole process. {answer.reason}" + (f" Add: {', '.join(choices)}." if choices else "")
        if "altitude_ft" in answer.missing:
            yield "Add the altitude, such as 900 feet."
        if "gauge" in answer.missing and len(own) > 1:
            yield f"Or let each canner go by its own: --canners {len(own)}."
    elif not made.day:
        yield "A clock holds 100 loads at most."


def _either_pack(answer: Answer, given: dict[str, Any], taken: list[Taken]) -> Answer:
    """Settle the pack where only it is open and each has the same numbers; a plan needs no more."""
    from kitchenvoice.reference import lookup

    if answer.missing != ("pack",):
        return answer
    first, *others = (lookup(**{**given, "pack": pack}) for pack in answer.choices["pack"])
    if first.status != "ok" or any((each.status, each.pairs) != ("ok", first.pairs) for each in others):
        return answer
    given["pack"] = first.pack
    other = " or ".join(f"{each.pack} pack" for each in others)
    taken.append(Taken("pack", first.pack, f"{first.pack} pack", f"{other} has the same numbers"))
    return first


def _capacity(own: Sequence[Canner], answer: Answer, canners: int, taken: list[Taken]) -> int | None:
    """Return the number of jars that fit the running canners, by the smallest of them.

    In boiling water only one layer counts: the water has to stand over all the lids, and a pressure canner is as high
    as its layers.
    """
    jar, layered = answer.jar or "", answer.method == "pressure"
    known = [
        (each.capacity[jar] // (1 if layered else each.layers.get(jar, 1)), each.layers.get(jar, 1))
        for each in own
        if jar in each.capacity
    ][:canners]
    if not known:
        return None
    least, layers = min(known)
    words = f"{least} to a canner{' in one layer' if layers > 1 and not layered else ''}"
    several = len({holds for holds, _ in known}) > 1
    taken.append(Taken("capacity", least, f"{words}, the least of them" if several else words, PROFILE))
    return least


def _span(text: str | None) -> tuple[float, float] | None:
    """Understand "30-45" or "30" minutes."""
    if text is None:
        return None
    parts = text.split("-")
    if len(parts) not in (1, 2) or not all(part.strip().isdecimal() and part.strip().isascii() for part in parts):
        raise Usage("Give minutes as 30 or as 30-45.")
    low, high = float(parts[0]), float(parts[-1])
    if not 0 < low <= high <= 600:
        raise Usage("Give minutes as 30 or as 30-45, the smaller number first, up to 600.")
    return low, high


def _moment(start: str | None, day: datetime | None) -> datetime | None:
    """Understand 9:00, 9 or 1:30 pm on that day. Raises: Usage."""
    from kitchenvoice.clock import SystemClock

    if start is None:
        return None
    found = _TIME.fullmatch("12 pm" if start.strip().lower() == "noon" else start.strip())
    hour = int(found[1]) if found else 24
    if found and found[3] and 1 <= hour <= 12:
        hour = hour % 12 + (12 if found[3].lower() == "p" else 0)
    if found is None or hour > 23 or int(found[2] or 0) > 59:
        raise Usage(f"{start} isn't a time of day. Write it like 9:00.")
    date = day or datetime.fromtimestamp(SystemClock().now().utc).astimezone()
    return datetime.combine(date.date(), time(hour, int(found[2] or 0)))


def _json_line(line: ClockLine, canner: int) -> dict[str, Any]:
    return {
        "earliest": line.low.isoformat(timespec="minutes"),
        "latest": line.high.isoformat(timespec="minutes"),
        "load": line.load,
        "canner": canner,
        "stage": line.name,
        "text": line.what,
    }
