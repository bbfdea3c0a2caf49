"""The published canning tables, and the one look-up that answers, refuses or asks."""

from __future__ import annotations

from .answer import Acid, Answer, CannerNeeds, Option
from .clock import ClockLine, clock
from .day import MOST_CANNERS, DayPhase, DayPlan, LoadWindow, day_plan
from .explain import Explanation, explain
from .gauge import GaugeTarget, gauge_target
from .inputs import metres_to_feet_up
from .knowledge import Asked, Reply, Situation, asked, families, reply
from .library import guide_page, notes, publications, source_name, source_title
from .lookup import lookup
from .measures import Span
from .names import Food, Found, find_food, food_name, foods, spoken_names
from .plan import LastLoad, Plan, plan
from .quantity import Quantity, parse_have
from .recipes import RecipeAmount
from .rules import Figure, Rule, Rules, rule, rule_names, rules
from .sheet import Sheet, sheet
from .words import Wanted, amount_in, wanted

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
    "rule",
    "rule_names",
    "rules",
    "sheet",
    "source_name",
    "source_title",
    "spoken_names",
    "wanted",
]
