"""Put a gauge pressure and an altitude into plain words. An explanation, never a process."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from .answer import plain_fields
from .physics import boiling_f, canner_f

__all__ = ["Explanation", "explain"]

_SOURCE = ("if97", "icao")
_TEN_PERCENT_AIR = 0.1


@dataclass(frozen=True)
class Explanation:
    """Computed temperatures and the words that go with them."""

    status: Literal["ok", "refused"]
    psi: float | None
    altitude_ft: float | None
    canner_f: float | None
    sea_level_f: float | None
    boiling_f: float | None
    with_trapped_air_f: float | None
    text: str
    source: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Return plain values that JSON can hold."""
        return plain_fields(self)


def explain(psi: float, altitude_ft: float) -> Explanation:
    """Say what temperature a gauge pressure means at an altitude, and why altitude matters.

    Works for 0 to 25 pounds and 0 to 20,000 feet; anything else is ``refused`` with the reason.
    """
    if not (math.isfinite(psi) and math.isfinite(altitude_ft) and 0 <= psi <= 25 and 0 <= altitude_ft <= 20_000):
        text = "I can explain 0 to 25 pounds of pressure at 0 to 20,000 feet."
        return Explanation("refused", None, None, None, None, None, None, text, _SOURCE)
    here, sea = canner_f(psi, altitude_ft), canner_f(psi, 0)
    boiling, air = boiling_f(altitude_ft), canner_f(psi, altitude_ft, _TEN_PERCENT_AIR)
    text = (
        f"{psi:g} pounds on the gauge at {altitude_ft:,.0f} feet is about {here:.0f} degrees Fahrenheit;"
        f" at sea level it would be about {sea:.0f}. The gauge shows pressure above the air around it, and the air is"
        f" thinner higher up: open water boils at about {boiling:.0f} degrees there. One tenth of air left in the"
        f" canner would make it about {air:.0f} degrees at the same reading, so vent first."
        " This is an explanation only: minutes and pressure come from the tables."
    )
    here, sea, boiling, air = (round(value, 1) for value in (here, sea, boiling, air))
    return Explanation("ok", psi, altitude_ft, here, sea, boiling, air, text, _SOURCE)
