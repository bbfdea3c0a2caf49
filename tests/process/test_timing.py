"""Lengths of time, each as printed, and the waits between reminders."""

from __future__ import annotations

import pytest

from kitchenvoice.process import timing
from kitchenvoice.process.tools import as_float

MINUTE, HOUR = 60.0, 3600.0


@pytest.mark.parametrize(
    ("told", "printed"),
    [
        (timing.vent_s, 10 * MINUTE),  # guide 1:22
        (timing.settle_s, 10 * MINUTE),  # guide 1:22
        (timing.bath_rest_s, 5 * MINUTE),  # guide 1:18
        (timing.rest_s, (12 * HOUR, 24 * HOUR)),  # guide 1:25
        (timing.window_s, 24 * HOUR),  # guide 1:26
        (lambda: timing.cool_s("pint"), 30 * MINUTE),  # guide 1:22: heavy canners, loaded with pints
        (lambda: timing.cool_s("half-pint"), 30 * MINUTE),
        (lambda: timing.cool_s("quart"), 45 * MINUTE),
    ],
)
def test_a_length_of_time_is_as_printed(told, printed):
    assert told() == printed


@pytest.mark.parametrize(
    ("key", "minutes"),
    [("hold_done:1", (1 / 3, 1, 2, 5, 10, 15, 30, 60, 120, 180)), ("rest_done:1", (60, 120, 180))],
)
def test_a_call_is_made_again_at_growing_intervals_then_every_hour(key, minutes):
    assert [timing.call_again_s(key, n) for n in range(len(minutes))] == pytest.approx([60 * each for each in minutes])


@pytest.mark.parametrize("value", [True, "eleven", None])
def test_what_is_no_number_is_none(value):
    with pytest.raises(TypeError, match="isn't a number"):
        as_float(value)
