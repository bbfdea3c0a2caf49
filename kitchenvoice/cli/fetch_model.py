"""`kitchenvoice fetch-model`: bring the speech model, and that of an installed second engine; check both."""

from __future__ import annotations

import zipfile
from pathlib import Path

import click

from kitchenvoice.errors import ModelMissing
from kitchenvoice.terminal import complain

__all__ = ["fetch_model_command"]

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command("fetch-model")
@click.option("--from", "given", type=_FILE, multiple=True, help="The archive of a model, already here: no network.")
@click.option("--into", type=click.Path(path_type=Path, file_okay=False), help="Another folder of models than yours.")
@click.option("--record", metavar="NAME", help="Note the files of another language's model, unpacked there.")
@click.option("--manifest", type=_FILE, hidden=True, help="Another list of models.")
@click.option("--installer", hidden=True, help="What installs the Debian packages named to it, where mvn is lacking.")
def fetch_model_command(
    given: tuple[Path, ...], into: Path | None, record: str | None, manifest: Path | None, installer: str | None
) -> int:
    """Bring the speech model and check it. Does nothing where it is whole. Afterwards no network is needed.

    The second engine's model comes too if the packages that run it are installed (the extra "second").
    """
    from kitchenvoice.hearing.recognise.model_store import models_folder
    from kitchenvoice.kitchen.folder import home

    try:
        folder = into or models_folder()
        if into is None:
            home()
        if record is not None:
            _record(folder / record)
        else:
            _fetch(given, folder.absolute(), manifest, installer)
    except (OSError, zipfile.BadZipFile) as exc:
        raise ModelMissing(
            f"The model could not be unpacked: {exc}. Put that right and run kitchenvoice fetch-model again."
        ) from exc
    except SystemExit as end:  # a wish to end
        complain("Stopped; nothing was left half done.")
        return int(end.code or 0)
    return 0


def _fetch(given: tuple[Path, ...], into: Path, manifest: Path | None, installer: str | None) -> None:
    from kitchenvoice.hearing.recognise.manifest import SECOND, read_manifest
    from kitchenvoice.hearing.recognise.model_fetch import fetch_model, model_in
    from kitchenvoice.hearing.recognise.whisper_rescorer import runtime_is_installed

    models = read_manifest(manifest)
    for file in given:
        role, archive = model_in(file, models)
        fetch_model(role, models[role], into, (file, archive))
    for role, model in models.items() if not given else ():
        if role != SECOND or runtime_is_installed():
            fetch_model(role, model, into, installer=installer)


def _record(folder: Path) -> None:
    """Note size and SHA-256 of every file of a model that was brought by hand: nothing vouches for it but its owner."""
    from kitchenvoice.hearing.recognise.model_store import verified_folder, write_record

    if not folder.is_dir():
        raise ModelMissing(f"There is no folder {folder}. Unpack the model there.")
    write_record(folder, "brought by hand")
    complain(f"Noted as it is now, to be compared at every start: {verified_folder(folder)}")
