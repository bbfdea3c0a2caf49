"""One kitchen: its profile, the profile's file, and the practice kitchen."""

from kitchenvoice.kitchen.folder import ENVIRONMENT, home, home_path
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.kitchen.profile import (
    FILE_NAME,
    JAR_SIZES,
    LANGUAGES,
    Canner,
    Profile,
    canner_names,
    change_profile,
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
    "home",
    "home_path",
    "load_profile",
    "place_of",
    "write_profile",
]
