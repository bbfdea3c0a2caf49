"""Pages to print and files to keep: sections as HTML and PDF, charts, a calendar."""

from kitchenvoice.paper.blocks import Block, Section, SmallPrint, Table
from kitchenvoice.paper.calendar import Appointment, calendar_file

__all__ = ["Appointment", "Block", "Section", "SmallPrint", "Table", "calendar_file"]
