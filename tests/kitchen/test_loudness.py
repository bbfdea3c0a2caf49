"""The steps of loudness and pace that the profile keeps are the mouth's own."""

from __future__ import annotations

import pytest

from kitchenvoice.kitchen.loudness import USUAL_VOLUME, next_rate, next_volume, volume_db
from kitchenvoice.speaking import MouthSettings


@pytest.mark.parametrize("step", [1, -1])
def test_the_profile_goes_with_the_mouth_to_the_bound_and_no_further(step: int) -> None:
    volume, settings = USUAL_VOLUME, MouthSettings()
    for _ in range(6):
        volume, settings = next_volume(volume, step), settings.louder(step)
        assert volume_db(volume) == pytest.approx(settings.volume_db, abs=0.35)
    assert next_volume(volume, step) == volume
    at_bound = MouthSettings.clipped(volume_db=volume_db(volume))
    assert at_bound.volume_db == pytest.approx(settings.volume_db, abs=0.35)


@pytest.mark.parametrize("step", [1, -1])
def test_the_pace_does_too(step: int) -> None:
    rate_wpm, settings = 150, MouthSettings()
    for _ in range(6):
        rate_wpm, settings = next_rate(rate_wpm, step), settings.faster(step)
        assert rate_wpm == settings.rate_wpm
    assert next_rate(rate_wpm, step) == rate_wpm
