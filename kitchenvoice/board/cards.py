"""The loads as HTML: a card for each, with its clocks, its particulars and the plot of its hold.

Of up to two loads each has a large card; of more the most urgent alone, and the others are compact: they show less, but
have the same words for a screen reader.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from kitchenvoice.board.clocks import ClockFace, face
from kitchenvoice.board.history import Plot
from kitchenvoice.board.particulars import Particular
from kitchenvoice.board.texts import Labels
from kitchenvoice.board.view import LoadView, View

__all__ = ["escaped", "load_cards"]

_BLANK = "–:––"
_MOST_LIDS = 24
_MOST_LARGE = 2
_PLOT = (300, 60)
"""Width and height of a plot, in its own units."""


def escaped(words: str) -> str:
    """Return words that can become no markup."""
    return escape(words, quote=True)


def load_cards(view: View, labels: Labels, *, times: bool) -> str:
    """Return the cards of the loads and the clocks of the kitchen timers, the large ones first."""
    many = len(view.loads) > _MOST_LARGE
    large = [load for load in view.loads if load.lead or not many]
    small = [_load(load, labels, times=times) for load in view.loads if load not in large]
    timers = [_timer(clock, times=times) for clock in view.timers]
    if not view.loads:
        return "".join(timers) or _idle(view, labels)
    others = f'<div class="others">{"".join([*small, *timers])}</div>' if small or timers else ""
    return "".join(_load(load, labels, times=times) for load in large) + others


def _timer(clock: ClockFace, *, times: bool) -> str:
    clock_of_it = _clock(clock, times=times)
    return f'<article class="load small timer" aria-label="{escaped(clock.label)}">{clock_of_it}</article>'


def _idle(view: View, labels: Labels) -> str:
    if not view.attention:
        return ""
    return f"""<article class="load idle"><h2>{escaped(labels("board", "idle"))}</h2>
<p class="step">{escaped(labels("board", "idle_say", attention=view.attention))}</p></article>"""


def _load(load: LoadView, labels: Labels, *, times: bool) -> str:
    here = f'<p class="here">{escaped(labels("board", "this_load"))}</p>' if load.here else ""
    mark = '<span class="mark" aria-hidden="true">!</span> ' if load.amiss else ""
    lids = "" if load.packed is None else _lids(*load.packed)
    caution = ""
    if load.caution:
        words = f"<strong>{escaped(labels('board', 'caution'))}</strong> {escaped(load.caution)}"
        caution = f'<p class="caution">{words}</p>'
    clocks = "".join(_clock(clock, times=times) for clock in load.clocks) or _jars(load, labels)
    kinds = ["load", "lead" if load.lead else "small", *(["here-now"] if load.here else [])]
    kinds += ["timed"] if any(clock.left_s is not None for clock in load.clocks) else []
    whole_name = f"{labels('board', 'load', number=load.number)}: {load.name}"
    return f"""<article class="{" ".join(kinds)}" aria-label="{escaped(whole_name)}">
