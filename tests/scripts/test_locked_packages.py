"""The locked Python packages: the requirements of pyproject.toml, by hash, with wheels for a PC and an ARM board.

The last test asks pip's registry for its file lists, not for the packages.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tomllib
from itertools import chain
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[2]
LOCKED = ROOT / "scripts" / "locked"
LISTS = ("build", "typed", "kitchen", "second", "dev", "bench", "voice")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())
OLDEST_GLIBC = 28
"""glibc 2.28 (2018), for which numpy and the voice detector are built."""


def entries(name: str) -> dict[str, tuple[str, set[str]]]:
    """Return version and hashes of each package of a list."""
    found = {}
    for entry in re.split(r"\n(?=\S)", (LOCKED / f"{name}.txt").read_text()):
        if match := re.match(r"([^#=\s]+)==([^\s;]+)", entry):
            found[match[1]] = (match[2], set(re.findall(r"--hash=(sha256:[0-9a-f]{64})", entry)))
    return found


def from_source() -> set[str]:
    """Return the packages without a wheel."""
    lines = (LOCKED / "from-source.txt").read_text().splitlines()
    return {words[0] for line in lines if (words := line.partition("#")[0].split())}


def asked_for() -> dict[str, list[str]]:
    """Return the requirements of pyproject.toml, by their list."""
    project = PROJECT["project"]
    extras = project["optional-dependencies"]
    return {
        "build": PROJECT["build-system"]["requires"],
        "typed": [],
        "kitchen": project["dependencies"],
        **{name: extras[name] for name in ("second", "dev", "bench", "voice")},
    }


@pytest.mark.parametrize("name", LISTS)
def test_a_list_has_what_the_project_asks_for_and_no_address(name: str) -> None:
    locked = entries(name) | (entries("kitchen") if name != "build" else {})
    for requirement in map(Requirement, asked_for()[name]):
        version, _ = locked[canonicalize_name(requirement.name)]
        assert requirement.specifier.contains(version), f"{requirement}: {version} is locked. Run scripts/lock."
    assert not re.search(r"//|^-", (LOCKED / f"{name}.txt").read_text(), re.MULTILINE)


def test_each_package_has_hashes_and_one_version() -> None:
    versions: dict[str, str] = {}
    for package, (version, hashes) in chain.from_iterable(entries(name).items() for name in LISTS):
        assert hashes, package
        assert versions.setdefault(package, version) == version, package
    assert len(versions) > len(entries("kitchen")) > 20


def test_a_kitchen_gets_neither_second_engine_nor_test_tools() -> None:
    for name in ("second", "dev", "bench", "voice"):
        assert set(entries("kitchen")) & set(entries(name)) == set(), name
    assert {"ctranslate2", "pytest", "matplotlib"} & set(entries("kitchen")) == set()


def test_what_comes_first_is_enough_for_a_typed_session(tmp_path: Path) -> None:
    """Every other package of a kitchen is made to fail: look-up, first evening and load answer all the same."""
    assert entries("typed").items() <= entries("kitchen").items()
    others = [each.replace("-", "_") for each in entries("kitchen").keys() - entries("typed").keys()]
    code = f"import sys; sys.modules.update(dict.fromkeys({others})); from kitchenvoice.cli import main; main()"
    for command, typed, said in (
        ("lookup carrots pints raw weighted 900 ft", "", "10 pounds"),
        ("start --typed", "feet\n900\nyes\nlater\nstart nine pints of carrots\nraw\n", "Raw pack or hot pack?"),
    ):
        ran = subprocess.run(
            [sys.executable, "-c", code, *command.split()], input=typed, capture_output=True, text=True, check=False,
            env=os.environ | {"KITCHENVOICE_HOME": str(tmp_path)}, timeout=60,
        )  # fmt: skip
        assert (ran.returncode, said in ran.stdout) == (0, True), ran.stderr


def test_one_small_package_alone_is_built_where_it_is_installed() -> None:
    """A package without a wheel runs code at installation, so a second one needs a decision."""
    assert from_source() == {"srt"}


def chosen(tmp_path: Path, wanted: dict[str, tuple[str, set[str]]], machine: str, python: str) -> dict[str, Any]:
    """Return what pip would install of these on such a machine: its entry for each package, checked by hash."""
    platforms = [f"manylinux_2_{minor}_{machine}" for minor in range(17, OLDEST_GLIBC + 1)]
    platforms += [f"manylinux2014_{machine}", f"manylinux2010_{machine}"]
    report = tmp_path / "report.json"
    command = [
        *(sys.executable, "-m", "pip", "install", "-q", "--disable-pip-version-check", "--dry-run"),
        *("--ignore-installed", "--no-deps", "--only-binary=:all:", "--implementation=cp"),
        *(f"--python-version={python}", f"--target={tmp_path / 'nowhere'}", f"--report={report}"),
        *(f"--platform={platform}" for platform in platforms),
        *(f"{package}=={version}" for package, (version, _) in wanted.items()),
    ]
    ran = subprocess.run(command, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    items = {canonicalize_name(item["metadata"]["name"]): item for item in json.loads(report.read_text())["install"]}
    hashes = {name: item["download_info"]["archive_info"]["hash"].replace("=", ":") for name, item in items.items()}
    assert set(items) == set(wanted)
    assert [package for package in wanted if hashes[package] not in wanted[package][1]] == []
    return items


@pytest.mark.timeout(400)
def test_a_kitchen_and_its_second_engine_have_wheels(tmp_path: Path) -> None:
    """For Debian 12 and 13 on both machines. A wheel for all of them is asked for once."""
    wanted = entries("build") | entries("kitchen") | entries("second")
    for package in from_source():
        del wanted[package]
    for name, item in chosen(tmp_path, wanted, "x86_64", "3.11").items():
        version = item["metadata"].get("requires_python", "")
        if item["download_info"]["url"].endswith("-none-any.whl") and SpecifierSet(version).contains("3.13"):
            del wanted[name]
    assert {"numpy", "vosk", "ctranslate2"} <= wanted.keys()
    for machine, python in (("x86_64", "3.13"), ("aarch64", "3.11"), ("aarch64", "3.13")):
        chosen(tmp_path, wanted, machine, python)
