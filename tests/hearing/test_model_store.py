"""The speech model on the disk: every kind of damage is found before the engine loads it, and named."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from kitchenvoice.errors import ModelMissing
from kitchenvoice.hearing.recognise import model_store
from kitchenvoice.hearing.recognise.manifest import SECOND, SPEECH, read_manifest, work_tree
from kitchenvoice.hearing.recognise.model_store import (
    ENVIRONMENT,
    NEEDED,
    RECORD,
    find_model,
    models_folder,
    verified_model,
    write_record,
)

NAME = read_manifest()[SPEECH].name


def fill(folder: Path) -> Path:
    """Make a small folder that looks like a model."""
    for path in (*NEEDED, "README"):
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(path.encode() * 40)
    return folder


@pytest.fixture(autouse=True)
def _no_other_model(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(ENVIRONMENT, raising=False)


@pytest.fixture
def model(tmp_path: Path) -> Path:
    folder = fill(tmp_path / "two words" / NAME)
    write_record(folder, "0" * 64)
    return folder


def test_a_whole_model_is_returned(model: Path) -> None:
    assert verified_model(model.parent) == model


def test_the_record_names_every_file_but_itself(model: Path) -> None:
    record = json.loads((model / RECORD).read_text())
    assert set(record["files"]) == {*NEEDED, "README"}
    assert record["archive_sha256"] == "0" * 64


def _truncate(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-1])


def _alter(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[0] ^= 1
    path.write_bytes(content)


@pytest.mark.parametrize("name", ["graph/HCLr.fst", "ivector/final.ie", "graph/phones/word_boundary.int", "README"])
@pytest.mark.parametrize(
    ("damage", "says"),
    [
        (Path.unlink, "is missing"),
        (_truncate, "is cut short: "),
        (lambda path: path.write_bytes(b""), "is cut short: 0 bytes"),
        (lambda path: path.write_bytes(path.read_bytes() + b"x"), "is too long"),
        (_alter, "was altered"),
    ],
    ids=["missing", "truncated", "empty", "longer", "one bit altered"],
)
def test_a_damaged_file_is_found_and_named(model: Path, name: str, damage: Callable[[Path], object], says: str) -> None:
    damage(model / name)
    with pytest.raises(ModelMissing) as caught:
        verified_model(model.parent)
    assert str(model / name) in str(caught.value)
    assert says in str(caught.value)
    assert "Run kitchenvoice fetch-model" in str(caught.value)


def test_no_folder_at_all(tmp_path: Path) -> None:
    with pytest.raises(ModelMissing, match=r"There is no speech model in .* Run kitchenvoice fetch-model\."):
        verified_model(tmp_path)


def test_a_file_in_place_of_the_folder(tmp_path: Path) -> None:
    (tmp_path / NAME).write_text("an archive that was not unpacked")
    with pytest.raises(ModelMissing, match=r"is a file; the speech model is a folder"):
        verified_model(tmp_path)


def test_an_empty_folder(tmp_path: Path) -> None:
    (tmp_path / NAME).mkdir()
    with pytest.raises(ModelMissing, match=r"holds no speech model"):
        verified_model(tmp_path)


def test_a_folder_level_too_many(tmp_path: Path) -> None:
    fill(tmp_path / NAME / NAME)
    with pytest.raises(ModelMissing, match=r"one folder deeper than expected") as caught:
        verified_model(tmp_path)
    assert str(tmp_path / NAME / NAME) in str(caught.value)


def test_no_record(model: Path) -> None:
    (model / RECORD).unlink()
    with pytest.raises(ModelMissing, match=r"has no list of its files"):
        verified_model(model.parent)


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '{"files": 3}', '{"files": {"am/final.mdl": {"bytes": 3}}}', '{"files": {"README": null}}']
)
def test_a_damaged_record(model: Path, text: str) -> None:
    (model / RECORD).write_text(text)
    with pytest.raises(ModelMissing, match=r"The list of the speech model's files, .*, can't be read"):
        verified_model(model.parent)


@pytest.mark.parametrize("name", NEEDED)
def test_a_record_that_leaves_out_a_needed_file_does_not_pass(model: Path, name: str) -> None:
    record = json.loads((model / RECORD).read_text())
    del record["files"][name]
    (model / name).unlink()
    (model / RECORD).write_text(json.dumps(record))
    with pytest.raises(ModelMissing, match=f"doesn't name {name}"):
        verified_model(model.parent)


def test_a_file_that_came_from_elsewhere(model: Path) -> None:
    (model / "graph" / "HCLG.fst").write_bytes(b"the engine would take this one instead")
    with pytest.raises(ModelMissing, match=r"a file that wasn't unpacked with it, .*HCLG\.fst"):
        verified_model(model.parent)


def test_the_environment_names_another_folder(tmp_path: Path, model: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    elsewhere = fill(tmp_path / "disk two" / "ear")
    write_record(elsewhere, "1" * 64)
    monkeypatch.setenv(ENVIRONMENT, str(elsewhere))
    assert verified_model() == elsewhere
    assert verified_model(model.parent) == model, "a folder that is given goes first"


def test_a_wrong_folder_in_the_environment_is_told_as_such(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(ENVIRONMENT, str(tmp_path / "nowhere"))
    with pytest.raises(ModelMissing, match=f"There is no speech model in .*nowhere. Correct {ENVIRONMENT}"):
        verified_model()
    fill(tmp_path / "outer" / "inner")
    monkeypatch.setenv(ENVIRONMENT, str(tmp_path / "outer"))
    with pytest.raises(ModelMissing, match=f"one folder deeper .*Set {ENVIRONMENT} to that folder"):
        verified_model()


@pytest.fixture
def kitchen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's models folder, still empty, and no work tree."""
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path / "kitchen"))
    monkeypatch.setattr(model_store, "work_tree", lambda: tmp_path / "tree")
    return tmp_path / "kitchen" / "models"


