"""The foods that ferment in a crock, as the guide prints them."""

from __future__ import annotations

from .beside import Ferment
from .library import product, product_ids

__all__ = ["ferment_degrees", "ferment_of", "ferment_weeks", "ferments"]


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
