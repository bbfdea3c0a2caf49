"""The parts of the self-test that need no sound: folder, profile, gauges, record, disk, clock, tables, model, words.

Each returns what is well, in a line, or raises a KitchenVoiceError that says what to do.
"""

from __future__ import annotations

import os
import shutil
from datetime import UTC, date, datetime
from pathlib import Path
from tempfile import NamedTemporaryFile

from kitchenvoice.errors import BadProfile, KitchenVoiceError, LogbookDamaged, LogbookError
from kitchenvoice.kitchen.folder import home
from kitchenvoice.kitchen.profile import FILE_NAME, Canner, Profile, load_profile

__all__ = [
    "check_clock",
    "check_disk",
    "check_folder",
    "check_gauges",
    "check_model",
    "check_profile",
    "check_record",
    "check_speed",
    "check_tables",
    "check_words",
    "devices_profile",
]

_LEAST_FREE_MB = 50
_NOT_BEFORE_UTC = 1_700_000_000.0
_ANY_PSI = 11.0


def check_folder() -> str:
    """Make sure that the kitchen's folder is there."""
    folder = home()
    if not folder.is_dir():
        raise BadProfile(f"{folder} is not a folder. Name another one with KITCHENVOICE_HOME.")
    return str(folder)


def check_profile() -> str:
    """Read the profile; gaps in it are no fault, they will be asked for."""
    from kitchenvoice.app.described import described
    from kitchenvoice.app.languages import in_language

    folder = home()
    if not (folder / FILE_NAME).exists():
        return f"none yet at {folder / FILE_NAME}; kitchenvoice start asks for altitude and canners"
    return described(in_language(load_profile(folder), None))


def devices_profile() -> Profile:
    """Return the profile for the names of devices; one that can't be read is told by `check_profile` alone."""
    try:
        return load_profile(home())
    except BadProfile:
        return Profile()


def check_gauges() -> str:
    """Find dials due for a test, or too far off. Raises: KitchenVoiceError naming each."""
    canners = [canner for canner in load_profile(home()).canners if canner.gauge == "dial"]
    today = _today()
    wrong = [f"{canner.spoken}: {text}" for canner in canners if (text := _fault_of(canner, today))]
    if wrong:
        raise KitchenVoiceError(" ".join(wrong))
    if not canners:
        return "no dial gauge is known; a weighted gauge needs no test"
    return f"{len(canners)} dial gauge{'s' if len(canners) > 1 else ''} tested within twelve months"


def _fault_of(canner: Canner, today: date) -> str:
    from kitchenvoice.reference import gauge_target

    told = gauge_target(
        _ANY_PSI, gauge="dial", error_psi=canner.dial_error_psi, tested_on=canner.dial_tested, today=today
    )
    return "" if told.status == "ok" else told.text


def _today() -> date:
    from kitchenvoice.clock import SystemClock

    return datetime.fromtimestamp(SystemClock().now().utc, UTC).date()


def check_record() -> str:
    """Prove the whole logbook: the file, every entry, and the loads as the sum of their entries."""
    from kitchenvoice.logbook import backups
    from kitchenvoice.logbook.report.records import open_logbook

    folder = home()
    book = open_logbook(folder)
    if book is None:
        return "none yet; the first load begins it"
    with book:
        faults, entries = book.proof(), book.last_seq
    if faults:
        raise LogbookDamaged(f"{faults[0]} Run kitchenvoice logbook verify, then kitchenvoice logbook restore.")
    kept = len(backups(folder))
    return f"{entries} {'entry' if entries == 1 else 'entries'}, all in order; {kept} backup{'' if kept == 1 else 's'}"


def check_disk() -> str:
    """Write a few bytes to the disk, for certain, and look how much room is left."""
    folder = home()
    try:
        with NamedTemporaryFile(dir=folder) as file:
            file.write(b"kitchenvoice")
            file.flush()
            os.fsync(file.fileno())
        free_mb = shutil.disk_usage(folder).free // 1_000_000
    except OSError as exc:
        raise LogbookError(f"{folder} can't be written to: {exc.strerror}. Make room, or make it writable.") from exc
    if free_mb < _LEAST_FREE_MB:
        raise LogbookError(f"Only {free_mb} MB are free for the record. Make room on the disk.")
    return f"can be written to, {free_mb} MB free for the record"


def check_clock() -> str:
    """Check for a possible date, and for time that goes forward."""
    from kitchenvoice.clock import SystemClock

    clock = SystemClock()
    first, second = clock.now(), clock.now()
    if second.elapsed < first.elapsed or first.utc < _NOT_BEFORE_UTC:
        raise KitchenVoiceError(
            "The clock of this machine isn't set, so dates in the record would be wrong. Set date and time."
        )
    now = f"{datetime.fromtimestamp(second.utc, UTC):%Y-%m-%d %H:%M} UTC"
    if second.sure:
        return f"date and time are set: {now}"
    return f"it says {now}; nothing has set it since the machine was switched on, so compare it with a watch"


def check_tables() -> str:
    """Validate every published table and compare each file with its recorded SHA-256."""
    from kitchenvoice.reference.library import require_unchanged
    from kitchenvoice.reference.validation import validate_tables

    count = require_unchanged()
    validate_tables()
    return f"all {count} files of the published tables are valid, and as they were when they were checked"


def check_model() -> str:
    """Compare every file of the speech model, and of the second engine's, with its recorded SHA-256."""
    from kitchenvoice.hearing.recognise.model_store import RECORD, verified_model
    from kitchenvoice.hearing.recognise.whisper_rescorer import check_files

    model = verified_model()
    count = sum(path.is_file() and path.name != RECORD for path in Path(model).rglob("*"))
    return f"{model.name}: all {count} files have their recorded SHA-256; {check_files()}"


def check_words() -> str:
    """Load the model; every word of the grammars has to be in it, and the kitchen's own names may mean nothing else."""
    from kitchenvoice.app.languages import book_for, in_language, model_of, require_own_names
    from kitchenvoice.hearing import VoskRecogniser

    profile = in_language(devices_profile(), None)
    model = model_of(profile)
    book = book_for(profile)
    require_own_names(book, profile, home())
    words = book.everything(profile.attention).words
    recogniser = VoskRecogniser(model)
    recogniser.set_phrases(sorted(words))
    return f"{recogniser.engine} knows all {len(words)} words that can be said"


def check_speed() -> str:
    """Let the ear listen for a moment; tell what of it this machine can carry. Raises: KitchenVoiceError if nothing."""
    from kitchenvoice.app.compose import CACHE, carried_parts
    from kitchenvoice.app.languages import book_for, in_language, model_of
    from kitchenvoice.grammar import STAGES

    profile = in_language(devices_profile(), None)
    model = model_of(profile)
    grammar = book_for(profile).grammar(STAGES, attention="required", wake_phrase=profile.attention)
    parts = carried_parts(model, grammar, home() / CACHE)
    if not parts.first:
        raise KitchenVoiceError(parts.told())
    return parts.told()
