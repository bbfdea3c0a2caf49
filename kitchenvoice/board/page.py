"""The page: a view as HTML. Changed parts are sent again; the page itself fills in the clocks.

Pure. Every word is escaped by `escaped`, so that nothing heard or named can become markup.
"""

from __future__ import annotations

from collections.abc import Mapping

from kitchenvoice.board.cards import escaped, load_cards
from kitchenvoice.board.texts import Labels, load_labels
from kitchenvoice.board.view import CallView, View

__all__ = ["code_page", "left_of", "page", "regions"]


def page(view: View) -> str:
    """Return the whole page, readable without scripts; it is then reloaded every two seconds."""
    labels = load_labels(view.language)
    parts = regions(view, times=True)
    looks = "".join(
        f'<button type="button" data-look="{look}" aria-pressed="{"true" if look == "auto" else "false"}">'
        f"{escaped(labels('board', look))}</button>"
        for look in ("auto", "light", "dark")
    )
    return _document(
        labels,
        labels("board", "title"),
        f"""<header>
<h1>{escaped(labels("board", "title"))}</h1>
<p id="live" hidden>{escaped(labels("board", "live"))}</p>
<noscript><p>{escaped(labels("board", "as_of"))}</p></noscript>
<div id="looks" role="group" aria-label="{escaped(labels("board", "looks"))}" hidden>
<span aria-hidden="true">{escaped(labels("board", "looks"))}:</span>{looks}</div>
</header>
<div id="notice" role="alert">{parts["notice"]}</div>
<main>
<section id="calls" aria-label="{escaped(labels("board", "calls"))}">{parts["calls"]}</section>
<section id="asked" aria-label="{escaped(labels("board", "asked"))}">{parts["asked"]}</section>
<section id="loads" aria-label="{escaped(labels("board", "loads"))}">{parts["loads"]}</section>
</main>
<aside aria-label="{escaped(labels("board", "talk"))}">
<section id="say">{parts["say"]}</section>
<section id="talk">{parts["talk"]}</section>
</aside>
<p id="step-told" class="told" aria-live="polite"></p>
<p id="call-told" class="told" aria-live="assertive"></p>""",
        head='<noscript><meta http-equiv="refresh" content="2"></noscript>\n<script src="/board.js" defer></script>',
        body=f'data-lost="{escaped(labels("stale", "lost"))}" data-ended="{escaped(labels("stale", "ended"))}"'
        f' data-ends="{escaped(labels("clock", "ends", time="{time}"))}"'
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
    alert = f'<p id="wrong" role="alert">{escaped(said)}</p>' if said else ""
    return _document(
        labels,
        labels("access", "title"),
        f"""<main class="access">
<h1>{escaped(labels("access", "title"))}</h1>
<p>{escaped(labels("access", "ask"))}</p>
{alert}<form method="post" action="/enter">
<label for="code">{escaped(labels("access", "label"))}</label>
<input id="code" name="code" inputmode="numeric" autocomplete="one-time-code" required autofocus>
<button>{escaped(labels("access", "enter"))}</button>
</form>
</main>""",
    )


def _document(labels: Labels, title: str, content: str, head: str = "", body: str = "") -> str:
    return f"""<!doctype html>
<html lang="{labels.language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{escaped(title)}</title>
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
    labels = load_labels(view.language)
    return {
        "notice": escaped(view.notice),
        "calls": "".join(_call(call, view.live, labels) for call in view.calls),
        "asked": _asked(view, labels),
        "loads": load_cards(view, labels, times=times),
        "say": _say(view, labels),
        "talk": _talk(view, labels),
    }


def left_of(view: View) -> Mapping[str, tuple[float, float]]:
    """Return the seconds left and the whole seconds of each running clock, by its id."""
    clocks = [*view.timers, *(clock for load in view.loads for clock in load.clocks)]
    return {clock.id: (round(clock.left_s, 3), clock.total_s) for clock in clocks if clock.left_s is not None}


# ---------------------------------------------------------------- calls


def _call(call: CallView, live: bool, labels: Labels) -> str:
    name = f'<span class="whose">{escaped(call.name)}</span> ' if call.name else ""
    do = f'<span class="do">{escaped(call.do)}</span> ' if call.do else ""
    age = f'<span class="age">{escaped(call.age)}</span>' if call.age else ""
    return f"""<article class="call">
<div><h2>{name}{escaped(call.text)}</h2><p>{do}{age}</p></div>
<form method="post" action="/answered"><input type="hidden" name="key" value="{escaped(call.key)}">
<button{"" if live else " disabled"}>{escaped(labels("board", "answered"))}</button></form>
</article>"""


# ---------------------------------------------------------------- the talk


def _asked(view: View, labels: Labels) -> str:
    if not view.question:
        return ""
    answer = f"<p>{escaped(labels('board', 'answer', answers=view.answers))}</p>" if view.answers else ""
    return f"""<p class="ask" aria-hidden="true">?</p>
<div><h2>{escaped(view.question)}</h2>{answer}</div>"""


def _say(view: View, labels: Labels) -> str:
    if view.asleep:
        return f"<h2>{escaped(labels('board', 'asleep', attention=view.attention))}</h2>"
    if not view.phrases:
        return ""
    items = "".join(f"<li>{escaped(labels('board', 'phrase', phrase=phrase))}</li>" for phrase in view.phrases)
    return f"<h2>{escaped(labels('board', 'say', attention=view.attention))}</h2><ul>{items}</ul>"


def _talk(view: View, labels: Labels) -> str:
    heard = labels("board", "nothing_heard") if view.heard is None else view.heard.text
    taken = view.heard is None or view.heard.taken
    not_taken = "" if taken else f" <em>({escaped(labels('board', 'not_taken'))})</em>"
    said = labels("board", "nothing_said") if view.said is None else view.said.text
    trouble = ""
    if view.trouble:
        trouble = f'<h2><span class="mark" aria-hidden="true">!</span> {escaped(labels("board", "trouble"))}</h2>'
        trouble += f"<p>{escaped(view.trouble)}</p>"
    return f"""{trouble}<h2>{escaped(labels("board", "heard"))}</h2><p class="heard">{escaped(heard)}{not_taken}</p>
<h2>{escaped(labels("board", "said"))}</h2><p class="said">{escaped(said)}</p>"""
