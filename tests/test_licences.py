"""The licence table agrees with the installed packages' metadata, and lacks none of them."""

from __future__ import annotations

import json
import re
import tomllib
from importlib import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from kitchenvoice.hearing.recognise.manifest import read_manifest

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "kitchenvoice" / "LICENCES.md").read_text("utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"]
SHORT = {
    "Apache Software License": "Apache-2.0",
    "BSD License": "BSD",
    "GNU General Public License v3 (GPLv3)": "GPL-3.0",
    "GNU General Public License v3 or later (GPLv3+)": "GPL-3.0-or-later",
    "MIT License": "MIT",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "Python Software Foundation License": "PSF-2.0",
}
"""How the table says what older packages say in the words of their registry."""


def column(number: int) -> dict[str, str]:
    """Return the licence of each package in a column of the table."""
    rows = [[cell.strip() for cell in line.split("|")[1:-1]] for line in PAGE.splitlines() if line.count("|") == 4]
    return {name: row[0] for row in rows[2:] for name in re.split(r",\s*", row[number]) if name}


def needed(requirements: list[str]) -> dict[str, metadata.Distribution]:
    """Return the installed dependencies of these; missing ones, and those for other systems, are left out."""
    found: dict[str, metadata.Distribution] = {}
    waiting = [(Requirement(each), "") for each in requirements]
    while waiting:
        wanted, extra = waiting.pop()
        name = canonicalize_name(wanted.name)
        if (wanted.marker and not wanted.marker.evaluate({"extra": extra})) or (name in found and not wanted.extras):
            continue
        try:
            found[name] = metadata.distribution(name)
        except metadata.PackageNotFoundError:
            continue
        for inner in map(Requirement, found[name].requires or ()):
            waiting += [(inner, extra) for extra in ("", *wanted.extras)]
    return found


def stated(package: metadata.Distribution) -> str:
    """Return a package's stated licence: as an expression, in the registry's words, in its own, in its text."""
    about = package.metadata
    registered = [
        each.split(" :: ")[-1] for each in about.get_all("Classifier") or () if each.startswith("License :: ")
    ]
    files = (file for file in package.files or () if file.name in ("LICENSE", "LICENSE.txt"))
    texts = [file.read_text("utf-8") for file in files if file.locate().exists()]
    named = [
        about["License-Expression"],
        *registered,
        about["License"],
        *(text.strip().splitlines()[0] for text in texts),
    ]
    told = next(str(each) for each in named if each and each != "DFSG approved")
    return SHORT.get(told, told)


RUNNING = needed([*PROJECT["dependencies"], *EXTRAS["second"]])
DEVELOPING = [Requirement(each) for extra in ("dev", "bench", "mutation", "voice") for each in EXTRAS[extra]]


def test_every_package_that_it_runs_with_is_in_the_table_with_its_licence() -> None:
    assert {name: stated(package) for name, package in RUNNING.items()}.items() <= column(1).items()
    assert len(RUNNING) >= len(PROJECT["dependencies"])


def test_the_table_is_of_the_packages_that_are_locked() -> None:
    locked = "\n".join(
        (ROOT / "scripts" / "locked" / f"{name}.txt").read_text("utf-8") for name in ("kitchen", "second")
    )
    assert set(column(1)) == set(re.findall(r"^([^\s#=]+)==", locked, re.MULTILINE))


def test_every_tool_for_development_is_in_the_table_with_its_licence() -> None:
    names = {canonicalize_name(each.name) for each in DEVELOPING}
    assert set(column(2)) == names
    told = {name: stated(package) for name in names if (package := needed([name]).get(name))}
    assert len(told) >= len(EXTRAS["dev"])
    assert told.items() <= column(2).items()


@pytest.mark.parametrize("role", ["speech", "second"])
def test_every_model_is_in_the_table_with_the_licence_of_its_manifest(role: str) -> None:
    known = json.loads((ROOT / "models" / "manifest.json").read_text("utf-8"))[role]
    (row,) = [line for line in PAGE.splitlines() if known["name"].removeprefix("whisper-") in line]
    assert f"| {known['licence']} (" in row
    assert read_manifest()[role].name == known["name"]


def test_our_own_licence_is_the_text_of_the_one_we_name() -> None:
    text = (ROOT / "kitchenvoice" / "LICENSE").read_text("utf-8")
    assert (PROJECT["license"], PROJECT["license-files"]) == ("Apache-2.0", ["kitchenvoice/LICENSE"])
    for part in (
        "Apache License",
        "Version 2.0, January 2004",
        "3. Grant of Patent License.",
        "END OF TERMS AND CONDITIONS",
    ):
        assert part in text


def test_the_version_has_its_changes() -> None:
    changes = (ROOT / "DEVELOPERS.md").read_text("utf-8").split("## Changes", 1)[1]
    assert re.findall(r"^\*\*(.+)\*\*$", changes, re.MULTILINE)[0] == PROJECT["version"]
