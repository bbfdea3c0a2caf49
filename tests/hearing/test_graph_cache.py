"""The cache between starts: an intact entry under its own key, or a miss."""

from __future__ import annotations

import shutil
import stat
from pathlib import Path

import pytest

from kitchenvoice.files import content_hash
from kitchenvoice.hearing.recognise import engine as _engine
from kitchenvoice.hearing.recognise.graph_cache import find_kept, keep
from kitchenvoice.ports import WordGraph

NAME = "0" * 64
OTHER = "1" * 64


def test_what_was_kept_is_found_and_replaces_what_was_kept_before(tmp_path: Path) -> None:
    keep(tmp_path / "cache", NAME, b"one")
    keep(tmp_path / "cache", OTHER, b"two")
    assert find_kept(tmp_path / "cache", OTHER) == b"two"
    assert find_kept(tmp_path / "cache", NAME) is None
    assert len(list((tmp_path / "cache").iterdir())) == 1


def test_only_the_owner_can_read_it(tmp_path: Path) -> None:
    keep(tmp_path / "cache", NAME, b"one")
    (file,) = (tmp_path / "cache").iterdir()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700


@pytest.mark.parametrize("at", range(0, 35, 7))
def test_a_damaged_one_is_not_found(tmp_path: Path, at: int) -> None:
    keep(tmp_path, NAME, b"one")
    (file,) = tmp_path.iterdir()
    whole = file.read_bytes()
    file.write_bytes(whole[:at])
    assert find_kept(tmp_path, NAME) is None
    file.write_bytes(whole[:at] + bytes([whole[at] ^ 1 if at < len(whole) else 1]) + whole[at + 1 :])
    assert find_kept(tmp_path, NAME) is None


def test_one_of_another_name_is_not_taken_for_it(tmp_path: Path) -> None:
    keep(tmp_path, NAME, b"one")
    (file,) = tmp_path.iterdir()
    file.rename(file.with_name(file.name.replace(NAME, OTHER)))
    assert find_kept(tmp_path, OTHER) is None


def test_a_place_that_takes_nothing_is_borne(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    keep(tmp_path / "file", NAME, b"one")
    assert find_kept(tmp_path / "file", NAME) is None


def test_the_last_room_on_the_disk_is_left_to_the_record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    usage = shutil.disk_usage(tmp_path)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage._replace(free=90_000_000))
    keep(tmp_path / "cache", NAME, b"one")
    assert not (tmp_path / "cache").exists()
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage._replace(free=110_000_000))
    keep(tmp_path / "cache", NAME, b"one")
    assert find_kept(tmp_path / "cache", NAME) == b"one"


def test_a_fingerprint_tells_names_contents_and_what_else_it_is_made_of(tmp_path: Path) -> None:
    one, other = tmp_path / "one", tmp_path / "other"
    one.write_text("same")
    other.write_text("same")
    found = {content_hash([one]), content_hash([other]), content_hash([one, other]), content_hash([one], "x")}
    one.write_text("changed")
    assert len(found | {content_hash([one])}) == 5
    assert content_hash([one, other]) == content_hash([other, one])
    assert content_hash([tmp_path / "none"]) == ""


# ---------------------------------------------------------------- the engine's graph


class Model:
    """A model with a record, and a graph writer that numbers its output."""

    def __init__(self, folder: Path) -> None:
        self.record = folder / "model" / ".files.json"
        self.own = folder / "model" / "graph" / "Gr.fst"
        self.own.parent.mkdir(parents=True)
        self.record.write_text("{}")
        self.cache = folder / "cache"
        self.made = 0

    def write(self, place: Path, *_: object) -> None:
        self.made += 1
        place.write_bytes(b"graph %d" % self.made)

    def start(self, sentences: str = "these sentences") -> bytes:
        """Return the graph's file as a start makes it."""
        place = self.own.with_name("ours.fst")
        _engine._write(place, WordGraph(0, ((),), (True,), fingerprint=sentences), self.own, self.cache)
        return place.read_bytes()


@pytest.fixture
def model(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Model:
    model = Model(tmp_path)
    monkeypatch.setattr(_engine, "write_graph", model.write)
    monkeypatch.setattr(_engine, "_symbols", lambda _: None)
    return model


def test_the_second_start_takes_the_graph_of_the_first(model: Model) -> None:
    assert [model.start(), model.start()] == [b"graph 1", b"graph 1"]


def test_other_sentences_are_made_anew(model: Model) -> None:
    assert [model.start(), model.start("others"), model.start("others")] == [b"graph 1", b"graph 2", b"graph 2"]


def test_another_model_has_a_graph_of_its_own(model: Model) -> None:
    model.start()
    model.record.write_text('{"am/final.mdl": "another"}')
    assert model.start() == b"graph 2"


def test_a_damaged_graph_is_made_anew_and_kept_again(model: Model) -> None:
    model.start()
    (file,) = model.cache.iterdir()
    file.write_bytes(file.read_bytes()[:-1])
    assert [model.start(), model.start()] == [b"graph 2", b"graph 2"]


@pytest.mark.parametrize("unknown", ["sentences", "model"])
def test_a_graph_that_cannot_be_named_is_not_kept(model: Model, unknown: str) -> None:
    if unknown == "model":
        model.record.unlink()
    sentences = "" if unknown == "sentences" else "these sentences"
    assert [model.start(sentences), model.start(sentences)] == [b"graph 1", b"graph 2"]
    assert not model.cache.exists()
