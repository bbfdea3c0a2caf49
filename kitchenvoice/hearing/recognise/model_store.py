"""Locate the speech model on the disk and verify its files against the checksums recorded at unpacking.

The engine loads a model with a missing or truncated file silently and mishears from then on. So every file's size and
SHA-256 is recorded when the model is unpacked (`kitchenvoice fetch-model`) and all of them are checked at every start
(71 MB, about 0.15 s). Nothing here uses the network.

Limits: the record lies beside the files, so it guards against damage, not against tampering.
"""

from __future__ import annotations

import hashlib
import json
import os
from dataclasses import dataclass
from pathlib import Path

from kitchenvoice.errors import ModelMissing
from kitchenvoice.files import read_small
from kitchenvoice.hearing.recognise.manifest import SPEECH, read_manifest, work_tree
from kitchenvoice.kitchen.folder import home_path

__all__ = [
    "ENVIRONMENT",
    "NEEDED",
    "RECORD",
    "file_sha256",
    "find_model",
    "models_folder",
    "verified_folder",
    "verified_model",
    "write_record",
]

ENVIRONMENT = "KITCHENVOICE_MODEL"
"""Environment variable with another speech model's own folder, in place of the one found."""

RECORD = ".files.json"
"""List of files with size and SHA-256, in the model's folder."""

NEEDED = (
    "am/final.mdl",
    "conf/mfcc.conf",
    "conf/model.conf",
    "graph/Gr.fst",
    "graph/HCLr.fst",
    "graph/phones/word_boundary.int",
    "ivector/final.dubm",
    "ivector/final.ie",
    "ivector/final.mat",
    "ivector/global_cmvn.stats",
)
"""Files without which the engine doesn't start, can't take a grammar, or mishears silently."""

_MOST_BYTES = 1_000_000
"""Of a list of files: over a hundred times what it is."""

_FETCH = "Run kitchenvoice fetch-model."
_AGAIN = "Run kitchenvoice fetch-model to unpack it again."


@dataclass(frozen=True, slots=True)
class _Entry:
    path: str
    size: int
    sha256: str


def models_folder() -> Path:
    """Return the user's folder of models, the target of `kitchenvoice fetch-model`."""
    return home_path() / "models"


def find_model(name: str) -> Path:
    """Return a model's own folder: the user's, else the work tree's; if in neither, the path where it belongs."""
    tree = work_tree()
    places = [folder / name for folder in (models_folder(), tree) if folder is not None]
    return next((place for place in places if place.exists() or place.is_symlink()), places[0])