def test_without_any_model_the_users_folder_is_named(kitchen: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(ENVIRONMENT, "")
    with pytest.raises(ModelMissing) as caught:
        verified_model()
    assert str(kitchen / NAME) in str(caught.value)
    assert "Run kitchenvoice fetch-model." in str(caught.value)
    assert not kitchen.parent.exists(), "to look for it makes no folder"


def test_the_environment_goes_before_the_users_models_and_these_before_the_work_trees(
    kitchen: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    places = [tmp_path / "tree" / NAME, kitchen / NAME, tmp_path / "named"]
    for place in places:
        write_record(fill(place), "0" * 64)
        if place == places[-1]:
            monkeypatch.setenv(ENVIRONMENT, str(place))
        assert verified_model() == place
    monkeypatch.delenv(ENVIRONMENT)
    (kitchen / NAME / "README").write_text("altered")
    with pytest.raises(ModelMissing, match=r"cut short: .* Run kitchenvoice fetch-model to unpack it again"):
        verified_model()


def test_a_program_that_was_installed_looks_for_no_work_tree(kitchen: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(model_store, "work_tree", lambda: None)
    assert find_model("any") == models_folder() / "any" == kitchen / "any"


@pytest.mark.parametrize("name", NEEDED)
def test_nothing_is_recorded_where_a_needed_file_is_absent(tmp_path: Path, name: str) -> None:
    folder = fill(tmp_path / NAME)
    (folder / name).unlink()
    with pytest.raises(ModelMissing, match=f"The archive lacks {name}"):
        write_record(folder, "0" * 64)
    assert not (folder / RECORD).exists()


@pytest.mark.parametrize("text", ["", "{}", "[]", '{"speech": {"name": 3}}', '{"second": {}}', "no json"])
def test_a_manifest_that_cannot_be_used(tmp_path: Path, text: str) -> None:
    path = tmp_path / "manifest.json"
    path.write_text(text)
    with pytest.raises(ModelMissing, match=r"can't be read. Install kitchenvoice again"):
        read_manifest(path)


def test_the_manifest_says_what_must_be_known_of_each_archive() -> None:
    models = read_manifest()
    assert {role: [each.source for each in model.archives] for role, model in models.items()} == {
        SPEECH: ["page", "maven"],
        SECOND: ["pip"],
    }
    for archive in (each for model in models.values() for each in model.archives):
        assert archive.bytes > 40_000_000
        assert len(archive.sha256) == 64
        assert archive.where
        assert archive.inside


@pytest.mark.audio
def test_the_real_model_is_whole_and_checked_within_a_start() -> None:
    folder = verified_model()
    files = json.loads((folder / RECORD).read_text())["files"]
    assert sum(known["bytes"] for known in files.values()) > 60_000_000
    assert folder.parent in (models_folder(), work_tree())
