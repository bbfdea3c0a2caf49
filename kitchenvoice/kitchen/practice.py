"""The practice kitchen: an invented one, for rehearsals before a real kitchen is set up.

The first line of a rehearsal describes all of it, so that nobody takes its numbers for those of a real kitchen.
"""

from __future__ import annotations

from datetime import date

from kitchenvoice.kitchen.profile import Canner, Profile

__all__ = ["PRACTICE_KITCHEN"]

PRACTICE_KITCHEN = Profile(
    altitude_ft=900,
    usual_canner=1,
    canners=(
        Canner(
            number=1,
            gauge="dial",
            dial_error_psi=0.0,
            dial_tested=date(2026, 5, 6),
            capacity={"half-pint": 18, "pint": 18, "pint-and-half": 7, "quart": 7},
            quart_jars=7,
        ),
        Canner(
            number=2,
            gauge="weighted",
            capacity={"half-pint": 18, "pint": 18, "pint-and-half": 7, "quart": 7},
            quart_jars=7,
        ),
    ),
)
"""An invented kitchen at 900 feet with a tested dial canner (the usual one) and a weighted one."""
