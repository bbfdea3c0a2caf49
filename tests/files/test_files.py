"""Reads of regular files up to a limit; writes that leave devices, links and other users' permissions alone."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from kitchenvoice.files import make_folder, read_small, replace_file, write_out
from kitchenvoice.kitchen.folder import write_paper


def mode(path: Path) -> int:
    return stat.S_IMODE(path.lstat().st_mode)


@pytest.fixture(params=[0, 0o777], ids=["open umask", "closed umask"])
def umask(request: pytest.FixtureRequest) -> Iterator[None]:
    before = os.umask(request.param)
    yield
    os.umask(before)


def test_an_ordinary_file_is_read_up_to_its_limit(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_bytes(b"x" * 100)
    assert read_small(file, 100) == b"x" * 100
    with pytest.raises(ValueError, match="is longer than 99 bytes"):
        read_small(file, 99)
    with pytest.raises(FileNotFoundError):
        read_small(tmp_path / "absent", 99)


def test_a_pipe_a_folder_and_an_endless_device_are_refused_without_waiting(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "zero").symlink_to("/dev/zero")
    handles = len(list(Path("/proc/self/fd").iterdir()))
    for path in (tmp_path / "pipe", tmp_path, tmp_path / "zero"):
        with pytest.raises(ValueError, match="isn't an ordinary file"):
            read_small(path, 10)
    assert len(list(Path("/proc/self/fd").iterdir())) == handles


@pytest.mark.usefixtures("umask")
def test_what_is_made_is_private_whatever_the_umask_and_what_was_there_keeps_its_rights(tmp_path: Path) -> None:
    tmp_path.chmod(0o1777)
    make_folder(tmp_path / "a" / "b")
    make_folder(tmp_path / "a" / "b")
    assert (mode(tmp_path), mode(tmp_path / "a"), mode(tmp_path / "a" / "b")) == (0o1777, 0o700, 0o700)
    replace_file(tmp_path / "a" / "file", b"1")
    write_out(tmp_path / "a" / "out", b"2")
    assert {mode(path) for path in (tmp_path / "a").iterdir() if path.is_file()} == {0o600}
    with pytest.raises(FileExistsError):
        make_folder(tmp_path / "a" / "file")


def test_a_file_is_whole_or_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "file"
    write_out(file, b"before")

    def refuse(_: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("os.fsync", refuse)
        with pytest.raises(OSError, match="No space"):
            write_out(file, b"after")
    assert [path.name for path in tmp_path.iterdir()] == ["file"]
    assert file.read_bytes() == b"before"


def test_a_link_leads_to_what_is_written_and_stays(tmp_path: Path) -> None:
    (tmp_path / "far").mkdir()
    (tmp_path / "near").symlink_to("far/file")
    for content in (b"1", b"2"):
        write_out(tmp_path / "near", content)
        assert (tmp_path / "far" / "file").read_bytes() == content
    assert (tmp_path / "near").is_symlink()


def test_links_with_the_names_of_drafts_are_not_followed(tmp_path: Path) -> None:
    theirs = tmp_path / "theirs"
    theirs.write_bytes(b"theirs")
    for name in (".out.part", "out.new", "out.part", "out.tmp"):
        (tmp_path / name).symlink_to(theirs)
    write_out(tmp_path / "out", b"new")
    (tmp_path / "kept").symlink_to(theirs)
    replace_file(tmp_path / "kept", b"kept")
    assert theirs.read_bytes() == b"theirs"


def test_a_device_is_written_to_and_stays_a_device() -> None:
    before = Path("/dev/null").stat()
    write_out(Path("/dev/null"), b"nothing")
    after = Path("/dev/null").stat()
    assert stat.S_ISCHR(after.st_mode)
    assert (before.st_ino, before.st_mode) == (after.st_ino, after.st_mode)
    with pytest.raises(OSError, match="No space"):
        write_out(Path("/dev/full"), b"nothing")


def test_a_pipe_is_written_to_where_somebody_reads_and_not_waited_for_where_nobody_does(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(OSError, match="nobody reads from it"):
        write_out(pipe, b"x")
    reading = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    write_out(pipe, b"said")
    assert os.read(reading, 10) == b"said"
    os.close(reading)
    assert pipe.is_fifo()


def test_what_is_read_only_and_a_folder_are_left_alone_to_root_too(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_bytes(b"keep")
    file.chmod(0o444)
    with pytest.raises(PermissionError, match="it is read-only"):
        write_out(file, b"new")
    with pytest.raises(IsADirectoryError):
        write_out(tmp_path, b"new")
    assert (file.read_bytes(), mode(file)) == (b"keep", 0o444)


def test_a_name_of_the_output_itself_goes_where_the_output_goes(tmp_path: Path) -> None:
    script = "from pathlib import Path; from kitchenvoice.files import write_out; write_out(Path('/dev/stdout'), b'2')"
    with (tmp_path / "file").open("w") as file:
        file.write("1")
        file.flush()
        subprocess.run([sys.executable, "-c", script], stdout=file, check=True)
        file.write("3")
    assert (tmp_path / "file").read_text() == "123"


def test_a_link_to_itself_is_an_error_like_any_other(tmp_path: Path) -> None:
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    with pytest.raises(OSError, match="symbolic links"):
        write_paper(tmp_path / "loop", b"x")
