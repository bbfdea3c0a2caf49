"""At which engine time a session goes on, and how long it says it was off."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.app.heartbeat import Heartbeat, Sign, resume
from kitchenvoice.ports import Moment

NOON = 1_786_536_000.0


def sign(t: float, utc: float, elapsed: float, boot: str = "one") -> Sign:
    return Sign(t, Moment(utc=utc, elapsed=elapsed, boot=boot))


@pytest.mark.parametrize(
    ("now", "t", "off_s"),
    [
        (Moment(NOON + 240, 1240.0, "one"), NOON + 240, 240.0),
        (Moment(NOON + 240 + 7200, 1240.0, "one"), NOON + 240, 240.0),
        (Moment(NOON + 240 - 7200, 1240.0, "one"), NOON + 240, 240.0),
        (Moment(NOON + 240, 30.0, "two"), NOON + 240, 240.0),
        (Moment(NOON - 7200, 30.0, "two"), NOON, None),
        (Moment(NOON + 240, 500.0, "one"), NOON + 240, 240.0),
    ],
    ids=["plain", "wall set on", "wall set back", "booted anew", "booted with a clock behind", "elapsed clock behind"],
)
def test_timers_run_on_by_the_clock_that_can_be_trusted(now: Moment, t: float, off_s: float | None) -> None:
    assert resume(now, [sign(NOON, NOON, 1000.0)], timers_run=True) == (t, off_s)


def test_the_first_session_of_all_begins_by_the_wall_clock() -> None:
    assert resume(Moment(NOON, 5.0, "one"), [], timers_run=False) == (NOON, 0.0)


def test_the_latest_sign_counts_also_if_it_is_only_in_the_record() -> None:
    signs = [sign(NOON, NOON, 1000.0), sign(NOON + 3, NOON + 3, 1003.0)]
    assert resume(Moment(NOON + 10, 1010.0, "one"), signs, timers_run=True) == (NOON + 10, 7.0)


def test_without_timers_engine_time_is_set_to_the_wall_clock_again_but_never_back() -> None:
    signs = [sign(NOON, NOON, 1000.0)]
    assert resume(Moment(NOON + 9000, 1010.0, "one"), signs, timers_run=False)[0] == NOON + 9000
    assert resume(Moment(NOON - 9000, 1010.0, "one"), signs, timers_run=False)[0] == NOON


@given(
    st.floats(0, 2e9), st.floats(0, 1e6), st.sampled_from(["one", "two"]), st.booleans(),
    st.lists(st.builds(sign, st.floats(0, 2e9), st.floats(0, 2e9), st.floats(0, 1e6)), min_size=1, max_size=2),
)  # fmt: skip
def test_engine_time_never_runs_backwards_and_no_gap_is_negative(
    utc: float, elapsed: float, boot: str, timers_run: bool, signs: list[Sign]
) -> None:
    t, off_s = resume(Moment(utc, elapsed, boot), signs, timers_run=timers_run)
    assert t >= max(each.t for each in signs)
    assert off_s is None or off_s >= 0.0


def test_a_heartbeat_is_read_back_and_written_every_two_seconds_only(tmp_path: Path) -> None:
    heartbeat = Heartbeat(tmp_path)
    heartbeat.beat(NOON, Moment(NOON, 100.0, "one"))
    heartbeat.beat(NOON + 1, Moment(NOON + 1, 101.0, "one"))
    assert Heartbeat(tmp_path).last() == sign(NOON, NOON, 100.0)
    heartbeat.beat(NOON + 2, Moment(NOON + 2, 102.0, "one"))
    assert Heartbeat(tmp_path).last() == sign(NOON + 2, NOON + 2, 102.0)


def beat_of(**times: object) -> str:
    """The content of a heartbeat with other times than it had."""
    return json.dumps({"t": NOON, "utc": NOON, "elapsed": 100.0, "boot": "one", "sure": True} | times)


@pytest.mark.parametrize(
    "content",
    [
        "",
        "{",
        "[]",
        '{"utc": 1}',
        '{"t": "x", "utc": 1, "elapsed": 1, "boot": ""}',
        "[" * 4_000,
        "9" * 4_000,
        "x" * 1_000_000,
        beat_of(t=-1.0),
        beat_of(t=1e300),
        beat_of(t=NOON + 86_401.0),
        beat_of(utc=float("inf")),
        beat_of(elapsed=-1e9),
    ],
)
def test_a_heartbeat_that_cannot_be_right_is_set_aside_and_told(tmp_path: Path, content: str) -> None:
    file = tmp_path / "alive.json"
    file.write_text(content)
    heartbeat = Heartbeat(tmp_path)
    assert heartbeat.last(NOON + 86_400.0) is None
    assert heartbeat.trouble.endswith("go by the record.")
    assert not file.exists()
    assert (tmp_path / "alive.json.bad").read_text() == content
    heartbeat.beat(NOON, Moment(NOON, 100.0, "one"))
    assert Heartbeat(tmp_path).last() == sign(NOON, NOON, 100.0)


def test_a_pipe_in_the_place_of_the_heartbeat_is_set_aside_without_waiting(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "alive.json")
    heartbeat = Heartbeat(tmp_path)
    assert heartbeat.last() is None
    assert heartbeat.trouble
    assert (tmp_path / "alive.json.bad").is_fifo()


def test_what_a_killed_session_left_of_a_heartbeat_is_cleared_away(tmp_path: Path) -> None:
    (tmp_path / ".new-alive-abc.json").write_text("{")
    Heartbeat(tmp_path).beat(NOON, Moment(NOON, 100.0, "one"))
    assert [path.name for path in tmp_path.iterdir()] == ["alive.json"]


def test_a_disk_that_takes_no_heartbeat_stops_nothing(tmp_path: Path) -> None:
    heartbeat = Heartbeat(tmp_path / "gone")
    heartbeat.beat(NOON, Moment(NOON, 100.0, "one"))
    assert heartbeat.last() is None


def test_it_sweeps_only_what_it_left_behind_itself(tmp_path: Path) -> None:
    """Another file of the kitchen's that is just being replaced is left alone."""
    ours, theirs = tmp_path / ".new-alive-1.json", tmp_path / ".new-boards-1.json"
    ours.write_text("{")
    theirs.write_text("{")
    Heartbeat(tmp_path).beat(0.0, Moment(1_786_521_600.0, 0.0, "boot"))
    assert not ours.exists()
    assert theirs.exists()
