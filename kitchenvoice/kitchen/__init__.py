"""What is known of one kitchen: its profile, the file it lies in, and the practice kitchen."""

from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN, describe
from kitchenvoice.kitchen.profile import (
    ENVIRONMENT,
    FILE_NAME,
    JAR_SIZES,
    LANGUAGES,
    Canner,
    Profile,
    canner_names,
    change_profile,
    home,
    load_profile,
    place_of,
    write_profile,
)

__all__ = [
    "ENVIRONMENT",
    "FILE_NAME",
    "JAR_SIZES",
    "LANGUAGES",
    "PRACTICE_KITCHEN",
    "Canner",
    "Profile",
    "canner_names",
    "change_profile",
    "describe",
    "home",
    "load_profile",
    "place_of",
    "write_profile",
]
