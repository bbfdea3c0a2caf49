"""Pages to print and files to keep: sections as HTML and PDF, charts, a calendar."""

from kitchenvoice.paper.blocks import PagePart, Section, SmallPrint, Table
from kitchenvoice.paper.calendar import Appointment, calendar_file

__all__ = ["Appointment", "PagePart", "Section", "SmallPrint", "Table", "calendar_file"]
