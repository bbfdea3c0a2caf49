"""The page: a view as HTML. Changed parts are sent again; the page itself fills in the clocks.

Pure. Every word is escaped by `_text`, so that nothing heard or named can become markup.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from html import escape

from kitchenvoice.board.clocks import ClockFace, face
from kitchenvoice.board.particulars import Particular
from kitchenvoice.board.texts import Labels, load_labels
from kitchenvoice.board.view import CallView, LoadView, View

__all__ = ["REGIONS", "code_page", "left_of", "page", "regions"]

REGIONS = ("notice", "calls", "asked", "loads", "say", "talk")
"""The ids of the parts that change."""
_BLANK = "–:––"
_MOST_LIDS = 24


def page(view: View) -> str:
    """Return the whole page, readable without scripts; it is then reloaded every two seconds."""
    labels = load_labels()
    parts = regions(view, times=True)
    looks = "".join(
        f'<button type="button" data-look="{look}" aria-pressed="{"true" if look == "auto" else "false"}">'
        f"{_text(labels('board', look))}</button>"
        for look in ("auto", "light", "dark")
    )
    return _document(
        labels("board", "title"),
        f"""<header>
<h1>{_text(labels("board", "title"))}</h1>
<p id="live" hidden>{_text(labels("board", "live"))}</p>
<noscript><p>{_text(labels("board", "as_of"))}</p></noscript>
<div id="looks" role="group" aria-label="{_text(labels("board", "looks"))}" hidden>{looks}</div>
</header>
<div id="notice" role="alert">{parts["notice"]}</div>
<main>
<section id="calls" aria-label="{_text(labels("board", "calls"))}">{parts["calls"]}</section>
<section id="asked" aria-label="{_text(labels("board", "asked"))}">{parts["asked"]}</section>
<section id="loads" aria-label="{_text(labels("board", "loads"))}">{parts["loads"]}</section>
</main>
<aside aria-label="{_text(labels("board", "talk"))}">
<section id="say">{parts["say"]}</section>
<section id="talk">{parts["talk"]}</section>
</aside>
<p id="step-told" class="told" aria-live="polite"></p>
<p id="call-told" class="told" aria-live="assertive"></p>""",
        head='<noscript><meta http-equiv="refresh" content="2"></noscript>\n<script src="/board.js" defer></script>',
        body=f'data-lost="{_text(labels("stale", "lost"))}" data-ended="{_text(labels("stale", "ended"))}"'
        f' class="{"" if view.live else "stale"}"',
    )


def code_page(*, wrong: bool = False, shut_s: float = 0.0) -> str:
    """Return the page that asks for the access code."""
    labels = load_labels()
    said = ""
    if shut_s > 0:
        said = labels("access", "shut", seconds=max(1, round(shut_s)))
    elif wrong:
        said = labels("access", "wrong")
    alert = f'<p id="wrong" role="alert">{_text(said)}</p>' if said else ""
    return _document(
        labels("access", "title"),
        f"""<main class="access">
<h1>{_text(labels("access", "title"))}</h1>
<p>{_text(labels("access", "ask"))}</p>
{alert}<form method="post" action="/enter">
<label for="code">{_text(labels("access", "label"))}</label>
<input id="code" name="code" inputmode="numeric" autocomplete="one-time-code" required autofocus>
<button>{_text(labels("access", "enter"))}</button>
</form>
</main>""",
    )


def _document(title: str, content: str, head: str = "", body: str = "") -> str:
    return f"""<!doctype html>
<html lang="{load_labels().language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{_text(title)}</title>
<link rel="stylesheet" href="/board.css">
<link rel="stylesheet" href="/dark.css" id="dark" media="(prefers-color-scheme: dark)">
<link rel="icon" href="/icon.svg" type="image/svg+xml">
{head}
</head>
<body {body}>
{content}
</body>
</html>
"""


def regions(view: View, *, times: bool) -> Mapping[str, str]:
    """Return the parts that change. Without `times` the clocks are blank: a part stays the same while time runs."""
    labels = load_labels()
    return {
        "notice": _text(view.notice),
        "calls": "".join(_call(call, view.live, labels) for call in view.calls),
        "asked": _asked(view, labels),
        "loads": "".join(_loads(view, labels, times=times)),
        "say": _say(view, labels),
        "talk": _talk(view, labels),
    }


def left_of(view: View) -> Mapping[str, tuple[float, float]]:
    """Return the seconds left and the whole seconds of each running clock, by its id."""
    clocks = [*view.timers, *(clock for load in view.loads for clock in load.clocks)]
    return {clock.id: (round(clock.left_s, 3), clock.total_s) for clock in clocks if clock.left_s is not None}


# ---------------------------------------------------------------- calls


def _call(call: CallView, live: bool, labels: Labels) -> str:
    name = f'<span class="whose">{_text(call.name)}</span> ' if call.name else ""
    do = f'<span class="do">{_text(call.do)}</span> ' if call.do else ""
    age = f'<span class="age">{_text(call.age)}</span>' if call.age else ""
    return f"""<article class="call">
<div><h2>{name}{_text(call.text)}</h2><p>{do}{age}</p></div>
<form method="post" action="/answered"><input type="hidden" name="key" value="{_text(call.key)}">
<button{"" if live else " disabled"}>{_text(labels("board", "answered"))}</button></form>
</article>"""


# ---------------------------------------------------------------- loads


def _loads(view: View, labels: Labels, *, times: bool) -> Iterator[str]:
    several = len(view.loads) > 1 or bool(view.timers)
    for load in view.loads:
        yield _load(load, labels, times=times)
    for clock in view.timers:
        yield f'<article class="load timer">{_clock(clock, times=times)}</article>'
    if not view.loads and not several and view.attention:
        yield f"""<article class="load idle"><h2>{_text(labels("board", "idle"))}</h2>
