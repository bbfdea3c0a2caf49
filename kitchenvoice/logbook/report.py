"""The season as one HTML page that needs nothing else: no scripts, no network, plots inside."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from string import Template

from kitchenvoice.logbook.charts import MONTHS, bars_by_month, rates
from kitchenvoice.logbook.eating import Kept, best_months
from kitchenvoice.logbook.season import Rate, Season
from kitchenvoice.reference import rule, source_title

__all__ = ["season_page"]

_PAGE = Template("""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>$title</title>
<style>
body { font: 17px/1.5 Georgia, serif; max-width: 46rem; margin: 2rem auto; padding: 0 1rem; color: #222; }
h1, h2 { font-weight: normal; color: #2f5d62; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; padding: .2rem .6rem .2rem 0; border-bottom: 1px solid #ddd; }
td.n, th.n { text-align: right; }
svg { width: 100%; height: auto; margin: .5rem 0; } svg text { font: 13px sans-serif; }
.note { color: #555; font-size: .9em; }
@media print { body { margin: 0; max-width: none; } h2 { break-after: avoid; } svg, table { break-inside: avoid; } }
</style>
</head>
<body>
<h1>$title</h1>
$body
</body>
</html>
""")


def season_page(season: Season, shelf: Sequence[Kept]) -> str:
    """Return the page for a season, with what is on the shelf now."""
    parts = [_summary(season), _jars(season), *_seals(season), _restarts(season), _shelf(shelf)]
    body = "".join(letter for letter in "\n".join(filter(None, parts)) if letter == "\n" or letter.isprintable())
    return _PAGE.substitute(title=f"Canning season {season.year}", body=body)


def _table(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    def row(cells: Sequence[object], tag: str) -> str:
        parts = []
        for cell in cells:
            kind = ' class="n"' if isinstance(cell, int) else ""
            parts.append(f"<{tag}{kind}>{escape(str(cell))}</{tag}>")
        return f"<tr>{''.join(parts)}</tr>"

    return f"<table>{row(heads, 'th')}{''.join(row(cells, 'td') for cells in rows)}</table>"


def _summary(season: Season) -> str:
    if not season.loads:
        return "<p>No load was started in this year.</p>"
    rate = season.sealed
    low, high = rate.interval
    text = f"{season.loads} loads, {rate.sealed} jars sealed of {rate.counted} counted"
    if rate.counted:
        text += f" ({rate.share:.1%}; the true rate lies between {low:.1%} and {high:.1%})"
    more = [f"{count} jars: {name}" for name, count in sorted(season.outcomes.items())]
    more += [f"{season.broken} broken"] if season.broken else []
    more += [f"{season.uncounted} loads not counted yet"] if season.uncounted else []
    return f"<p>{escape('. '.join([text, *more]))}.</p>"


def _jars(season: Season) -> str:
    if not season.jars:
        return ""
    foods = dict(sorted(season.jars.items()))
    used = [month for month in range(1, 13) if any(values[month] for values in foods.values())]
    rows = [[name, *(values[month] for month in used), sum(values.values())] for name, values in foods.items()]
    chart = bars_by_month("Jars sealed, by month and food", foods)
    table = _table(["Food", *(MONTHS[month - 1] for month in used), "All"], rows)
    return f"<h2>Jars by food and month</h2>{chart}{table}"


def _seals(season: Season) -> Iterable[str]:
    for title, found in (("Seal rate by food", season.by_food), ("Seal rate by box of lids", season.by_lids)):
        if found:
            note = "Point: the rate counted. Line: where the true rate lies with 95 % confidence (Wilson's interval)."
            chart = rates(title, [_row(rate) for rate in found])
            yield f'<h2>{title}</h2>{chart}<p class="note">{note}</p>'


def _row(rate: Rate) -> tuple[str, float, tuple[float, float], str]:
    return rate.name, rate.share, rate.interval, f"{rate.sealed} of {rate.counted}"


def _restarts(season: Season) -> str:
    if not season.loads:
        return ""
    text = f"The hold started over {season.restarts} times, in {season.with_restart} of {season.loads} loads."
    chart = bars_by_month("Holds started over, by month", {"started over": season.restarts_by_month})
    return f"<h2>Holds that started over</h2><p>{text}</p>{chart if season.restarts else ''}"


def _shelf(shelf: Sequence[Kept]) -> str:
    if not shelf:
        return ""
    rows = []
    for each in shelf:
        fields = each.as_dict()
        best = "best time over" if each.overdue else f"best before {str(fields['best_until'])[:10]}"
        rows.append([each.record.on_shelf, each.record.jar, each.record.food_name, str(fields["packed"])[:10], best])
    sources = "; ".join(source_title(source) for source in rule("storage.shelf_life").source)
    note = f"Best within about {best_months()} months. Source: {sources}."
    table = _table(["Jars", "Size", "Food", "Packed", "Use"], rows)
    return f'<h2>On the shelf, to use first on top</h2>{table}<p class="note">{escape(note)}</p>'
