"""Printed output: sheets whose labels fit the page, lines that fit the label, correct figures."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth

from kitchenvoice.logbook.report.labels import SHEETS, label_lines, labels_pdf, places, text_corner, type_for
from kitchenvoice.logbook.report.measured_yield import yields_of
from kitchenvoice.logbook.report.records import LoadRecord, iso
from kitchenvoice.logbook.report.season import Rate, season_of, wilson
from kitchenvoice.logbook.report.sections import season_sections, season_title
from kitchenvoice.logbook.report.use_first import best_until
from kitchenvoice.paper import Section, SmallPrint, Table
from kitchenvoice.paper.charts import ChartLine, Dot, Row, Text, bars_by_month, points
from kitchenvoice.paper.html import html_page, svg
from kitchenvoice.paper.pdf import PAPERS, pdf_sheets
from kitchenvoice.paper.text import text_page

from .days import DAY, SEASON


def record(**data: Any) -> LoadRecord:
    given = {
        "shelved": data.get("sealed") or 0,
        **dict.fromkeys(("closed_seq", "counted_seq", "closed_t", "processed_t", "psi", "gauge", "out")),
        **dict.fromkeys(("sealed", "failed")),
        **dict.fromkeys(("pack", "canner_name", "method", "stage"), "raw"),
        **dict.fromkeys(("number", "opened_seq", "canner", "altitude_ft", "planned", "jars"), 1),
        "low_liquid": 0,
        "broken": 0,
        "restarts": 0,
        "minutes": 25.0,
        "load": 1,
        "opened_t": SEASON,
        "food": "carrots",
        "food_name": "carrots",
        "jar": "pint",
    }
    return LoadRecord(**{**given, **data})


@pytest.mark.parametrize("name", SHEETS)
def test_every_label_lies_on_the_page_and_on_no_other_label(name: str) -> None:
    sheet = SHEETS[name]
    corners = [(left, top) for _, left, top in places(sheet, sheet.each)]
    assert len(set(corners)) == sheet.each
    for left, top in corners:
        assert left >= 0
        assert top >= 0
        assert left + sheet.label[0] <= sheet.page[0] + 0.05
        assert top + sheet.label[1] <= sheet.page[1] + 0.05
    assert sheet.pitch[0] >= sheet.label[0]
    assert sheet.pitch[1] >= sheet.label[1]
    assert name.endswith(
        f"-{round(sheet.label[0])}x{int(sheet.label[1] + 0.5 if sheet.label[1] % 1 > 0.5 else sheet.label[1])}"
    )


def test_used_labels_are_left_out_on_the_first_page_only() -> None:
    sheet = SHEETS["a4-70x37"]
    found = list(places(sheet, 30, skip=5))
    assert found[0] == (0, *next((left, top) for n, (_, left, top) in enumerate(places(sheet, 24)) if n == 5))
    assert [page for page, _, _ in found] == [0] * 19 + [1] * 11


@given(st.text(max_size=200))
def test_any_name_makes_a_label(name: str) -> None:
    content, count = labels_pdf([(record(food_name=name), 2)], SHEETS["letter-67x25"], 12)
    assert content.startswith(b"%PDF-")
    assert count == 2


def test_a_label_says_what_when_and_how() -> None:
    food, packed, how, load = label_lines(record(food_name="snap beans", psi=11.0, load=12), 12)
    assert (food, how) == ("Snap beans", "pint, raw pack, 25 minutes at 11 pounds")
    assert packed == "Packed July 2, 2026"
    assert label_lines(record(), 24)[1] == "Packed 2 July 2026"
    assert load == "Load 12   Best before July 2027"


@pytest.mark.parametrize(
    ("sealed", "counted", "low", "high"),
    [
        (15, 16, 0.7167, 0.9889),
        (0, 10, 0.0, 0.2775),
        (10, 10, 0.7225, 1.0),
        (50, 100, 0.4038, 0.5962),
        (0, 0, 0.0, 1.0),
    ],
)
def test_wilsons_interval(sealed: int, counted: int, low: float, high: float) -> None:
    assert wilson(sealed, counted) == (pytest.approx(low, abs=2e-4), pytest.approx(high, abs=2e-4))


def test_a_rate_has_its_interval_from_thirty_jars_on() -> None:
    assert Rate("a", 28, 29).interval is None
    assert Rate("a", 29, 30).interval == wilson(29, 30)
    few, many = (season_of([record(load=n, sealed=10, failed=0) for n in range(count)], 2026) for count in (2, 3))
    told = ["\n".join(text_page("", season_sections(season, [], 24))) for season in (few, many)]
    assert ["the true rate lies" in text for text in told] == [False, True]
    assert ["95 % confidence" in text for text in told] == [False, True]


@given(st.integers(0, 10_000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_interval_holds_the_rate(pair: tuple[int, int]) -> None:
    low, high = wilson(*pair)
    assert 0 <= low <= (pair[0] / pair[1] if pair[1] else low) <= high + 1e-12
    assert high <= 1


@pytest.mark.parametrize(
    ("packed", "until"),
    [("2026-07-02T12:00:00Z", "2027-07-02T12:00:00Z"), ("2024-02-29T08:00:00Z", "2025-02-28T08:00:00Z")],
)
def test_the_best_time_is_over_on_the_same_day_a_year_on(packed: str, until: str) -> None:
    from datetime import datetime

    assert iso(best_until(datetime.fromisoformat(packed).timestamp())) == until


def test_a_season_adds_up() -> None:
    loads = [
        record(load=1, sealed=8, failed=1, restarts=2, lids="A", outcomes={"freeze": 1}),
        record(load=2, sealed=9, failed=0, opened_t=SEASON + 40 * DAY, lids="A", broken=1),
        record(load=3, food_name="beets", opened_t=SEASON + DAY),
        record(load=4, sealed=9, failed=0, opened_t=SEASON + 400 * DAY),
    ]
    season = season_of(loads, 2026)
    assert (season.loads, season.uncounted, season.restarts, season.with_restart, season.broken) == (3, 1, 2, 1, 1)
    assert {name: dict(values) for name, values in season.jars.items()} == {"carrots": {7: 8, 8: 9}}
    assert (season.sealed.sealed, season.sealed.counted) == (17, 18)
    assert [(rate.name, rate.sealed, rate.counted) for rate in season.by_lids] == [("A", 17, 18)]
    assert season.outcomes == {"freeze": 1}


def test_charts_draw_every_part_and_escape_every_name() -> None:
    chart = svg(bars_by_month("t", {"<b>": {7: 3}, "beets": {7: 1, 8: 2}}))
    assert chart.count("<rect") == 3 + 2
    assert "<b>" not in chart
    heights = [float(part.split('"')[0]) for part in chart.split('height="')[1:4]]
    assert heights[0] == pytest.approx(3 * heights[1], abs=0.2)
    assert heights[2] == pytest.approx(2 * heights[1], abs=0.2)
    drawn = svg(points("t", [Row("a", 0.0, (0.0, 0.5), ""), Row("b", 1.0, (0.5, 1.0), "")]))
    assert drawn.count("<circle") == 2


def test_the_middle_of_a_chart_is_half_of_its_top() -> None:
    drawn = points("t", [Row("a", 10.0, (5.0, 20.0), "")], top=20.0, label=lambda value: f"{value:g}")
    dot = next(shape for shape in drawn.shapes if isinstance(shape, Dot))
    span = next(shape for shape in drawn.shapes if isinstance(shape, ChartLine) and shape.width == 3)
    axis = [shape.x1 for shape in drawn.shapes if isinstance(shape, ChartLine) and shape.width == 1]
    assert (dot.x, span.x1, span.x2) == (axis[2], axis[1], axis[4])
    assert [shape.words for shape in drawn.shapes if isinstance(shape, Text)][:5] == ["0", "5", "10", "15", "20"]


def test_a_yield_stands_beside_the_printed_one() -> None:
    """Green beans: an average of 14 pounds a canner load of 7 quarts, 9 pounds for 9 pints; a bushel of 30 pounds
    yields 12 to 20 quarts, an average of 2 pounds a quart (USDA Complete Guide to Home Canning, 2015, guide 4)."""
    beans = {"food": "snap_beans", "food_name": "green beans", "jar": "quart"}
    loads = [
        record(load=1, jars=7, used="14 pound", **beans),
        record(load=2, jars=7, used="15 pound", **beans),
        record(load=3, jars=9),
        record(load=4, jars=5, used="12 pound", food="okra_of_no_table", food_name="okra"),
    ]
    found = {each.food_name: each for each in yields_of(loads)}
    assert set(found) == {"green beans", "okra"}
    beans_made = found["green beans"]
    assert (beans_made.used, beans_made.jars) == ("29 pounds", 14)
    assert beans_made.published is not None
    low, high = beans_made.published
    assert low <= 29 / 2 <= high
    assert low >= 5 + 6
    assert high <= 9 + 10
    assert beans_made.source
    assert found["okra"].published is None


SEASON_LOADS = [
    record(load=1, sealed=8, failed=1, jars=9, restarts=2, lids="3", used="12 pound"),
    record(load=2, sealed=7, failed=0, jars=7, lids="4", food="beets", food_name="<b>beets</b> & \x1b[31m \u202e =1+1"),
    record(load=3, sealed=5, failed=2, jars=7, opened_t=SEASON + 40 * DAY, lids="4"),
]


def test_the_page_and_the_sheets_tell_the_same() -> None:
    sections = season_sections(season_of(SEASON_LOADS, 2026), [], 24)
    titles = [section.title for section in sections]
    assert titles == [
        "",
        "The loads",
        "Jars by food and month",
        "Seal rate by food",
        "Seal rate by box of lids",
        "Yield against the published tables",
    ]
    page = html_page("Season", sections)
    assert page.count("<svg") == 4
    assert "&lt;b&gt;beets&lt;/b&gt; &amp;" in page
    assert "\x1b" not in page
    assert "box 3" in page
    for paper in PAPERS:
        content = pdf_sheets("Season", sections, paper)
        assert content.startswith(b"%PDF-")
        box = re.search(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", content)
        assert box is not None
        assert [float(points) * 25.4 / 72 for points in box.groups()] == pytest.approx(PAPERS[paper], abs=0.01)


def test_a_season_lists_its_loads_and_counts_as_people_do() -> None:
    loads = [
        record(
            load=2, sealed=7, failed=0, jars=7, jar="quart", opened_t=SEASON + DAY, restarts=1, psi=10.0, pack="hot"
        ),
        record(load=1, food_name="peaches", method="boiling-water", jars=1, doubted="gap"),
    ]
    season = season_of(loads, 2026)
    text = "\n".join(text_page(season_title(season), season_sections(season, [], 24)))
    assert html_page("Season", season_sections(season, [], 24)).count("<svg") == 1  # one month needs no bars
    rows = [line for line in text.splitlines() if " Jul " in line and "pack" in line]
    assert [re.split(r" {2,}", row) for row in rows] == [
        [
            "2 Jul",
            "1 pint",
            "peaches, raw pack",
            "25 minutes, boiling water",
            "not counted",
            "doubted: off in the hold",
        ],
        ["3 Jul", "7 quarts", "carrots, hot pack", "25 minutes at 10 pounds", "7 of 7", "hold started over once"],
    ]
    assert "The hold started over once, in 1 of 2 loads." in " ".join(text.split())
    assert "2 loads, 7 of 7 jars counted sealed. 1 load not counted." in text
    assert "Jul 3" in "\n".join(text_page("", season_sections(season, [], 12)))
    open_ones = season_of([record(load=1), record(load=2)], 2026)
    assert "2 loads, none counted yet." in "\n".join(text_page("", season_sections(open_ones, [], 12)))
    quiet = season_of([record(sealed=1, failed=0)], 2026)
    assert "started over" not in "\n".join(text_page("", season_sections(quiet, [], 24)))


def test_a_report_has_no_page_with_a_few_lines_alone() -> None:
    loads = [record(load=n + 1, sealed=7, failed=0, opened_t=SEASON + 3 * n * DAY) for n in range(14)]
    season = season_of(loads, 2026)
    pages = pdf_sheets("Season", season_sections(season, [], 24), "letter").count(b"/Type /Page\n")
    assert pages == 1


def test_a_short_part_of_a_page_is_not_broken_unless_the_page_would_stay_half_empty() -> None:
    def pages(*lines: int) -> int:
        parts = [Section("Part", (Table(("What",), (("this",),) * count), SmallPrint("Source."))) for count in lines]
        return pdf_sheets("Day", parts, "letter").count(b"/Type /Page\n")

    assert pages(16, 12) == 1
    assert pages(11, 11, 11, 11, 11) == 3  # broken anywhere, the five would fit on two
    assert pages(15, 15, 15, 15) == 2  # kept whole, each would leave half a page blank


@pytest.mark.parametrize("name", SHEETS)
def test_the_text_of_every_label_is_inside_it_and_where_a_printer_prints(name: str) -> None:
    sheet = SHEETS[name]
    width, height = sheet.text
    for _, left, top in places(sheet, sheet.each):
        x, y = text_corner(left, top)
        assert left + 3 <= x + 1e-9
        assert x + width <= left + sheet.label[0] - 3 + 1e-9
        assert top + 3 <= y + 1e-9
        assert y + height <= top + sheet.label[1] - 3 + 1e-9
        assert 6.35 <= x <= sheet.page[0] - width - 6.35
        assert 6.35 <= y <= sheet.page[1] - height - 6.35


def test_all_labels_of_a_sheet_have_one_size_of_type_in_which_every_line_fits() -> None:
    sheet = SHEETS["letter-67x25"]
    texts = [label_lines(record(food_name=name, psi=11.0), 12) for name in ("peas", "salsa with slicing tomatoes")]
    sizes = type_for(texts, sheet)
    assert sizes == type_for(texts[1:], sheet)
    assert 7 <= sizes.small < sizes.food
    for food, *others in texts:
        assert stringWidth(food, "Helvetica-Bold", sizes.food) <= sheet.text[0] * mm + 0.01
        assert max(stringWidth(line, "Helvetica", sizes.small) for line in others) <= sheet.text[0] * mm + 0.01


@settings(max_examples=15, deadline=None)
@given(st.text(max_size=300), st.text(max_size=300))
def test_no_words_of_the_cook_can_break_the_report(name: str, lids: str) -> None:
    loads = [record(sealed=8, failed=1, food_name=name, lids=lids, used=name, outcomes={lids: 1})]
    sections = season_sections(season_of(loads, 2026), [], 24)
    assert pdf_sheets(name, sections).startswith(b"%PDF-")
    page = html_page(name, sections)
    names = re.findall(r"</?([a-zA-Z0-9!]+)", page)
    assert set(names) <= {
        *("html", "head", "meta", "title", "style", "body", "h1", "h2", "p", "table", "tr", "th", "td", "!doctype"),
        *("svg", "rect", "line", "circle", "text"),
    }
    assert "on" not in {found[:2] for found in re.findall(r"\s(on[a-z]+)=", page)}