<p class="step">{_text(labels("board", "idle_say", attention=view.attention))}</p></article>"""


def _load(load: LoadView, labels: Labels, *, times: bool) -> str:
    here = f'<p class="here">{_text(labels("board", "this_load"))}</p>' if load.here else ""
    mark = '<span class="mark" aria-hidden="true">!</span> ' if load.amiss else ""
    lids = "" if load.packed is None else _lids(*load.packed)
    caution = ""
    if load.caution:
        caution = f'<p class="caution"><strong>{_text(labels("board", "caution"))}</strong> {_text(load.caution)}</p>'
    clocks = "".join(_clock(clock, times=times) for clock in load.clocks)
    number = labels("board", "load", number=load.number)
    return f"""<article class="load{" here-now" if load.here else ""}{" timed" if clocks else ""}">
<div class="head">
<p class="lid"><span class="told">{_text(number)}</span><span aria-hidden="true">{load.number}</span></p>
<div><h2>{_text(load.name)}</h2><p class="detail">{_text(load.detail)}</p></div>
<div class="state"><p class="stage{" amiss" if load.amiss else ""}">{mark}{_text(load.stage)}</p>{here}</div></div>
<div class="body">{clocks}<div class="words">{caution}<p class="step">{_text(load.step)}</p>{lids}</div></div>
<dl>{"".join(_particular(each) for each in load.particulars)}</dl>
</article>"""


def _lids(packed: int, planned: int) -> str:
    """Draw a lid for each jar, full for those packed; the same in words is among the particulars."""
    if packed < 1:
        return ""
    full = '<i class="full"></i>' * min(packed, _MOST_LIDS)
    return f'<p class="lids" aria-hidden="true">{full}{"<i></i>" * (min(planned, _MOST_LIDS) - packed)}</p>'


def _particular(each: Particular) -> str:
    age = f' <span class="age">{_text(each.age)}</span>' if each.age else ""
    mark = '<span class="mark" aria-hidden="true">!</span> ' if each.alert else ""
    alert = ' class="alert"' if each.alert else ""
    return f"<div{alert}><dt>{_text(each.label)}</dt><dd>{mark}{_text(each.value)}{age}</dd></div>"


def _clock(clock: ClockFace, *, times: bool) -> str:
    if clock.left_s is None:
        label = f'<p class="label">{_text(clock.label)}</p>' if clock.label else ""
        return f'<div class="clock still"><p class="note">{_text(clock.note)}</p>{label}</div>'
    written = face(clock.left_s)
    unit = written[0][1] if times and len(written) == 1 else ""
    label = f'<p class="label"><span class="unit">{unit}</span> {_text(clock.label)}</p>'
    figures = _figures(written) if times else f"<b>{_BLANK}</b>"
    gone = f' value="{max(0.0, clock.total_s - clock.left_s):.0f}"' if times else ""
    return (
        f'<div class="clock" role="timer" data-clock="{_text(clock.id)}">'
        f'<p class="time" data-signs="{_signs(written) if times else 5}">{figures}</p>'
        f'<progress aria-hidden="true" max="{clock.total_s:g}"{gone}></progress>{label}</div>'
    )


def _figures(written: tuple[tuple[str, str], ...]) -> str:
    """Write the figures large; a single unit goes below, into the label, several go beside them."""
    if len(written) == 1:
        return f"<b>{written[0][0]}</b>"
    return "".join(f"<b>{figures}</b><small>{unit}</small>" for figures, unit in written)


def _signs(written: tuple[tuple[str, str], ...]) -> int:
    """Return the width of a time in characters: the style makes a wide one a little smaller."""
    return 6 if len(written) > 1 or len(written[0][0]) > 5 else 5


# ---------------------------------------------------------------- the talk


def _asked(view: View, labels: Labels) -> str:
    if not view.question:
        return ""
    answer = f"<p>{_text(labels('board', 'answer', answers=view.answers))}</p>" if view.answers else ""
    return f"""<p class="ask" aria-hidden="true">?</p>
<div><h2>{_text(view.question)}</h2>{answer}</div>"""


def _say(view: View, labels: Labels) -> str:
    if view.asleep:
        return f"<h2>{_text(labels('board', 'asleep', attention=view.attention))}</h2>"
    if not view.phrases:
        return ""
    items = "".join(f"<li>{_text(phrase)}</li>" for phrase in view.phrases)
    return f"<h2>{_text(labels('board', 'say', attention=view.attention))}</h2><ul>{items}</ul>"


def _talk(view: View, labels: Labels) -> str:
    heard = labels("board", "nothing_heard") if view.heard is None else view.heard.text
    taken = view.heard is None or view.heard.taken
    not_taken = "" if taken else f" <em>({_text(labels('board', 'not_taken'))})</em>"
    said = labels("board", "nothing_said") if view.said is None else view.said.text
    trouble = ""
    if view.trouble:
        trouble = f'<h2><span class="mark" aria-hidden="true">!</span> {_text(labels("board", "trouble"))}</h2>'
        trouble += f"<p>{_text(view.trouble)}</p>"
    return f"""{trouble}<h2>{_text(labels("board", "heard"))}</h2><p class="heard">{_text(heard)}{not_taken}</p>
<h2>{_text(labels("board", "said"))}</h2><p class="said">{_text(said)}</p>"""


def _text(words: str) -> str:
    return escape(words, quote=True)
