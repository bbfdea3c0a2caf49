"""The published canning tables, and the one look-up that answers, refuses or asks."""

from __future__ import annotations

from .answer import Acid, Answer, Option
from .inputs import metres_to_feet_up
from .lookup import lookup
from .names import Food, Found, find_food, food_name, foods, spoken_names

__all__ = [
    "Acid",
    "Answer",
    "Food",
    "Found",
    "Option",
    "find_food",
    "food_name",
    "foods",
    "lookup",
    "metres_to_feet_up",
    "spoken_names",
]
