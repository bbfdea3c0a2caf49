"""Every threshold of the ear, with the reason or the measurement beside it.

"Measured" means on synthetic voices (statistical, diphone and formant) in modelled noise: no real person, no real room.
Nothing here was tuned in a kitchen; a real one may ask for other values.
"""

from __future__ import annotations

# ---------------------------------------------------------------- the recogniser

ALTERNATIVES = 10
"""How many alternatives to ask for. At 5 dB of noise 51 of 108 commands are right with the best text alone, 71 with 10."""

DITHER_PEAK = 2
"""Largest dither, in steps of 16 bit (2 is -84 dBFS). Exact digital zeros upset the engine's feature normalisation."""

# ---------------------------------------------------------------- sound files

MAX_FILE_S = 30 * 60.0
"""Longest file that is read, in seconds: half an hour at 16 kHz is 58 MB; a canning command lasts ten seconds."""

MIN_RATE_HZ, MAX_RATE_HZ = 8_000, 96_000
"""Sample rates that are converted: telephone to studio."""

MAX_CHANNELS = 8
"""More channels than any recorder in a kitchen has; a header that claims more is damaged."""
