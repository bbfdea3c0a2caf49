"""Atomic, private writes through temporary files with unpredictable names, so that no planted link is followed."""

from __future__ import annotations

import errno
import os
import secrets
import stat
import tempfile
from contextlib import suppress
from pathlib import Path

__all__ = ["make_folder", "replace_file", "set_aside", "sync_folder", "write_out"]

_ANY_WRITER = 0o222


def make_folder(folder: Path) -> None:
    """Make a folder and its parents, private to its owner; an existing one keeps its permissions. Raises: OSError."""
    for each in reversed([folder, *folder.parents]):
        if each.is_dir():
            continue
        try:
            each.mkdir(mode=0o700)
        except FileExistsError:
            if not each.is_dir():  # a file of that name; a folder may have been made by another process meanwhile
                raise
        else:
            each.chmod(0o700)


def replace_file(path: Path, content: bytes, *, sync: bool = True) -> None:
    """Replace `path` by a private file, atomically; a link there is replaced too. Raises: OSError."""
    handle, name = tempfile.mkstemp(prefix=f".new-{path.stem}-", suffix=path.suffix, dir=path.parent)
    fresh = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            os.fchmod(handle, 0o600)
            file.write(content)
            if sync:
                file.flush()
                os.fsync(handle)
        fresh.replace(path)
    except BaseException:
        fresh.unlink(missing_ok=True)
        raise
    if sync:
        with suppress(OSError):  # not every folder can be synced; the file itself was
            sync_folder(path.parent)


def set_aside(path: Path) -> None:
    """Rename whatever is in a file's place, where the folder allows it, to make room for a new one."""
    for name in (f"{path.name}.bad", f"{path.name}.{secrets.token_hex(4)}.bad"):  # a folder takes no file's place
        try:
            path.replace(path.with_name(name))
        except OSError:
            continue
        return


def write_out(path: Path, content: bytes) -> None:
    """Write to a path given by the cook: a regular file is replaced, through a link; a device or pipe is written to.

    A write-protected file is left alone, by root too. Raises: OSError.
    """
    try:
        there = path.stat()
    except FileNotFoundError:
        replace_file(path.resolve(), content)
        return
    if stat.S_ISDIR(there.st_mode):
        raise OSError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    if not there.st_mode & _ANY_WRITER or not os.access(path, os.W_OK):
        raise PermissionError(errno.EACCES, "it is read-only", str(path))
    if stat.S_ISBLK(there.st_mode):
        raise OSError(errno.EPERM, "it is a disk", str(path))
    ours = next((handle for handle in (1, 2) if _is_behind(handle, there)), None)
    if ours is not None:
        _write_to(os.dup(ours), content)
    elif stat.S_ISREG(there.st_mode):
        replace_file(path.resolve(), content)
    else:
        _write_to(_open_through(path), content)


def _is_behind(handle: int, there: os.stat_result) -> bool:
    """True if a name such as /dev/stdout is one of the program's own outputs."""
    try:
        return os.path.samestat(there, os.fstat(handle))
    except OSError:
        return False


def _open_through(path: Path) -> int:
    try:
        handle = os.open(path, os.O_WRONLY | os.O_NONBLOCK | os.O_NOCTTY | os.O_CLOEXEC)
    except OSError as exc:
        if exc.errno == errno.ENXIO:
            raise OSError(errno.ENXIO, "nobody reads from it", str(path)) from exc
        raise
    os.set_blocking(handle, True)
    return handle


def _write_to(handle: int, content: bytes) -> None:
    with os.fdopen(handle, "wb") as file:
        file.write(content)


def sync_folder(folder: Path) -> None:
    """Sync a folder, so that its names are as durable as `fsync` makes contents. Raises: OSError."""
    handle = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
