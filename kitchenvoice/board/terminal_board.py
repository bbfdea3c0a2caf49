"""The board in the terminal: in the upper part of the screen, with the talk scrolling below it."""

from __future__ import annotations

import logging
import shutil
import threading
from collections.abc import Callable
from io import StringIO

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.panel import Panel
from rich.progress_bar import ProgressBar
from rich.table import Table
from rich.text import Text

from kitchenvoice.board.clocks import ClockFace, face
from kitchenvoice.board.latest import LatestSnapshot
from kitchenvoice.board.texts import Labels, load_labels
from kitchenvoice.board.view import LoadView, View

__all__ = ["TerminalBoard", "draw"]

_log = logging.getLogger(__name__)

_LOOK_S = 0.25
_TALK_LINES = 8
_LEAST_LINES = 16
_BIG = {
    "0": ("█▀█", "█ █", "▀▀▀"), "1": ("▄█ ", " █ ", "▀▀▀"), "2": ("▀▀█", "█▀▀", "▀▀▀"), "3": ("▀▀█", " ▀█", "▀▀▀"),
    "4": ("█ █", "▀▀█", "  ▀"), "5": ("█▀▀", "▀▀█", "▀▀▀"), "6": ("█▀▀", "█▀█", "▀▀▀"), "7": ("▀▀█", "  █", "  ▀"),
    "8": ("█▀█", "█▀█", "▀▀▀"), "9": ("█▀█", "▀▀█", "▀▀▀"), ":": ("▄", "▄", " "),
}  # fmt: skip


def draw(view: View, width: int) -> list[str]:
    """Return the view as coloured lines for a terminal of that width."""
    labels = load_labels(view.language)
    console = Console(file=StringIO(), force_terminal=True, width=width, color_system="standard", legacy_windows=False)
    with console.capture() as captured:
        console.print(_whole(view, labels))
    return captured.get().splitlines()


def _whole(view: View, labels: Labels) -> RenderableType:
    parts: list[RenderableType] = []
    if view.notice:
        parts.append(Panel(Text(view.notice, "bold"), style="reverse"))
    for call in view.calls:
        words = f"{call.name + ': ' if call.name else ''}{call.text}. {call.do}"
        parts.append(
            Panel(Text.assemble((words, "bold"), f"  {call.age}"), title=labels("board", "calls"), style="red")
        )
    parts.extend(_load(load, labels) for load in view.loads)
    parts.extend(_clock(clock) for clock in view.timers)
    if not view.loads and view.attention:
        parts.append(Text(f"{labels('board', 'idle')} {labels('board', 'idle_say', attention=view.attention)}"))
    parts.append(Padding(_talk(view, labels), (0, 1)))
    return Group(*parts)


def _load(load: LoadView, labels: Labels) -> RenderableType:
    here = f" · {labels('board', 'this_load')}" if load.here else ""
    title = f"{labels('board', 'load', number=load.number)}: {load.name} · {load.stage}{here}"
    caution = ((f"{labels('board', 'caution')}: {load.caution} ", "bold yellow"),) if load.caution else ()
    step = Text.assemble(*caution, (load.step, "bold"))
    each = Text()
    for part in load.particulars:
        value = f"{'! ' if part.alert else ''}{part.value}{', ' + part.age if part.age else ''}"
        each.append(f"{part.label} ", "dim").append(value, "bold red" if part.alert else "").append("   ")
    if load.plot is not None:
        each.append(f"{labels('history', 'title')} ", "dim").append(load.plot.words)
    columns = Table.grid(padding=(0, 3), expand=True)
    columns.add_column()
    columns.add_column(ratio=1)
    clocks = Group(*map(_clock, load.clocks)) if load.clocks else Text("")
    columns.add_row(clocks, Group(step, Text(""), each))
    return Panel(columns, title=title, title_align="left", subtitle=load.detail, subtitle_align="right")


def _clock(clock: ClockFace) -> RenderableType:
    if clock.left_s is None:
        return Text(f"{clock.label} {clock.note}".strip(), "bold")
    lines = ["", "", ""]
    for figures, unit in face(clock.left_s):
        for row in range(3):
            big = " ".join(_BIG[sign][row] for sign in figures)
            lines[row] += f"{big} {unit if row == 2 else ' ' * len(unit)} "
    bar = ProgressBar(total=max(1.0, clock.total_s), completed=clock.total_s - clock.left_s, width=24)
    return Group(Text("\n".join(line.rstrip() for line in lines)), bar, Text(clock.label, "dim"))


def _talk(view: View, labels: Labels) -> RenderableType:
    rows = Table.grid(padding=(0, 2))
    rows.add_column(style="dim")
    rows.add_column()
    if view.trouble:
        rows.add_row(labels("board", "trouble"), Text(view.trouble, "bold"))
    if view.heard is not None:
        not_taken = "" if view.heard.taken else f"  ({labels('board', 'not_taken')})"
        rows.add_row(labels("board", "heard"), Text(view.heard.text + not_taken))
    if view.said is not None:
        rows.add_row(labels("board", "said"), Text(view.said.text))
    if view.question:
        rows.add_row(
            labels("board", "asked"), Text(f"{view.question} {labels('board', 'answer', answers=view.answers)}")
        )
    if view.asleep:
        rows.add_row("", Text(labels("board", "asleep", attention=view.attention), "bold"))
    elif view.phrases:
        rows.add_row(labels("board", "say", attention=view.attention), Text(" · ".join(view.phrases)))
    return rows


class TerminalBoard:
    """Redraw the view in the upper part of the terminal; output and input scroll in the lower part.

    `write` puts text on the terminal in one piece. It runs in its own thread, so a blocked terminal blocks nobody else.
    """

    def __init__(self, latest: LatestSnapshot, write: Callable[[str], None]) -> None:
        self._latest = latest
        self._write = write
        self._ended = threading.Event()
        self._lines: list[str] = []
        self._size = (0, 0)
        self._thread = threading.Thread(target=self._work, name="terminal board", daemon=True)

    def start(self) -> None:
        """Start drawing. Returns at once."""
        self._thread.start()

    def close(self, patience_s: float = 1.0) -> None:
        """Restore the terminal."""
        self._ended.set()
        if self._thread.is_alive():
            self._thread.join(patience_s)

    def _work(self) -> None:
        try:
            while not self._ended.wait(_LOOK_S):
                self._write(self.frame(shutil.get_terminal_size()))
            self._write(f"\x1b[r\x1b[{self._size[1]};1H\n")
        except (OSError, ValueError):
            _log.info("the board in the terminal is left", exc_info=True)

    def frame(self, size: tuple[int, int]) -> str:
        """Return the output that updates a terminal of (columns, lines); `""` if nothing changed."""
        columns, rows = size
        room = max(1, rows - _TALK_LINES) if rows >= _LEAST_LINES else max(1, rows // 2)
        lines = draw(self._latest.look(), columns)[:room]
        lines += [""] * (room - len(lines))
        fresh = size != self._size
        changed = [row for row, line in enumerate(lines) if fresh or self._lines[row] != line]
        begin = f"\x1b[2J\x1b[{room + 1};{rows}r\x1b[{rows};1H" if fresh else ""
        self._lines, self._size = lines, size
        if not changed:
            return ""
        drawn = "".join(f"\x1b[{row + 1};1H\x1b[2K{lines[row]}" for row in changed)
        return f"{begin}\x1b7{drawn}\x1b[0m\x1b8"
