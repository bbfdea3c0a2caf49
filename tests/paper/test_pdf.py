"""A page on paper: a last sheet with a few lines on it is saved."""

from __future__ import annotations

import pytest

from kitchenvoice.paper import Section, Table
from kitchenvoice.paper.pdf import pdf_sheets


@pytest.mark.parametrize(("rows", "pages"), [(30, 1), (40, 1), (60, 2)])
def test_lines_stand_closer_where_that_saves_a_sheet(rows: int, pages: int) -> None:
    table = Table(("When", "What"), tuple((f"{row}:00", "pack") for row in range(rows)))
    assert pdf_sheets("A day", [Section("Clock", (table,))], "letter").count(b"/Type /Page\n") == pages
