"""What the profile of the kitchen says against a report, whatever the load says."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kitchenvoice.dialogue import words
from kitchenvoice.dialogue.talk import Talk
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Load

__all__ = ["of_another_altitude", "over_the_canner"]


def of_another_altitude(talk: Talk, load: Load) -> bool:
    """Refuse to vent or hold by numbers that were looked up for another altitude."""
    feet, was = talk.profile.altitude_ft, load.process.altitude_ft
    if load.holding or load.processed_t is not None or feet is None or feet == was:
        return False
    now = {"was": words.altitude(was), "now": words.altitude(feet)}
    talk.say("objections", "other_altitude", now, urgency=Urgency.CAUTION)
    return True


def over_the_canner(talk: Talk, load: Load, data: Mapping[str, Any]) -> bool:
    """Refuse more jars than the profile says that the canner holds."""
    canner = talk.profile.canner(load.canner)
    holds = None if canner is None else canner.capacity.get(load.jar)
    if holds is None or data.get("count", load.jars) <= holds:
        return False
    capacity = words.jars(load.jar, holds)
    talk.say("objections", "over_canner", canner=load.canner_name, capacity=capacity, urgency=Urgency.CAUTION)
    return True
