"""The season report as sections of words, tables and charts; `html` and `pdf` render them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kitchenvoice.logbook.report.measured_yield import Made
from kitchenvoice.logbook.report.season import Rate, Season
from kitchenvoice.logbook.report.use_first import Kept, best_months
from kitchenvoice.paper.blocks import Section, SmallPrint, Table
from kitchenvoice.paper.charts import MONTHS, Row, bars_by_month, points
from kitchenvoice.reference import rule, source_title

__all__ = ["season_sections", "season_title"]

_WILSON = "Point: the rate counted. Line: where the true rate lies with 95 % confidence (Wilson's interval)."


def season_title(season: Season) -> str:
    """Return the report's title."""
    return f"Canning season {season.year}"


def season_sections(season: Season, shelf: Sequence[Kept]) -> list[Section]:
    """Return the report of a season, with the present shelf."""
    if not season.loads:
        return [Section("", ("No load was started in this year.",)), *_shelf(shelf)]
    return [
        Section("", (_summary(season),)),
        *_jars(season),
        *_seals(season),
        *_restarts(season),
        *_yields(season.made),
        *_shelf(shelf),
    ]


_OUTCOMES = {
    "refrigerate": "put into the refrigerator",
    "freeze": "frozen",
    "reprocess": "processed again",
    "discard": "thrown out",
}


def _summary(season: Season) -> str:
    rate = season.sealed
    low, high = rate.interval
    text = f"{season.loads} loads, {rate.sealed} jars sealed of {rate.counted} counted"
    if rate.counted:
        text += f" ({rate.share:.1%}; the true rate lies between {low:.1%} and {high:.1%})"
    more = [
        f"{'1 jar that failed was' if count == 1 else f'{count} jars that failed were'} {_OUTCOMES.get(name, name)}"
        for name, count in sorted(season.outcomes.items())
    ]
    more += [f"{season.broken} broken"] if season.broken else []
    more += [f"{season.uncounted} loads not counted"] if season.uncounted else []
    return f"{'. '.join([text, *more])}."


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
    yield Section("Jars by food and month", (chart, table))


def _seals(season: Season) -> Iterator[Section]:
    for title, found in (("Seal rate by food", season.by_food), ("Seal rate by box of lids", season.by_lids)):
        if found:
            yield Section(title, (points(title, [_rate(rate) for rate in found]), SmallPrint(_WILSON)))


def _rate(rate: Rate) -> Row:
    return Row(rate.name, rate.share, rate.interval, f"{rate.sealed} of {rate.counted}")


def _restarts(season: Season) -> Iterator[Section]:
    text = f"The hold started over {season.restarts} times, in {season.with_restart} of {season.loads} loads."
    chart = bars_by_month("Holds started over, by month", {"started over": season.restarts_by_month})
    yield Section("Holds that started over", (text, *((chart,) if season.restarts else ())))


def _yields(made: Sequence[Made]) -> Iterator[Section]:
    if not made:
        return
    top = max(max(each.jars, each.published[1] if each.published else 0) for each in made)
    rows = [Row(f"{each.food_name}, {each.jar}", each.jars, each.published, f"{each.jars} jars") for each in made]
    cells = tuple((each.food_name, each.jar, each.used, each.jars, _range(each)) for each in made)
    table = Table(("Food", "Size", "Used", "Jars", "Published"), cells)
    sources = "; ".join(dict.fromkeys(source_title(source) for each in made for source in each.source))
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


def _shelf(shelf: Sequence[Kept]) -> Iterator[Section]:
    if not shelf:
        return
    rows = []
    for each in shelf:
        fields = each.as_dict()
        best = "best time over" if each.overdue else f"best before {str(fields['best_until'])[:10]}"
        rows.append((each.record.on_shelf, each.record.jar, each.record.food_name, str(fields["packed"])[:10], best))
    sources = "; ".join(source_title(source) for source in rule("storage.shelf_life").source)
    note = SmallPrint(f"Best within about {best_months()} months. Source: {sources}.")
    table = Table(("Jars", "Size", "Food", "Packed", "Use"), tuple(rows))
    yield Section("On the shelf, to use first on top", (table, note))
