"""Every error of kitchenvoice, in one tree.

    KitchenVoiceError
    ├── BadInput (ValueError)            what was given can't be used: words, numbers, files
    │   ├── BadAudio                     a WAV file that can't be read
    │   ├── BadScenario                  a rehearsal script with a mistake in it (file and line)
    │   ├── BadGrammar                   a grammar file with a mistake in it (file and line)
    │   └── BadProfile                   a profile file with a mistake in it (file and line)
    ├── Missing (RuntimeError)           a part of the kitchen isn't there; the message names the fix
    │   ├── BoardMissing                 the board's address or port can't be had
    │   ├── DeviceMissing                no microphone, no speaker
    │   ├── ModelMissing                 the speech model is absent, partial or altered
    │   ├── TablesDamaged                a file of the published tables is absent or altered
    │   └── VoiceMissing                 no speech synthesiser
    ├── DeviceLost (OSError)             a device that was there has gone
    └── LogbookError (OSError)           the record can't be read or written
        ├── LogbookBusy                  another program has the record locked
        │   └── LogbookTaken             another kitchenvoice writes it
        ├── LogbookDamaged               the record's file is damaged or gone; the message offers a backup
        └── LogbookForeign               the file is of a newer kitchenvoice, or no logbook at all

Each message is one plain sentence that says what is wrong and what to do next; it can be read aloud.
Expected trouble in a conversation (no-match, no-input, a refused process) is a value, not an exception.
"""

from __future__ import annotations

__all__ = [
    "BadAudio",
    "BadGrammar",
    "BadInput",
    "BadProfile",
    "BadScenario",
    "BoardMissing",
    "DeviceLost",
    "DeviceMissing",
    "KitchenVoiceError",
    "LogbookBusy",
    "LogbookDamaged",
    "LogbookError",
    "LogbookForeign",
    "LogbookTaken",
    "Missing",
    "ModelMissing",
    "TablesDamaged",
    "VoiceMissing",
]

_LONGEST = 600


class KitchenVoiceError(Exception):
    """Anything that kitchenvoice raises on purpose. Its text is one line, whatever a hostile file made it quote."""

    exit_code = 2

    def __str__(self) -> str:
        """Return the text without signs that could steer a terminal, the middle of a very long one left out."""
        text = "".join(letter if letter.isprintable() else "?" for letter in super().__str__())
        return text if len(text) <= _LONGEST else f"{text[: _LONGEST // 2]} ... {text[-_LONGEST // 3 :]}"


class BadInput(KitchenVoiceError, ValueError):
    """Raised when what was given can't be used. Correct it and try again."""


class BadAudio(BadInput):
    """Raised when a sound file is missing, empty, damaged or of a kind that can't be converted."""


class BadScenario(BadInput):
    """Raised when a rehearsal script has a line that can't be understood; names file and line."""


class BadGrammar(BadInput):
    """Raised when a grammar file can't be read; names file and line."""


class BadProfile(BadInput):
    """Raised when the profile has a value that can't be used; names file and line."""


class Missing(KitchenVoiceError, RuntimeError):
    """Raised when a part that the session needs isn't there; the message names the fix."""

    exit_code = 3


class BoardMissing(Missing):
    """Raised when the board can't be served: its address or port can't be had."""


class DeviceMissing(Missing):
    """Raised when there is no microphone or no speaker."""


class ModelMissing(Missing):
    """Raised when the speech model is absent, partial or altered. Fetch it again."""


class TablesDamaged(Missing):
    """Raised when a file of the published tables isn't what was checked; the message names it. Install again."""


class VoiceMissing(Missing):
    """Raised when there is no speech synthesiser or it doesn't answer. Install espeak-ng."""


class DeviceLost(KitchenVoiceError, OSError):
    """Raised when a sound device stopped working; it is reopened when it comes back."""

    exit_code = 3


class LogbookError(KitchenVoiceError, OSError):
    """Raised when the record can't be read or written: disk full, no rights, damaged file."""

    exit_code = 3


class LogbookBusy(LogbookError):
    """Raised when another program has the record locked. Close that one first."""


class LogbookTaken(LogbookBusy):
    """Raised when another kitchenvoice writes the record; the message names its process."""


class LogbookDamaged(LogbookError):
    """Raised when the record's file is damaged or gone; the message names the backup to restore."""


class LogbookForeign(LogbookError):
    """Raised when the file isn't this program's to write: of a newer kitchenvoice, or no logbook. It isn't touched."""
