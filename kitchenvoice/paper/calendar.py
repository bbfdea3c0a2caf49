"""Appointments as an iCalendar file (RFC 5545), in the local time of whoever opens it."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

__all__ = ["Appointment", "calendar_file"]

_LONGEST = 75
"""Octets of a line without its end (RFC 5545, section 3.1)."""
_ESCAPED = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"})
"""Characters that mean something else in a text (RFC 5545, section 3.3.11)."""
_SPACE = uuid.UUID("8f1ad9a2-54c3-5a1b-9d3d-5b4a2f0c6f11")


@dataclass(frozen=True)
class Appointment:
    """One appointment; its times are local, without a zone."""

    begins: datetime
    ends: datetime
    summary: str
    description: str


def calendar_file(appointments: Iterable[Appointment], written: datetime) -> bytes:
    """Return the file. The same appointment has the same UID in every file, so that a second one replaces the first."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//kitchenvoice//plan of a day//EN"]
    for each in appointments:
        lines += _event(each, written)
    return "".join(f"{part}\r\n" for line in (*lines, "END:VCALENDAR") for part in _folded(line)).encode()


def _event(each: Appointment, written: datetime) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{uuid.uuid5(_SPACE, f'{each.begins:%Y%m%d} {each.summary}')}"
    yield f"DTSTAMP:{written.astimezone(UTC):%Y%m%dT%H%M%SZ}"
    yield f"DTSTART:{each.begins:%Y%m%dT%H%M%S}"
    yield f"DTEND:{each.ends:%Y%m%dT%H%M%S}"
    yield f"SUMMARY:{each.summary.translate(_ESCAPED)}"
    yield f"DESCRIPTION:{each.description.translate(_ESCAPED)}"
    yield "END:VEVENT"


def _folded(line: str) -> Iterator[str]:
    """Break a long line between characters; each continuation begins with a space, which counts."""
    part, room = "", _LONGEST
    for letter in line:
        size = len(letter.encode())
        if size > room:
            yield part
            part, room = " ", _LONGEST - 1
        part, room = part + letter, room - size
    yield part