def file_sha256(path: Path) -> str:
    """Return the SHA-256 of a file as hexadecimal digits. Raises: OSError."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def verified_model(root: Path | None = None) -> Path:
    """Return the model's folder after checking every recorded file: existence, size, SHA-256.

    `root` is the folder that holds the models. Without it KITCHENVOICE_MODEL names the model's own folder; without that
    too, the user's models are searched, then the work tree.
    Raises: ModelMissing with one sentence that names the first fault and the command that fixes it.
    """
    named = os.environ.get(ENVIRONMENT) if root is None else None
    if named:
        return verified_folder(Path(named).expanduser(), by_environment=True)
    name = read_manifest()[SPEECH].name
    return verified_folder(root / name if root else find_model(name))


def verified_folder(folder: Path, *, by_environment: bool = False) -> Path:
    """Return a model's own folder after the same checks; `by_environment` adapts the advice to KITCHENVOICE_MODEL.

    Raises: ModelMissing.
    """
    _check_place(folder, by_environment)
    entries = _read_record(folder)
    _check_strangers(folder, entries)
    for entry in entries:
        _check_size(folder, entry)
    for entry in entries:
        _check_hash(folder, entry)
    return folder


def write_record(folder: Path, archive_sha256: str) -> None:
    """Record size and SHA-256 of every file under `folder`. Called once, right after unpacking.

    Raises: ModelMissing if a file that the engine needs is missing; OSError.
    """
    lacking = [path for path in NEEDED if not (folder / path).is_file()]
    if lacking:
        raise ModelMissing(
            f"The archive lacks {lacking[0]}, so it isn't the speech model. Fetch the one in the manifest."
        )
    files = {
        path: {"bytes": (folder / path).stat().st_size, "sha256": file_sha256(folder / path)} for path in _files(folder)
    }
    text = json.dumps({"archive_sha256": archive_sha256, "files": files}, indent=1)
    (folder / RECORD).write_text(text + "\n", encoding="utf-8")


def _files(folder: Path) -> list[str]:
    found = (path.relative_to(folder).as_posix() for path in folder.rglob("*") if not path.is_dir())
    return sorted(path for path in found if path != RECORD)


def _check_place(folder: Path, by_environment: bool) -> None:
    mend = f"Correct {ENVIRONMENT}, or unset it and run kitchenvoice fetch-model." if by_environment else _FETCH
    if not folder.exists():
        raise ModelMissing(f"There is no speech model in {folder}. {mend}")
    if not folder.is_dir():
        raise ModelMissing(f"{folder} is a file; the speech model is a folder. {mend}")
    if (folder / RECORD).is_file() or (folder / NEEDED[0]).is_file():
        return
    inner = next((path for path in sorted(folder.iterdir()) if (path / NEEDED[0]).is_file()), None)
    if inner is not None:
        raise ModelMissing(
            f"The speech model lies one folder deeper than expected, in {inner}. "
            + (f"Set {ENVIRONMENT} to that folder." if by_environment else _AGAIN)
        )
    raise ModelMissing(f"The folder {folder} holds no speech model. {mend}")


def _read_record(folder: Path) -> list[_Entry]:
    path = folder / RECORD
    if not path.is_file():
        raise ModelMissing(f"The speech model in {folder} has no list of its files, so it can't be checked. {_AGAIN}")
    try:
        files = json.loads(read_small(path, _MOST_BYTES))["files"]
        entries = [_Entry(name, int(known["bytes"]), str(known["sha256"])) for name, known in files.items()]
    except (OSError, ValueError, KeyError, TypeError, AttributeError, OverflowError, RecursionError) as exc:
        raise ModelMissing(f"The list of the speech model's files, {path}, can't be read. {_AGAIN}") from exc
    unlisted = sorted(set(NEEDED) - {entry.path for entry in entries})
    if unlisted:
        raise ModelMissing(f"The list of the speech model's files, {path}, doesn't name {unlisted[0]}. {_AGAIN}")
    return entries


def _check_strangers(folder: Path, entries: list[_Entry]) -> None:
    strangers = sorted(set(_files(folder)) - {entry.path for entry in entries})
    if strangers:
        raise ModelMissing(
            f"The speech model holds a file that wasn't unpacked with it, {folder / strangers[0]}. Remove it, or run "
            "kitchenvoice fetch-model."
        )


def _check_size(folder: Path, entry: _Entry) -> None:
    path = folder / entry.path
    try:
        size = path.stat().st_size
    except OSError as exc:
        raise ModelMissing(f"The speech model's file {path} is missing. {_AGAIN}") from exc
    if size != entry.size:
        how = "cut short" if size < entry.size else "too long"
        raise ModelMissing(f"The speech model's file {path} is {how}: {size} bytes, not {entry.size}. {_AGAIN}")


def _check_hash(folder: Path, entry: _Entry) -> None:
    path = folder / entry.path
    try:
        same = file_sha256(path) == entry.sha256
    except OSError as exc:
        raise ModelMissing(f"The speech model's file {path} can't be read: {exc.strerror}. {_AGAIN}") from exc
    if not same:
        raise ModelMissing(f"The speech model's file {path} was altered since it was unpacked. {_AGAIN}")
