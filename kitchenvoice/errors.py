"""All exceptions of kitchenvoice, in one tree.

    KitchenVoiceError
    ├── BadInput (ValueError)            unusable input: words, numbers, files
    │   ├── BadAudio                     an unreadable WAV file
    │   ├── BadScenario                  an error in a rehearsal script (file and line)
    │   ├── BadGrammar                   an error in a grammar file (file and line)
    │   └── BadProfile                   an error in a profile file (file and line)
    ├── Missing (RuntimeError)           a missing part of the kitchen; the message names the fix
    │   ├── BoardMissing                 the board's address or port isn't available
    │   ├── DeviceMissing                no microphone, no speaker
    │   ├── ModelMissing                 the speech model is absent, partial or altered
    │   ├── TablesDamaged                a file of the published tables is absent or altered
    │   └── VoiceMissing                 no speech synthesiser
    ├── DeviceLost (OSError)             a sound device that was there has gone
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
    """Base of all deliberate exceptions. The text is one line, even where it quotes a hostile file."""

    exit_code = 2

    def __str__(self) -> str:
        """Return the text without control characters; a very long one loses its middle."""
        text = "".join(letter if letter.isprintable() else "?" for letter in super().__str__())
        return text if len(text) <= _LONGEST else f"{text[: _LONGEST // 2]} ... {text[-_LONGEST // 3 :]}"


class BadInput(KitchenVoiceError, ValueError):
    """Raised for unusable input. Correct it and try again."""


class BadAudio(BadInput):
    """Raised for a sound file that is missing, empty, damaged or of an unsupported kind."""


class BadScenario(BadInput):
    """Raised for an unreadable line of a rehearsal script; names file and line."""


class BadGrammar(BadInput):
    """Raised for an unreadable grammar file; names file and line."""


class BadProfile(BadInput):
    """Raised for an unusable value in the profile; names file and line."""


class Missing(KitchenVoiceError, RuntimeError):
    """Raised when a part that the session needs is missing; the message names the fix."""

    exit_code = 3


class BoardMissing(Missing):
    """Raised when the board's address or port isn't available."""


class DeviceMissing(Missing):
    """Raised when there is no microphone or no speaker."""


class ModelMissing(Missing):
    """Raised when the speech model is absent, partial or altered. Fetch it again."""


class TablesDamaged(Missing):
    """Raised when a file of the published tables differs from the checked one; the message names it. Reinstall."""


class VoiceMissing(Missing):
    """Raised when the speech synthesiser is missing or doesn't answer. Install espeak-ng."""


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
    """Raised for a file that isn't this program's to write: of a newer kitchenvoice, or no logbook. Left untouched."""
