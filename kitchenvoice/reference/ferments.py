"""The foods that ferment in a crock, as the guide prints them."""

from __future__ import annotations

import re
from typing import Literal

from .beside import Ferment, FermentBand
from .folding import folded
from .knowledge import NEARNESS, of_topic
from .library import product, product_ids, table
from .nearness import SURE, asks, nearest
from .senses import RATHER, senses

__all__ = ["ferment_degrees", "ferment_of", "ferment_weeks", "ferments", "said_of_ferment", "warmth"]

_TOPIC = "ferments"
_PLAINLY = 0.75
"""Least likelihood of what is told of a ferment, or asked without a word that points at it: by 78 sentences, 40 of them
of something else, of which none is taken."""


def ferments() -> tuple[str, ...]:
    """Return the ids of the foods that ferment."""
    return tuple(food for food in product_ids() if product(food).ferment is not None)


def ferment_of(food: str | None) -> Ferment | None:
    """Return the ferment of a food; None for a food without one, or not on board."""
    return product(food).ferment if food in product_ids() else None


def ferment_degrees(ferment: Ferment) -> str:
    """Spell the printed temperatures: 70 to 75 degrees, or slower at 60 to 65 degrees."""
    return ", or slower at ".join("{:g} to {:g} degrees".format(*band.degrees_f) for band in ferment.bands)


def ferment_weeks(ferment: Ferment) -> str:
    """Spell the printed weeks: 3 to 4 weeks at 70 to 75 degrees, 5 to 6 weeks at 60 to 65 degrees."""
    return ", ".join(
        "{:g} to {:g} weeks at {:g} to {:g} degrees".format(*band.weeks, *band.degrees_f) for band in ferment.bands
    )


def warmth(ferment: Ferment, degrees: float) -> FermentBand | Literal["too_warm", "too_cold", "between"]:
    """Return the printed band that a crock's temperature is in, else on which side of the bands it is."""
    for band in ferment.bands:
        if band.degrees_f[0] <= degrees <= band.degrees_f[1]:
            return band
    if degrees > max(band.degrees_f[1] for band in ferment.bands):
        return "too_warm"
    return "too_cold" if degrees < min(band.degrees_f[0] for band in ferment.bands) else "between"


def said_of_ferment(text: str) -> str | None:
    """Return the question of ferments that a text most likely is where "it" is what ferments; None if it is none."""
    said, words = folded(text), table(NEARNESS)
    named = str(words["ferment"])
    put, times = re.subn(rf"\b(?:{words['of_a_ferment']})\b", named, said, count=1)
    put = put if times else f"{said} {named}"
    near, best = next(iter(nearest(put, 1)), None), next(iter(senses(put, lambda _: True, most=1)), None)
    least = RATHER if times and asks(said) else _PLAINLY
    found = best.name if best is not None and best.likelihood >= least else ""
    if not found and times and near is not None and near.likely and near.likeness >= SURE:
        found = near.asked.family
    return found if found in of_topic(_TOPIC) else None
