"""The season report as sections of words, tables and charts; `html` and `pdf` render them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from kitchenvoice.logbook.report.entry_words import outcome_words, times
from kitchenvoice.logbook.report.measured_yield import Made
from kitchenvoice.logbook.report.records import LoadRecord
from kitchenvoice.logbook.report.season import LEAST_COUNTED, Rate, Season
from kitchenvoice.logbook.report.use_first import Kept, best_months
from kitchenvoice.paper.blocks import Section, SmallPrint, Table
from kitchenvoice.paper.charts import MONTHS, Row, bars_by_month, points
from kitchenvoice.paper.text import date_of, day_of_month
from kitchenvoice.reference import publications, rule

__all__ = ["season_sections", "season_title"]

_WILSON = (
    f"Point: the rate counted. Line, from {LEAST_COUNTED} jars on: where the true rate lies with 95 % confidence"
    " (Wilson's interval)."
)


def season_title(season: Season) -> str:
    """Return the report's title."""
    return f"Canning season {season.year}"


def season_sections(season: Season, shelf: Sequence[Kept], hours: int) -> list[Section]:
    """Return the report of a season, with the present shelf; a day has 12 hours twice, or 24."""
    return [
        Section("", (_summary(season),)),
        *_loads(season.records, hours),
        *_jars(season),
        *_seals(season),
        *_yields(season.made),
        *_shelf(shelf, hours),
    ]


def _summary(season: Season) -> str:
    rate = season.sealed
    counted = f"{rate.sealed} of {_several(rate.counted, 'jar')} counted sealed" if rate.counted else "none counted yet"
    text = f"{_several(season.loads, 'load')}, {counted}"
    if rate.interval:
        low, high = rate.interval
        text += f" ({rate.share:.1%}; the true rate lies between {low:.1%} and {high:.1%})"
    more = [
        f"{_several(count, 'jar')} that failed {outcome_words(name)}" for name, count in sorted(season.outcomes.items())
    ]
    more += [f"{_several(season.broken, 'jar')} broken"] if season.broken else []
    more += [f"{_several(season.uncounted, 'load')} not counted"] if season.uncounted and rate.counted else []
    over = f"The hold started over {times(season.restarts)}, in {season.with_restart} of {season.loads} loads"
    more += [over] if season.restarts else []
    return f"{'. '.join([text, *more])}."


def _several(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _loads(records: Sequence[LoadRecord], hours: int) -> Iterator[Section]:
    rows = tuple(_load(load, hours) for load in sorted(records, key=lambda load: load.opened_t))
    yield Section("The loads", (Table(("Day", "Jars", "Of", "Process", "Sealed", "Mind"), rows, _LOAD_SHARES),))


_LOAD_SHARES = (2.2, 2.6, 4, 5, 2.4, 4)


def _load(load: LoadRecord, hours: int) -> tuple[str, ...]:
    day = datetime.fromtimestamp(load.opened_t).astimezone()
    psi = (
        f" at {load.psi:g} pounds"
        if load.psi
        else f", {load.method.replace('-', ' ')}"
        if load.method != "pressure"
        else ""
    )
    sealed = "not counted" if load.sealed is None else f"{load.sealed} of {load.sealed + (load.failed or 0)}"
    mind = [f"hold started over {times(load.restarts)}"] if load.restarts else []
    mind += [f"doubted: {load.doubts}"] if load.doubts else []
    return (
        day_of_month(day, hours, short=True),
        _several(load.jars, load.jar),
        f"{load.food_name}, {load.pack} pack",
        f"{load.minutes:g} minutes{psi}",
        sealed,
        "; ".join(mind),
    )


def _jars(season: Season) -> Iterator[Section]:
    if not season.jars:
        return
    foods = dict(sorted(season.jars.items()))
    used = [month for month in range(1, 13) if any(values[month] for values in foods.values())]
    rows: list[tuple[str | int, ...]] = [
        (name, *(values[month] for month in used), sum(values.values())) for name, values in foods.items()
    ]
    chart = bars_by_month("Jars sealed, by month and food", foods)
    table = Table(("Food", *(MONTHS[month - 1] for month in used), "All"), tuple(rows))
    yield Section("Jars by food and month", (*((chart,) if len(used) > 1 else ()), table))


def _seals(season: Season) -> Iterator[Section]:
    for title, found in (("Seal rate by food", season.by_food), ("Seal rate by box of lids", season.by_lids)):
        if found:
            note = (SmallPrint(_WILSON),) if any(rate.interval for rate in found) else ()
            yield Section(title, (points(title, [_rate(rate) for rate in found]), *note))


def _rate(rate: Rate) -> Row:
    return Row(rate.name, rate.share, rate.interval, f"{rate.sealed} of {rate.counted}")


def _yields(made: Sequence[Made]) -> Iterator[Section]:
    if not made:
        return
    top = max(max(each.jars, each.published[1] if each.published else 0) for each in made)
    rows = [Row(f"{each.food_name}, {each.jar}", each.jars, each.published, f"{each.jars} jars") for each in made]
    cells = tuple((each.food_name, each.jar, each.used, each.jars, _range(each)) for each in made)
    table = Table(("Food", "Size", "Used", "Jars", "Published"), cells)
    sources = publications(source for each in made for source in each.source)
    note = (
        "Point: the jars filled. Line: the jars that the published yields give for the same amount. They vary widely."
    )
    chart = points("Jars filled, against the published yield", rows, top, lambda value: f"{value:.0f}")
    yield Section("Yield against the published tables", (chart, table, SmallPrint(f"{note} Source: {sources}.")))


def _range(each: Made) -> str:
    if each.published is None:
        return "none printed"
    low, high = each.published
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


def _shelf(shelf: Sequence[Kept], hours: int) -> Iterator[Section]:
    if not shelf:
        return
    rows = []
    for each in shelf:
        fields = each.as_dict()
        days = (datetime.fromisoformat(str(fields[name])) for name in ("packed", "best_until"))
        packed, until = (date_of(day, hours, short=True) for day in days)
        best = "best time over" if each.overdue else f"best before {until}"
        rows.append((each.record.on_shelf, each.record.jar, each.record.food_name, packed, best))
    sources = publications(rule("storage.shelf_life").source)
    note = SmallPrint(f"Best within about {best_months()} months. Source: {sources}.")
    table = Table(("Jars", "Size", "Food", "Packed", "Use"), tuple(rows))
    yield Section("On the shelf, to use first on top", (table, note))
