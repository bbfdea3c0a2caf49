"""The two clocks."""

from __future__ import annotations

import pytest

from kitchenvoice.clock import SimulatedClock, SystemClock


def test_the_real_clock_never_steps_back_and_names_its_boot() -> None:
    clock = SystemClock()
    moments = [clock.now() for _ in range(1000)]
    elapsed = [moment.elapsed for moment in moments]
    assert elapsed == sorted(elapsed)
    assert {moment.boot for moment in moments} == {SystemClock().now().boot}
    assert moments[0].utc > 1_700_000_000


def test_a_simulated_clock_moves_only_when_told() -> None:
    clock = SimulatedClock(1000.0)
    assert clock.now() == clock.now()
    clock.advance(2.5)
    assert (clock.now().utc, clock.now().elapsed) == (1002.5, 2.5)
    with pytest.raises(ValueError, match="runs forward"):
        clock.advance(-1.0)


def test_a_step_of_the_wall_clock_leaves_elapsed_time_alone() -> None:
    clock = SimulatedClock(1000.0)
    clock.step_wall_clock(-400.0)
    assert (clock.now().utc, clock.now().elapsed) == (600.0, 0.0)


def test_a_boot_starts_elapsed_time_anew() -> None:
    clock = SimulatedClock(1000.0)
    clock.advance(50.0)
    clock.reboot("two", off_s=7.0)
    assert (clock.now().utc, clock.now().elapsed, clock.now().boot) == (1057.0, 0.0, "two")
