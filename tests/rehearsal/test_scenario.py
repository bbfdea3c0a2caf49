"""The scripts of a rehearsal: what is right in them, and file and line of what isn't."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.errors import BadScenario
from kitchenvoice.rehearsal.scenario import clock_text, event_of, plain_words, read_scenario, seconds_of


def script(folder: Path, text: str) -> Path:
    path = folder / "day.txt"
    path.write_text(text, encoding="utf-8")
    return path


def test_each_kind_of_line_is_read_with_its_number(tmp_path: Path) -> None:
    text = "# a day\n% altitude 5280\n\n@ 00:12:30\n> hello\n< yes\n<- no\n! hold_started psi=11\n% off 00:04:00\n"
    read = read_scenario(script(tmp_path, text))
    assert read.name == "day.txt"
    assert [(line.kind, line.number) for line in read.lines] == [
        ("kitchen", 2), ("time", 4), ("cook", 5), ("answer", 6), ("answer", 7), ("event", 8), ("kitchen", 9),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("> hello\n? what\n", 2, "begins with"),
        ("> hello\n<\n", 2, "nothing after"),
        ("@ noon\n> hello\n", 1, "isn't a time"),
        ("@ 00:61:00\n> hello\n", 1, "isn't a time"),
        ("> hello\n! Hold Started\n", 2, "isn't an event"),
        ("% altitude high\n> hello\n", 1, "write % altitude"),
        ("% colour red\n> hello\n", 1, "write % altitude"),
        ("@ 01:00\n> hello\n@ 00:30\n", 3, "can't go back"),
        ("@ 01:00\n> hello\n% off 00:10:00\n@ 01:05\n", 4, "can't go back"),
        ("> hello\n% altitude 900\n", 2, "before anything is said"),
    ],
)
def test_a_mistake_is_named_with_file_and_line(tmp_path: Path, text: str, line: int, said: str) -> None:
    path = script(tmp_path, text)
    with pytest.raises(BadScenario, match=said) as caught:
        read_scenario(path)
    assert f"{path}, line {line}:" in str(caught.value)
    assert str(caught.value).endswith(".")


def test_a_script_in_which_nobody_speaks_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadScenario, match="nothing for the cook to say"):
        read_scenario(script(tmp_path, "@ 00:10\n"))


def test_a_script_that_is_absent_a_folder_huge_or_no_text_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadScenario, match="can't be read: No such file"):
        read_scenario(tmp_path / "absent.txt")
    with pytest.raises(BadScenario, match="isn't an ordinary file"):
        read_scenario(tmp_path)
    huge = tmp_path / "huge.txt"
    huge.write_bytes(b"# \n" * 400_000)
    with pytest.raises(BadScenario, match="longer than 1,000,000 bytes"):
        read_scenario(huge)
    (tmp_path / "latin.txt").write_bytes("> caf\xe9".encode("latin-1"))
    with pytest.raises(BadScenario, match="UTF-8"):
        read_scenario(tmp_path / "latin.txt")


@given(st.integers(0, 359_999))
def test_times_are_read_as_they_are_written(seconds: int) -> None:
    assert seconds_of(clock_text(seconds)) == seconds


@pytest.mark.parametrize("text", ["", "12", "1:2:3", "00:00:60"])
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="isn't a time"):
        seconds_of(text)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("25 minutes", "twenty-five minutes"),
        ("Green beans, raw pack.", "green beans raw pack"),
        ("1.5 hours", "one and a half hours"),
    ],
)
def test_words_are_compared_as_they_sound(one: str, other: str) -> None:
    assert plain_words(one) == plain_words(other)


def test_an_event_line_is_wanted_or_not_and_may_name_data() -> None:
    assert event_of("hold_started psi=11 minutes=25") == (True, "hold_started", {"psi": "11", "minutes": "25"})
    assert event_of("- hold_started") == (False, "hold_started", {})
    with pytest.raises(ValueError, match="isn't an event"):
        event_of("Hold!")
