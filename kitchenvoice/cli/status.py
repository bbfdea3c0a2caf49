"""Lines on the terminal about a session itself, in the language of its kitchen."""

from __future__ import annotations

from kitchenvoice.kitchen.profile import Canner, Profile
from kitchenvoice.language import Language, in_figures, load_language

__all__ = ["StatusLines"]


class StatusLines:
    """The lines of one session; `StatusLines(profile)("listening")` is one of the table `status`."""

    def __init__(self, profile: Profile) -> None:
        self._language: Language = load_language(profile.language)
        self._profile = profile

    def __call__(self, key: str, **values: str) -> str:
        """Return a line. Raises: KeyError for an unknown key."""
        return self._language.phrase("status", key, **values)

    def figures(self, text: str) -> str:
        """Return spoken words with their numbers as figures, as they are read faster."""
        return in_figures(self._language, text)

    @property
    def kitchen(self) -> str:
        """The kitchen in one line."""
        feet = self._profile.altitude_ft
        altitude = self("no_altitude") if feet is None else self("altitude", feet=f"{feet}")
        canners = ", ".join(map(self._canner, self._profile.canners)) or self("no_canner")
        return self("kitchen", altitude=altitude, canners=canners, attention=self._profile.attention)

    def _canner(self, canner: Canner) -> str:
        name = canner.name or self("canner", number=f"{canner.number}")
        return f"{name} ({self(canner.gauge or 'no_gauge')})"
