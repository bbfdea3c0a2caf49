"""A kitchen in one line, in its own language."""

from __future__ import annotations

from kitchenvoice.kitchen.profile import Canner, Profile
from kitchenvoice.language import Language, load_language

__all__ = ["described"]


def described(profile: Profile) -> str:
    """Describe a kitchen: altitude, canners with their gauges, attention words."""
    language = load_language(profile.language)
    known = profile.altitude_ft is not None
    altitude = language.phrase("described", "altitude" if known else "no_altitude", feet=str(profile.altitude_ft))
    canners = ", ".join(_canner(language, each) for each in profile.canners) or language.phrase(
        "described", "no_canner"
    )
    return language.phrase("described", "kitchen", altitude=altitude, canners=canners, attention=profile.attention)


def _canner(language: Language, canner: Canner) -> str:
    name = canner.name or language.phrase("described", "canner", number=str(canner.number))
    return f"{name} ({language.phrase('described', f'gauge_{canner.gauge}' if canner.gauge else 'no_gauge')})"
