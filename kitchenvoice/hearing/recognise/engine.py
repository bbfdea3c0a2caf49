"""Vosk's two objects with a clean exit, and the one loaded model of the process."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from types import ModuleType
from weakref import WeakValueDictionary

from kitchenvoice.errors import BadGrammar, ModelMissing
from kitchenvoice.files import content_hash
from kitchenvoice.hearing.recognise.graph_cache import find_kept, keep
from kitchenvoice.hearing.recognise.graph_file import SymbolTable, write_graph
from kitchenvoice.hearing.recognise.model_store import RECORD
from kitchenvoice.hearing.thresholds import SEARCH_WIDTHS
from kitchenvoice.ports import WordGraph

_FEATURES, _ANY_RATE = "mfcc.conf", "--allow-upsample=true"

__all__ = ["Decoder", "SpeechModel", "load_model", "model_for_phrases", "model_with"]


@contextmanager
def _without(name: str) -> Iterator[None]:
    """Make an import of that name fail."""
    stands_in = name not in sys.modules
    sys.modules.setdefault(name, ModuleType(name))
    try:
        yield
    finally:
        if stands_in:
            del sys.modules[name]


with _without("requests"):  # the web client opens a socket on import; the engine only needs it to fetch models
    import vosk

vosk.SetLogLevel(-1)


class SpeechModel(vosk.Model):  # type: ignore[misc]  # the engine has no types
    """The model; its folder is `path`. Not freed at the interpreter's exit, where freeing prints an error."""

    def __init__(self, path: Path) -> None:
        super().__init__(str(path))

    def knows(self, word: str) -> bool:
        """True if `word` is in the vocabulary. The graph's own symbols (#0, <eps>) are no words."""
        return bool(word) and word[0] not in "#<!" and int(self.vosk_model_find_word(word)) >= 0

    def __del__(self, ending: Callable[[], bool] = sys.is_finalizing) -> None:
        if not ending() and hasattr(self, "_handle"):
            super().__del__()


class Decoder(vosk.KaldiRecognizer):  # type: ignore[misc]
    """One decoder; not freed at the interpreter's exit."""

    def __del__(self, ending: Callable[[], bool] = sys.is_finalizing) -> None:
        if not ending() and hasattr(self, "_handle"):
            super().__del__()


@lru_cache(maxsize=1)
def load_model(folder: Path) -> SpeechModel:
    """Load the model with its own language model, for dictation. Raises: ModelMissing."""
    return _load(folder, None)


def model_with(folder: Path, graph: WordGraph, kept: Path | None = None) -> SpeechModel:
    """Load the model with the sentences of `graph` in place of its language model; reused while they stay the same.

    The compiled graph is cached in the folder `kept` for the next start; without one it is compiled each time.
    Raises: ModelMissing, BadGrammar naming words that the model lacks.
    """
    return _model_with(folder, graph, kept)


@lru_cache(maxsize=1)
def _model_with(folder: Path, graph: WordGraph, kept: Path | None) -> SpeechModel:
    model = _load(folder, graph, kept)
    _LOADED[folder] = model
    return model


def model_for_phrases(folder: Path) -> SpeechModel:
    """Return the model already loaded, whatever its sentences: a phrase list replaces them.

    Raises: ModelMissing.
    """
    return _LOADED.get(folder) or load_model(folder)


_LOADED: WeakValueDictionary[Path, SpeechModel] = WeakValueDictionary()


def _load(folder: Path, graph: WordGraph | None, kept: Path | None = None) -> SpeechModel:
    if not (folder / "am" / "final.mdl").is_file():
        raise ModelMissing(f"There is no speech model in {folder}. Fetch the model again.")
    try:
        with TemporaryDirectory(prefix="kitchenvoice-model-") as overlay:
            return SpeechModel(_overlaid(folder, Path(overlay), graph, kept))
    except BadGrammar:
        raise
    except Exception as exc:  # the engine raises nothing narrower
        raise ModelMissing(f"The speech model in {folder} can't be loaded. Fetch the model again.") from exc


def _overlaid(folder: Path, overlay: Path, graph: WordGraph | None, kept: Path | None) -> Path:
    """Fill `overlay` with links to the model's files and with our own search widths, sentences and sample rates.

    The engine reads these from the model's files and has no other way to set them.
    """
    _link(folder, overlay, {"conf", "graph"})
    _link(folder / "conf", overlay / "conf", {"model.conf", _FEATURES})
    features = (folder / "conf" / _FEATURES).read_text("utf-8").rstrip()
    (overlay / "conf" / _FEATURES).write_text(f"{features}\n{_ANY_RATE}\n", "utf-8")
    settings = (folder / "conf" / "model.conf").read_text("utf-8").splitlines()
    others = [line for line in settings if line.split("=")[0] not in SEARCH_WIDTHS]
    wide = [f"{name}={value}" for name, value in SEARCH_WIDTHS.items()]
    (overlay / "conf" / "model.conf").write_text("\n".join([*others, *wide]) + "\n", "utf-8")
    own = folder / "graph" / "Gr.fst"
    if graph is None:
        _link(folder / "graph", overlay / "graph", set())
    else:
        _link(folder / "graph", overlay / "graph", {own.name})
        _write(overlay / "graph" / own.name, graph, own, kept)
    return overlay


def _write(place: Path, graph: WordGraph, own: Path, kept: Path | None) -> None:
    """Write the graph's file, or copy it from the cache. Raises: BadGrammar."""
    name = "" if kept is None or not graph.fingerprint else _fingerprint(graph, own.parents[1])
    found = find_kept(kept, name) if kept is not None and name else None
    if found is not None:
        place.write_bytes(found)
        return
    write_graph(place, graph, _symbols(own))
    if kept is not None and name:
        keep(kept, name, place.read_bytes())


def _fingerprint(graph: WordGraph, folder: Path) -> str:
    """Cache key of the compiled graph: sentences, model and code; `""` if a file can't be read."""
    code = Path(__file__).parents[1].rglob("*.py")
    return content_hash([folder / RECORD, *code], graph.fingerprint)


def _link(folder: Path, place: Path, but: set[str]) -> None:
    place.mkdir(exist_ok=True)
    for part in folder.iterdir():
        if part.name not in but:
            (place / part.name).symlink_to(part)


@lru_cache(maxsize=1)
def _symbols(file: Path) -> SymbolTable:
    return SymbolTable(file)
