"""A file named with --out: its extension selects the format."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from kitchenvoice.errors import BadInput

if TYPE_CHECKING:
    from kitchenvoice.paper import Section

__all__ = ["PAPER_SIZES", "ending", "paper_option", "put_file", "put_page"]

PAPER_SIZES = ("letter", "a4")

paper_option = click.option(
    "--paper", type=click.Choice(PAPER_SIZES), help="For a PDF; letter where the profile's units are US, else A4."
)


def ending(out: Path, makers: Mapping[str, Callable[[], bytes]]) -> Callable[[], bytes]:
    """Return the writer for this ending, or none where there is one kind. Raises: BadInput naming the endings."""
    maker = makers.get(out.suffix.lower()) or (
        next(iter(makers.values())) if len(makers) == 1 and not out.suffix else None
    )
    if maker is None:
        *rest, last = makers
        endings = f"{', '.join(rest)} or {last}" if rest else last
        raise BadInput(f"The name {out.name} doesn't tell what to write. End it with {endings}.")
    return maker


def put_page(out: Path, title: str, sections: Sequence[Section], paper: str, **more: Callable[[], bytes]) -> None:
    """Write a page as .pdf or .html, or as what `more` makes by its ending. Raises: BadInput."""

    def html() -> bytes:
        from kitchenvoice.paper.html import html_page

        return html_page(title, sections).encode()

    def pdf() -> bytes:
        from kitchenvoice.paper.pdf import pdf_sheets

        return pdf_sheets(title, sections, paper)

    put_file(out, {".pdf": pdf, ".html": html} | {f".{ending}": maker for ending, maker in more.items()})


def put_file(out: Path, makers: Mapping[str, Callable[[], bytes]]) -> None:
    """Write the file, whole or not at all, and say so on standard error. Raises: BadInput."""
    from kitchenvoice.kitchen.folder import write_paper

    content = ending(out, makers)()
    try:
        write_paper(out, content)
    except OSError as exc:
        raise BadInput(f"{out} can't be written: {exc.strerror}. Name another file with --out.") from exc
    tail = " Print it at actual size." if out.suffix.lower() == ".pdf" else ""
    click.echo(f"Written to {out}.{tail}", err=True)
