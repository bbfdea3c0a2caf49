"""A check of a device whose driver fails in a way that nobody expects: it doesn't pass, and the error is logged."""

from __future__ import annotations

import pytest

from kitchenvoice.cli.check import _in_time
from kitchenvoice.errors import DeviceLost, DeviceMissing

HINT = "The microphone's driver doesn't answer. Unplug the microphone and plug it in again."


def test_an_unexpected_error_in_the_checks_thread_does_not_pass(caplog: pytest.LogCaptureFixture) -> None:
    def listen() -> None:
        raise ValueError("no such rate")

    with pytest.raises(DeviceLost, match="doesn't answer"):
        _in_time(listen, HINT)
    (record,) = caplog.records
    assert record.exc_info is not None
    assert str(record.exc_info[1]) == "no such rate"


def test_an_expected_one_is_raised_as_it_is(caplog: pytest.LogCaptureFixture) -> None:
    def listen() -> None:
        raise DeviceMissing("There is no microphone.")

    with pytest.raises(DeviceMissing, match="There is no microphone"):
        _in_time(listen, HINT)
    assert caplog.records == []