<div class="head">
<p class="lid" aria-hidden="true">{load.number}</p>
<div class="name"><h2>{escaped(load.name)}</h2><p class="detail">{escaped(load.detail)}</p></div>
<div class="state"><p class="stage{" amiss" if load.amiss else ""}">{mark}{escaped(load.stage)}</p>{here}</div></div>
<div class="body">{clocks}<div class="words">{caution}<p class="step">{escaped(load.step)}</p>{lids}</div></div>
<div class="facts">{_plot(load.plot, labels)}<dl>{_particulars(load.particulars)}</dl></div>
</article>"""


def _jars(load: LoadView, labels: Labels) -> str:
    """Write the jars where a compact card has no clock; they are among the particulars as well."""
    jars = next((each.value for each in load.particulars if each.label == labels("facts", "jars")), "")
    return f'<p class="jars" aria-hidden="true">{escaped(jars)}</p>'


def _lids(packed: int, planned: int) -> str:
    """Draw a lid for each jar, full for those packed; the same in words is among the particulars."""
    if packed < 1:
        return ""
    full = '<i class="full"></i>' * min(packed, _MOST_LIDS)
    return f'<p class="lids" aria-hidden="true">{full}{"<i></i>" * (min(planned, _MOST_LIDS) - packed)}</p>'


def _particulars(all_of_them: Iterable[Particular]) -> str:
    return "".join(_particular(each) for each in all_of_them)


def _particular(each: Particular) -> str:
    age = f' <span class="age">{escaped(each.age)}</span>' if each.age else ""
    mark = '<span class="mark" aria-hidden="true">!</span> ' if each.alert else ""
    alert = ' class="alert"' if each.alert else ""
    return f"<div{alert}><dt>{escaped(each.label)}</dt><dd>{mark}{escaped(each.value)}{age}</dd></div>"


# ---------------------------------------------------------------- plot


def _plot(plot: Plot | None, labels: Labels) -> str:
    """Draw the target as a dashed line, each try as a bar (thin while it counts), readings as dots, losses crossed."""
    if plot is None:
        return ""
    width, height = _PLOT
    target = "" if plot.target is None else _line("target", 0, plot.target * height, width, plot.target * height)
    tries = [("run", run) for run in plot.runs] + ([] if plot.ahead is None else [("ahead", plot.ahead)])
    runs = "".join(_line(kind, a * width, height - 3, b * width, height - 3) for kind, (a, b) in tries)
    between = " ".join(f"{x * width:.1f},{y * height:.1f}" for x, y in plot.dots)
    dots = "".join(f'<circle cx="{x * width:.1f}" cy="{y * height:.1f}" r="4"/>' for x, y in plot.dots)
    drops = "".join(_cross(x * width, height - 3) for x in plot.drops)
    title = f'<span class="label">{escaped(labels("history", "title"))}</span>'
    return f"""<figure class="plot"><svg viewBox="-6 -6 {width + 12} {height + 12}" aria-hidden="true">\
{target}{runs}<polyline points="{between}"/>{dots}{drops}</svg>
<figcaption>{title} {escaped(plot.words)}</figcaption></figure>"""


def _line(kind: str, x1: float, y1: float, x2: float, y2: float) -> str:
    return f'<line class="{kind}" x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"/>'


def _cross(x: float, y: float) -> str:
    return _line("drop", x - 6, y - 6, x + 6, y + 6) + _line("drop", x - 6, y + 6, x + 6, y - 6)


# ---------------------------------------------------------------- clocks


def _clock(clock: ClockFace, *, times: bool) -> str:
    if clock.left_s is None:
        label = f'<p class="label">{escaped(clock.label)}</p>' if clock.label else ""
        return f'<div class="clock still"><p class="note">{escaped(clock.note)}</p>{label}</div>'
    written = face(clock.left_s)
    unit = written[0][1] if times and len(written) == 1 else ""
    label = f'<p class="label"><span class="unit">{unit}</span> {escaped(clock.label)}</p>'
    figures = _figures(written) if times else f"<b>{_BLANK}</b>"
    gone = f' value="{max(0.0, clock.total_s - clock.left_s):.0f}"' if times else ""
    ends = '<p class="ends"></p>' if clock.sure else ""
    return (
        f'<div class="clock" role="timer" data-clock="{escaped(clock.id)}">'
        f'<p class="time" data-signs="{_signs(written) if times else 5}">{figures}</p>'
        f'<progress aria-hidden="true" max="{clock.total_s:g}"{gone}></progress>{label}{ends}</div>'
    )


def _figures(written: tuple[tuple[str, str], ...]) -> str:
    """Write the figures large; a single unit goes below, into the label, several go beside them."""
    if len(written) == 1:
        return f"<b>{written[0][0]}</b>"
    return "".join(f"<b>{figures}</b><small>{unit}</small>" for figures, unit in written)


def _signs(written: tuple[tuple[str, str], ...]) -> int:
    """Return the width of a time in characters: the style makes a wide one a little smaller."""
    return 6 if len(written) > 1 or len(written[0][0]) > 5 else 5
