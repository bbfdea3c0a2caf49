"""Size of figures legible from across the kitchen.

A character is measured by its visual angle. U.S. NRC, NUREG-0700 rev. 2, 1.3.1-4 and ISO 9241-3: at least 16 minutes of
arc, 20 to 22 preferred. NUREG-0700 gives the height as 6.283 x distance x minutes / 21600.
"""

from __future__ import annotations

import math

__all__ = ["DIGIT_RATIO", "FAR_MM", "LEAST_ARC_MIN", "PREFERRED_ARC_MIN", "TABLET_PX_MM", "font_px", "height_mm"]

LEAST_ARC_MIN = 16.0
PREFERRED_ARC_MIN = 22.0
FAR_MM = 3000.0
"""Viewing distance for the clocks: three metres."""

TABLET_PX_MM = 0.170
"""One CSS pixel of a 10.1-inch tablet with 1280 x 800 of them: 217.5 mm / 1280. Computed."""

DIGIT_RATIO = 0.70
"""Height of a digit over the font size; 0.70 to 0.73 in the usual sans-serif fonts. Measured again in the tests."""


def height_mm(distance_mm: float, arc_min: float) -> float:
    """Return the height with a visual angle of `arc_min` minutes at `distance_mm`."""
    return 2.0 * distance_mm * math.tan(math.radians(arc_min / 60.0) / 2.0)


def font_px(distance_mm: float, arc_min: float, px_mm: float = TABLET_PX_MM) -> float:
    """Return the font size in CSS pixels for digits of that height on a screen of `px_mm` millimetres a pixel."""
    return height_mm(distance_mm, arc_min) / px_mm / DIGIT_RATIO
