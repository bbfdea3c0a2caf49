"""A plan as text, as a page to print and as a calendar."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from kitchenvoice.cli.process_options import Taken, open_questions, taken_words
from kitchenvoice.errors import BadInput
from kitchenvoice.paper.text import columns, day_of, facts, lines, time_of_day

if TYPE_CHECKING:
    from kitchenvoice.kitchen.profile import Canner
    from kitchenvoice.paper import Section
    from kitchenvoice.reference import Answer, ClockLine, Plan

__all__ = ["MadePlan", "calendar", "page", "text"]


@dataclass(frozen=True)
class MadePlan:
    """A plan, the processes it goes by, what was taken for it, and its lines by the clock if a start was given,
    the kitchen's own canners, and what there is to say of its dials."""

    plan: Plan
    answers: tuple[Answer, ...]
    taken: list[Taken]
    clock: tuple[ClockLine, ...]
    own: tuple[Canner, ...]
    dials: tuple[str, ...]
    hours: int

    def canner(self, place: int) -> int:
        """Return the number that the kitchen gives the plan's first, second or later canner."""
        return self.own[place - 1].number if place <= len(self.own) else place

    def called(self, place: int) -> str:
        """Return the kitchen's name for a canner, else its number."""
        return (self.own[place - 1].name if place <= len(self.own) else None) or str(self.canner(place))


# ---------------------------------------------------------------- for a person


def text(made: MadePlan) -> Iterator[str]:
    """Yield the plan as lines for a terminal."""
    plan = made.plan
    yield from lines(plan.text or plan.reason or "")
    if "have" in plan.missing or ("food" in plan.missing and not plan.choices):
        yield "Say it like: kitchenvoice plan 28 lb carrots quarts."
    elif "capacity" in plan.missing and not plan.choices:
        yield "Add --capacity 7, or let kitchenvoice start ask for your canners once for all."
    if plan.status == "ok":
        yield ""
        yield from facts((*_numbers(made), ("Source", _source(plan))))
    if made.clock:
        yield ""
        yield from columns(_CLOCK_HEADS, _clock_rows(made))
        yield ""
        yield from lines(_day_note(plan))
    elif plan.day:
        yield ""
        rows = [
            (f"{w.load}", made.called(w.canner), f"{_ends(w.ends_low, w.ends_high)} minutes") for w in plan.day.windows
        ]
        yield from columns(("Load", "Canner", "Out after"), rows)
        yield ""
        yield from lines(_day_note(plan))


def _numbers(made: MadePlan) -> Iterator[tuple[str, str]]:
    from kitchenvoice.card.sheet import amount_text, kept_text

    plan = made.plan
    yield "Still open", open_questions(made.answers[0])
    yield from (("Process", told) for told in dict.fromkeys(map(_process, made.answers)))
    if plan.jars and plan.lids:
        yield "Lids", _ends(plan.lids.low, plan.lids.high)
        for name, span, unit in (
            ("Salt", plan.salt_tsp, "teaspoons, if you like"),
            ("Lemon juice", plan.lemon_juice_tbsp, "tablespoons, bottled, or"),
            ("Citric acid", plan.citric_acid_tsp, "teaspoons"),
        ):
            if span:
                yield name, f"{_ends(span.low, span.high)} {unit}"
    for part in plan.recipe:
        kept = "" if part.keep == "main" else f": {kept_text(part.keep)}"
        yield "Recipe", f"{amount_text((part.low, part.high), part.unit)} {part.what}{kept}"
    if made.answers[0].preparation:
        yield "Pack", made.answers[0].preparation
    yield from (("Your dial", told) for told in made.dials)
    yield from (("Mind", note) for note in plan.notes)
    yield "Taken", taken_words(made.taken)


def _process(answer: Answer) -> str:
    if answer.status != "ok":
        return ""
    canner = f"{answer.gauge} gauge" if answer.gauge else str(answer.method).replace("-", " ")
    pairs = (f"{minutes:g} minutes{f' at {psi:g} pounds' if psi else ''}" for minutes, psi in answer.pairs)
    return f"{canner}, {' or '.join(pairs)}"


def _source(plan: Plan) -> str:
    from kitchenvoice.reference import publications

    return publications((*plan.source, *(plan.day.source if plan.day else ())))


def _day_note(plan: Plan) -> str:
    """State the assumptions of the times, and the loads that may not come about."""
    spans = plan.loads
    maybe = [str(load) for load in range(int(spans.low) + 1, int(spans.high) + 1)] if spans else []
    loads = f"{'Load' if len(maybe) == 1 else 'Loads'} {', '.join(maybe)}: only if there is enough. " if maybe else ""
    return f"{loads}{plan.day.note if plan.day else ''}"


def _vessel(made: MadePlan, place: int) -> str:
    called = made.called(place)
    return f"canner {called}" if called.isdecimal() else called


def _ends(low: float, high: float) -> str:
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


_CLOCK_HEADS = ("Earliest", "Latest", "Load", "Canner", "What")


def _clock_rows(made: MadePlan) -> list[tuple[str, ...]]:
    """Return the rows by the clock."""
    return [
        (
            time_of_day(line.low, made.hours),
            time_of_day(line.high, made.hours) if line.high != line.low else "",
            str(line.load),
            made.called(line.canner),
            line.what,
        )
        for line in made.clock
    ]


# ---------------------------------------------------------------- on paper, into a calendar


def page(made: MadePlan) -> tuple[str, list[Section]]:
    """Return the plan as a page: its title and its sections."""
    from kitchenvoice.paper import Section, SmallPrint, Table

    numbers = Table((), tuple(row for row in _numbers(made) if row[1]), (1, 5))
    sections = [Section("", (made.plan.text or "",))]
    if made.clock and made.plan.day:
        day = made.clock[0].low
        table = Table(_CLOCK_HEADS, tuple(_clock_rows(made)), (2, 2, 1, 2.4, 8))
        sections.append(Section(day_of(day, made.hours), (table, SmallPrint(_day_note(made.plan)))))
    sections.append(Section("What it takes", (numbers, SmallPrint(f"Source: {_source(made.plan)}"))))
    return f"Canning day: {made.plan.food_name}", sections


def calendar(made: MadePlan) -> bytes:
    """Return the day as a calendar: packing and canner of each load. Raises: BadInput without a start."""
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.paper import Appointment, calendar_file

    if not made.clock:
        raise BadInput("A calendar needs the time when the day begins: --start 9:00, with a whole process.")
    food = f"{made.plan.food_name}, {made.plan.jar} jars"
    appointments = []
    for load in sorted({line.load for line in made.clock}):
        own = [line for line in made.clock if line.load == load]
        packing = [line for line in own if line.name == "pack"]
        running = [line for line in own if line.name != "pack"]
        told = "\n".join(
            f"{' to '.join(filter(None, row[:2]))}: {row[4]}" for row in _clock_rows(made) if row[2] == str(load)
        )
        note = "\n".join((told, *made.dials, _day_note(made.plan)))
        for name, part, until in (
            (": pack", packing, running[0].high),
            (f" in {_vessel(made, running[0].canner)}", running, running[-1].high),
        ):
            if part:
                appointments.append(Appointment(part[0].low, until, f"Load {load}{name}, {food}", note))
    return calendar_file(appointments, datetime.fromtimestamp(SystemClock().now().utc, UTC))
