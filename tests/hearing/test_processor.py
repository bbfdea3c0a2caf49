"""What a machine can do is told by what it does when it may, not by who else uses it."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from kitchenvoice.hearing import processor
from kitchenvoice.hearing.processor import allowed_share, taken_s

BUSY = """
import time
from kitchenvoice.hearing.processor import taken_s
def work():
    print("begun", flush=True)
    until = time.thread_time() + 0.1
    while time.thread_time() < until:
        pass
print(taken_s(work))
"""


def test_what_was_waited_for_a_core_does_not_count(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told = tmp_path / "schedstat"
    told.write_text("5 1000000000 3\n")
    monkeypatch.setattr(processor, "_SCHEDULED", told)

    def waiting(for_ns: int) -> None:
        time.sleep(0.2)
        told.write_text(f"5 {1_000_000_000 + for_ns} 3\n")

    assert taken_s(lambda: waiting(0)) >= 0.2
    assert taken_s(lambda: waiting(200_000_000 + 1_000_000_000)) < 0.1
    told.unlink()
    assert taken_s(lambda: time.sleep(0.2)) < 0.1


def test_a_process_that_is_stopped_takes_longer() -> None:
    with subprocess.Popen([sys.executable, "-c", BUSY], stdout=subprocess.PIPE, text=True) as worker:
        assert worker.stdout is not None
        assert worker.stdout.readline() == "begun\n"
        worker.send_signal(signal.SIGSTOP)
        time.sleep(0.5)
        worker.send_signal(signal.SIGCONT)
        assert float(worker.stdout.readline()) >= 0.5


def test_a_share_of_a_core_makes_it_as_much_slower(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(processor, "allowed_share", lambda: 0.01)
    monkeypatch.setattr(processor, "_SCHEDULED", Path("none"))
    until = time.thread_time() + 0.01

    def work() -> None:
        while time.thread_time() < until:
            pass

    assert taken_s(work) >= 0.9


@pytest.mark.parametrize(
    ("groups", "files", "share"),
    [
        ("0::/\n", {"cpu.max": "max 100000\n"}, 1.0),
        ("0::/\n", {"cpu.max": "25000 100000\n"}, 0.25),
        ("0::/\n", {"cpu.max": "150000 100000\n"}, 1.0),
        ("0::/a/b\n", {"a/cpu.max": "50000 100000\n", "a/b/cpu.max": "max 100000\n"}, 0.5),
        ("0::/a/b\n", {"a/cpu.max": "50000 100000\n", "a/b/cpu.max": "10000 100000\n"}, 0.1),
        ("0::/gone\n", {}, 1.0),
        ("0::/\n", {"cpu.max": "damaged"}, 1.0),
        ("3:cpu:/k\n0::/\n", {"cpu/k/cpu.cfs_quota_us": "25000\n", "cpu/k/cpu.cfs_period_us": "100000\n"}, 0.25),
        ("3:cpu:/k\n0::/\n", {"cpu/k/cpu.cfs_quota_us": "-1\n", "cpu/k/cpu.cfs_period_us": "100000\n"}, 1.0),
        ("3:cpuset:/k\n", {"cpuset/k/cpu.max": "25000 100000\n"}, 1.0),
        ("damaged\n", {}, 1.0),
    ],
)
def test_the_smallest_share_of_a_group_and_those_around_it_counts(
    tmp_path: Path, groups: str, files: dict[str, str], share: float
) -> None:
    (tmp_path / "groups").write_text(groups)
    for name, text in files.items():
        file = tmp_path / "mounted" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text)
    assert allowed_share(tmp_path / "groups", tmp_path / "mounted") == pytest.approx(share)


def test_where_nothing_is_told_nothing_is_limited(tmp_path: Path) -> None:
    assert allowed_share(tmp_path / "none", tmp_path) == 1.0
