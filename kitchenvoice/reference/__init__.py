"""The published canning tables, and the one look-up that answers, refuses or asks."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from .answer import Acid, Answer, CannerNeeds, Option
from .gauge import GaugeTarget, gauge_target
from .inputs import metres_to_feet_up
from .library import guide_page, notes, publications, source_name, source_title
from .lookup import lookup
from .measures import Span
from .names import Food, Found, find_food, food_name, foods, spoken_names
from .quantity import Quantity, parse_have
from .rules import Figure, Rule, Rules, rule, rule_names, rules
from .words import Wanted, amount_in, figure, require_known, wanted

if TYPE_CHECKING:
    from .day import MOST_CANNERS, DayPhase, DayPlan, LoadWindow, day_plan
    from .explaining import Explanation, explain
    from .knowledge import Asked, Reply, Situation, asked, families, reply
    from .plans import LastLoad, Plan, plan
    from .recipes import RecipeAmount
    from .sheets import Sheet, sheet
    from .timetable import ClockLine, clock

__all__ = [
    "MOST_CANNERS",
    "Acid",
    "Answer",
    "Asked",
    "CannerNeeds",
    "ClockLine",
    "DayPhase",
    "DayPlan",
    "Explanation",
    "Figure",
    "Food",
    "Found",
    "GaugeTarget",
    "LastLoad",
    "LoadWindow",
    "Option",
    "Plan",
    "Quantity",
    "RecipeAmount",
    "Reply",
    "Rule",
    "Rules",
    "Sheet",
    "Situation",
    "Span",
    "Wanted",
    "amount_in",
    "asked",
    "clock",
    "day_plan",
    "explain",
    "families",
    "figure",
    "find_food",
    "food_name",
    "foods",
    "gauge_target",
    "guide_page",
    "lookup",
    "metres_to_feet_up",
    "notes",
    "parse_have",
    "plan",
    "publications",
    "reply",
    "require_known",
    "rule",
    "rule_names",
    "rules",
    "sheet",
    "source_name",
    "source_title",
    "spoken_names",
    "wanted",
]

_LATER = {
    "timetable": ("ClockLine", "clock"),
    "day": ("MOST_CANNERS", "DayPhase", "DayPlan", "LoadWindow", "day_plan"),
    "explaining": ("Explanation", "explain"),
    "knowledge": ("Asked", "Reply", "Situation", "asked", "families", "reply"),
    "plans": ("LastLoad", "Plan", "plan"),
    "recipes": ("RecipeAmount",),
    "sheets": ("Sheet", "sheet"),
}
"""What a look-up doesn't wait for. No module has the name of what it offers: that would stand in its place."""

if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        """Load a part when it is asked for."""
        for module, names in _LATER.items():
            if name in names:
                return getattr(import_module(f".{module}", __name__), name)
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
