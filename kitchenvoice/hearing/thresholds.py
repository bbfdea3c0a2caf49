"""Every threshold of the ear, with the reason or the measurement beside it.

"Measured" means on synthetic voices (statistical, diphone and formant) in modelled noise: no real person, no real room.
Nothing here was tuned in a kitchen; a real one may ask for other values.
"""

from __future__ import annotations

# ---------------------------------------------------------------- the recogniser

ALTERNATIVES = 10
"""How many alternatives to ask for. At 5 dB of noise 51 of 108 commands were right with the best text alone,
71 with ten."""

DITHER_PEAK = 2
"""Largest dither, in steps of 16 bit (2 is -84 dBFS). Exact digital zeros upset the engine's feature normalisation."""

# ---------------------------------------------------------------- voice or not

VOICE_ON = 0.5
"""Voice probability from which a frame counts as speech at the start of an utterance."""

VOICE_OFF = 0.35
"""Voice probability below which a frame counts as silence inside an utterance."""

DETECTOR_LAG_S = 0.06
"""How long the voice detector goes on after the true end of speech, seconds. Measured on 280 synthetic sentences:
median 0.06 in quiet and steam, 0.14 in hood noise. Added to the latency that is reported."""

ONSET_FRAMES = 2
"""Frames of 32 ms in a row that make a start."""

PRE_ROLL_S = 0.4
"""Sound before the start that still belongs to the utterance, seconds: soft first phones and the detector's delay."""

# ---------------------------------------------------------------- the end of an utterance

CLOSED_S = 0.3
"""Silence after a whole sentence that nothing can follow."""

OPEN_S = 0.9
"""Silence after a whole sentence that could go on."""

UNFINISHED_S = 1.0
"""Silence after the beginning of a sentence."""

STRAY_S = 0.6
"""Silence after words that are no sentence and no beginning of one."""

WORDLESS_S = 0.6
"""Silence after sound in which the engine heard no word."""

STABLE_S = 0.15
"""How long the text must have stayed the same."""

STUCK_CLOSED_S, STUCK_S = 1.5, 2.5
"""How long the text stays the same before the end is taken although the detector still hears a voice (fan, radio):
after a whole sentence that nothing can follow, and otherwise."""

WORDLESS_RESTART_S = 2.5
"""Age at which an utterance without a word starts over, so that hum doesn't use up the time of a command."""

MAX_UTTERANCE_S = 9.0
"""Longest utterance, seconds. The longest sentence of a canning day takes about six."""

FLUSH_S = 1.5
"""Quiet added after the end of a file at most, so that its last sentence ends the way a live one does."""

LEAD_S = 0.3
"""Quiet put before a file, so that one that starts in the middle of a phone isn't heard worse."""

# ---------------------------------------------------------------- level

TOO_SOFT_DBFS = -48.0
"""Speech below this level counts as too soft. Measured, right of 40 sentences (and without any result): at -27 dBFS 39
(0), at -41 dBFS 37 (0), at -51 dBFS 36 (2), at -62 dBFS 22 (11), at -70 dBFS 0 (40)."""

CLIPPED_SHARE = 0.03
"""Share of speech samples at full scale from which speech counts as too loud. Measured, right of 40 sentences (wrong):
none clipped 39 (0), 2 % clipped 37 (0), 13 % clipped 34 (2)."""

# ---------------------------------------------------------------- microphone

HEARTBEAT_S = 0.5
"""No block for this long means that the device is gone. Measured: blocks come every 20 ms, 28 ms at worst, with both
cores busy; the first one within 116 ms of opening."""

QUEUE_S = 10.0
"""How much sound waits for the recogniser before the oldest is thrown away, seconds."""

# ---------------------------------------------------------------- sound files

MAX_FILE_S = 30 * 60.0
"""Longest file that is read, in seconds: half an hour at 16 kHz is 58 MB; a canning command lasts ten seconds."""

MIN_RATE_HZ, MAX_RATE_HZ = 8_000, 96_000
"""Sample rates that are converted: telephone to studio."""

MAX_CHANNELS = 8
"""More channels than any recorder in a kitchen has; a header that claims more is damaged."""
