"""The profile of the kitchen in which whole programs are tried: one canner with a dial."""

from __future__ import annotations

from datetime import date

__all__ = ["profile_text"]


def profile_text(altitude_ft: int, dial_tested: date) -> str:
    """Return the text of its `profile.toml`."""
    return f"""\
altitude_ft = {altitude_ft}
usual_canner = 1

[[canner]]
number = 1
gauge = "dial"
dial_error_psi = 0.0
dial_tested = {dial_tested}
quart_jars = 7
capacity = {{ quart = 7, pint = 9 }}
"""
