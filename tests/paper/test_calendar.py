"""The calendar file, read back by the rules of RFC 5545 alone."""

from __future__ import annotations

import re
from datetime import UTC, datetime

from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.paper import Appointment, calendar_file

WRITTEN = datetime(2026, 8, 1, 12, tzinfo=UTC)
NINE, TEN = datetime(2026, 8, 15, 9), datetime(2026, 8, 15, 10)


def read(content: bytes) -> list[tuple[str, str]]:
    """Return names and texts: lines joined where they were folded, texts without their escapes."""
    whole = content.decode().replace("\r\n ", "")
    pairs = [line.partition(":")[::2] for line in whole.split("\r\n") if line]
    return [
        (name, re.sub(r"\\([\\;,nN])", lambda found: "\n" if found[1] in "nN" else found[1], text))
        for name, text in pairs
    ]


def test_one_event_has_what_the_standard_demands() -> None:
    fields = read(calendar_file([Appointment(NINE, TEN, "Load 1: pack", "An estimate.")], WRITTEN))
    assert [fields[0], fields[1], fields[-1]] == [
        ("BEGIN", "VCALENDAR"),
        ("VERSION", "2.0"),
        ("END", "VCALENDAR"),
    ]
    told = dict(fields)
    assert told["PRODID"]
    assert re.fullmatch(r"[0-9a-f-]{36}", told["UID"])
    assert (told["DTSTAMP"], told["DTSTART"], told["DTEND"]) == (
        "20260801T120000Z",
        "20260815T090000",
        "20260815T100000",
    )


@given(st.text(st.characters(blacklist_categories=("Cs", "Cc")), max_size=300))
def test_any_text_comes_back_and_no_line_is_longer_than_75_octets(text: str) -> None:
    content = calendar_file([Appointment(NINE, TEN, text, f"{text}\nend")], WRITTEN)
    told = dict(read(content))
    assert (told["SUMMARY"], told["DESCRIPTION"]) == (text, f"{text}\nend")
    assert max(map(len, content.split(b"\r\n"))) <= 75
    content.decode()


def test_the_same_appointment_replaces_itself() -> None:
    first, again = (calendar_file([Appointment(NINE, end, "Load 1: pack", "")], WRITTEN) for end in (TEN, NINE))
    other = calendar_file([Appointment(NINE, TEN, "Load 2: pack", "")], WRITTEN)
    uids = [dict(read(each))["UID"] for each in (first, again, other)]
    assert uids[0] == uids[1] != uids[2]
