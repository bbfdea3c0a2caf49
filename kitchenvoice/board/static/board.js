// The board's page: shows the server's messages, counts the clocks on in between, and removes stale ones: no message for two
// seconds, or a message two seconds old on arrival.
(() => {
  "use strict";
  const STALE_MS = 2000; // with LOOK_MS and a message each half second: told within three seconds
  const LOOK_MS = 200;
  const RETRY_MS = 700;
  const HANGS_MS = 4000;
  const FOLLOW = 0.001; // how fast the shortest delay is forgotten, so that clocks may drift apart: 1 ms a second
  const MINUTE_MS = 60000;
  const END_MOVES_MS = 3000; // an end that moves by less is the same: the clocks jitter
  const [LEAST_FIT, MOST_FIT] = [0.6, 1.35];
  const NARROW_PX = 640;
  const ROOM_PX = 640; // in a lower window, as one zoomed in has, text keeps its size, and the page scrolls
  const byId = (id) => document.getElementById(id);
  const body = document.body;
  const root = document.documentElement;

  let source = null;
  let retry = 0;
  let silent = Infinity; // ms since the last message that was in time
  let wall = Date.now();
  let ticks = performance.now();
  let quickest = Infinity; // the shortest delay seen, on clocks that don't agree
  let quickestAt = 0;
  let live = false; // what the server says of itself
  let notice = ""; // and its words for it
  let clocks = {}; // id: [seconds left, seconds in all, when that was so]
  let over = false;
  let begun = false;
  let fitted = false;

  // ------------------------------------------------------------ time

  const face = (left) => {
    const seconds = Math.max(0, Math.ceil(left));
    const two = (number) => String(number).padStart(2, "0");
    if (seconds <= 10800) return [[`${Math.floor(seconds / 60)}:${two(seconds % 60)}`, "min"]];
    const minutes = Math.ceil(seconds / 60);
    return [[String(Math.floor(minutes / 60)), "h"], [two(minutes % 60), "min"]];
  };

  const drawClock = (element) => {
    const known = clocks[element.dataset.clock];
    if (!begun && connected()) return; // the times of the page itself still hold
    const time = element.querySelector(".time");
    const bar = element.querySelector("progress");
    const shown = known && vouched();
    const left = shown ? Math.max(0, known[0] - (performance.now() - known[2]) / 1000) : 0;
    const figures = shown ? face(left) : [["–:––", ""]];
    const single = figures.length === 1;
    const text = figures.flat().join(" ");
    element.classList.toggle("hidden-time", !shown);
    if (time.dataset.text === text) return;
    time.dataset.text = text;
    const long = !single || figures[0][0].length > 5;
    element.querySelector(".unit").textContent = single ? figures[0][1] : "";
    fitted = fitted && time.dataset.signs === (long ? "6" : "5");
    time.dataset.signs = long ? "6" : "5";
    time.replaceChildren(
      ...figures.flatMap(([number, unit]) => {
        const big = document.createElement("b");
        const small = document.createElement("small");
        big.textContent = number;
        small.textContent = unit;
        return single ? [big] : [big, small];
      }),
    );
    if (shown) bar.value = known[1] - left;
    else bar.removeAttribute("value");
  };

  // The end by this device's own clock, which its reader sees as well, rounded up to the minute.
  const drawEnd = (element) => {
    const place = element.querySelector(".ends");
    const known = clocks[element.dataset.clock];
    if (!place) return;
    const left = known ? known[0] * 1000 - (performance.now() - known[2]) : 0;
    if (!known || !vouched() || left <= 0) {
      place.textContent = "";
      return;
    }
    const end = Date.now() + left;
    if (place.textContent && Math.abs(end - place.dataset.end) < END_MOVES_MS) return;
    place.dataset.end = end;
    const minute = new Date(Math.ceil(end / MINUTE_MS) * MINUTE_MS);
    const format = { hour: "numeric", minute: "2-digit" };
    if (minute.toDateString() !== new Date().toDateString()) format.weekday = "short";
    const time = new Intl.DateTimeFormat(root.lang === "en" ? undefined : root.lang, format);
    fitted = fitted && place.textContent !== "";
    place.textContent = body.dataset.ends.replace("{time}", time.format(minute).replaceAll(" ", "\u00a0"));
  };

  const connected = () => silent <= STALE_MS;
  const vouched = () => connected() && live;

  const draw = () => {
    const said = connected() ? notice : over ? body.dataset.ended : body.dataset.lost;
    if (byId("notice").textContent !== said) {
      byId("notice").textContent = said;
      fitted = false;
    }
    body.classList.toggle("stale", !vouched());
    byId("live").hidden = !vouched();
    for (const button of document.querySelectorAll("#calls button")) button.disabled = !vouched();
    document.querySelectorAll("[data-clock]").forEach(drawClock);
    document.querySelectorAll("[data-clock]").forEach(drawEnd);
    if (!fitted) fit();
  };

  // Elapsed time is the larger of two clocks: one of them stops while the tablet sleeps.
  const pass = () => {
    const dateNow = Date.now();
    const ticksNow = performance.now();
    silent += Math.max(dateNow - wall, ticksNow - ticks, 0);
    wall = dateNow;
    ticks = ticksNow;
  };

  const look = () => {
    pass();
    draw();
    if (silent > HANGS_MS && source && source.readyState === EventSource.OPEN) again();
  };

  // ------------------------------------------------------------ size

  // As large as all of the page is visible: sizes are in rem, and the root's is sought between the least and the most.
  const fit = () => {
    fitted = true;
    body.classList.toggle("narrow", innerWidth <= NARROW_PX);
    const set = (size) => root.style.setProperty("--fit", size);
    const fits = () => root.scrollHeight <= innerHeight && root.scrollWidth <= innerWidth;
    set(1);
    if (innerHeight <= ROOM_PX) return;
    let [low, high] = fits() ? [1, MOST_FIT] : [LEAST_FIT, 1];
    for (let step = 0; step < 7; step += 1) {
      const middle = (low + high) / 2;
      set(middle);
      if (fits()) low = middle;
      else high = middle;
    }
    set(low);
  };

  // ------------------------------------------------------------ messages

  const take = (message) => {
    pass();
    if (message.ended) {
      over = true;
      silent = Infinity;
      draw();
      return;
    }
    over = false;
    begun = true;
    const now = performance.now();
    const delay = now - message.sent * 1000;
    quickest = Math.min(delay, quickest + (now - quickestAt) * FOLLOW);
    quickestAt = now;
    const late = delay - quickest;
    silent = Math.min(silent, late);
    live = message.live;
    clocks = {};
    for (const [id, [left, all]] of Object.entries(message.left)) clocks[id] = [left, all, now - late];
    for (const [id, html] of Object.entries(message.parts)) put(id, html);
    if (message.step !== undefined) byId("step-told").textContent = message.step;
    if (message.call !== undefined) byId("call-told").textContent = message.call;
    draw();
  };

  const put = (id, html) => {
    fitted = false;
    if (id === "notice") {
      notice = new DOMParser().parseFromString(html, "text/html").body.textContent;
      return;
    }
    const held = document.activeElement && document.activeElement.form;
    const key = held && held.elements.key && held.elements.key.value;
    byId(id).innerHTML = html;
    if (id !== "calls" || !key) return;
    const same = [...document.querySelectorAll("#calls form")].find((form) => form.elements.key.value === key);
    const other = document.querySelector("#calls button");
    if (same || other) (same ? same.querySelector("button") : other).focus();
  };

  const connect = () => {
    quickest = Infinity;
    source = new EventSource("/feed");
    source.onmessage = (event) => take(JSON.parse(event.data));
    source.onerror = again;
  };

  const again = () => {
    if (source) source.close();
    source = null;
    clearTimeout(retry);
    retry = setTimeout(async () => {
      try {
        const answer = await fetch("/here", { cache: "no-store", signal: AbortSignal.timeout(STALE_MS) });
        if (answer.status === 401) location.reload();
        else if (answer.ok) connect();
        else again();
      } catch {
        again();
      }
    }, RETRY_MS);
  };

  // ------------------------------------------------------------ hands

  const answer = async (event) => {
    const form = event.target;
    if (form.getAttribute("action") !== "/answered") return;
    event.preventDefault();
    const button = form.querySelector("button");
    button.setAttribute("aria-busy", "true");
    try {
      await fetch("/answered", { method: "POST", body: new URLSearchParams(new FormData(form)), redirect: "manual" });
    } catch {
      button.removeAttribute("aria-busy");
    }
  };

  const dress = (wanted) => {
    byId("dark").media = { light: "not all", dark: "all" }[wanted] ?? "(prefers-color-scheme: dark)";
    for (const button of document.querySelectorAll("#looks button")) {
      button.setAttribute("aria-pressed", String(button.dataset.look === wanted));
    }
  };

  const kept = () => {
    try {
      return localStorage.getItem("look") || "auto";
    } catch {
      return "auto";
    }
  };

  byId("looks").hidden = false;
  byId("looks").addEventListener("click", (event) => {
    const wanted = event.target.dataset.look;
    if (!wanted) return;
    dress(wanted);
    try {
      localStorage.setItem("look", wanted);
    } catch {
      // then it holds until the page is loaded again
    }
  });
  dress(kept());
  document.addEventListener("submit", answer);
  document.addEventListener("visibilitychange", look);
  addEventListener("online", look);
  addEventListener("resize", fit);
  addEventListener("pageshow", (event) => {
    if (event.persisted) {
      silent = Infinity;
      again();
    }
  });
  setInterval(look, LOOK_MS);
  silent = 0; // the page itself has just come
  live = !body.classList.contains("stale");
  notice = byId("notice").textContent;
  connect();
})();
