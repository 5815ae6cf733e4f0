// Reads values off the curve, and shows a part of it larger. All figures come from the server, rounded as it shows them.
(() => {
  "use strict";
  const SVG = "http://www.w3.org/2000/svg";
  const part = () => document.getElementById("curve");
  const figure = () => document.getElementById("curve-figure");
  const MOST_BEFORE = 12;
  // `before` is of the spans to go back to, `at` the moment that is read [s], `wanted` the ends [s] of the span that was
  // asked for and is not shown yet: what comes next goes on from there.
  const state = { before: [], at: null, wanted: null };
  let held = null, asked = 0, asking = null;

  const ends = () => figure().dataset.ends.split(" ").map(Number); // of the span, and of the whole [s]
  const drawings = () => [...figure().querySelectorAll("svg[data-plot]")];
  const plotOf = svg => {
    const [left, top, right, bottom, foot] = svg.dataset.plot.split(" ").map(Number);
    return { left, top, right, bottom, foot };
  };
  const shown = () => drawings().find(svg => svg.getBoundingClientRect().width > 0);

  function made(name, attributes, within) {
    const element = document.createElementNS(SVG, name);
    for (const key in attributes) element.setAttribute(key, attributes[key]);
    within.append(element);
    return element;
  }
  const cleared = name => figure().querySelectorAll(`svg .${name}`).forEach(element => element.remove());

  // -- moments: columns of whole numbers of the last place, each what it is more than the one before; null: not known ---
  function decoded(data) {
    const sums = column => { let sum = 0; return column.map(step => step === null ? null : sum += step); };
    const columns = {};
    for (const name of ["right", "down", "clock", "gravity", "under", "over", "least", "more", "temp"])
      columns[name] = sums(data[name]);
    const form = zero => {
      const [number, ...unit] = zero.split(" "), places = number.length - 2;
      const digits = value => {
        const all = String(Math.abs(value)).padStart(places + 1, "0");
        return `${value < 0 ? "-" : ""}${all.slice(0, -places)}${number[1]}${all.slice(-places)}`;
      };
      return (least, most = least) =>
        [least === most ? digits(most) : `${digits(least)} to ${digits(most)}`, ...unit].join(" ");
    };
    const level = form(data.level), degrees = form(data.degrees);
    const days = data.days.flatMap(([day, count]) => Array(count).fill(day));
    const two = number => String(number).padStart(2, "0");
    return days.map((day, i) => {
      const at = name => columns[name][i];
      const known = () => {
        const said = [], gravity = at("gravity");
        if (gravity !== null) {
          const range = at("under") === null ? data.cold : level(gravity - at("under"), gravity + at("over"));
          said.push(`gravity ${level(gravity)} (${range})`);
        }
        if (at("least") !== null) said.push(`read ${level(at("least"), at("least") + at("more"))}`);
        if (at("temp") !== null) said.push(degrees(at("temp")));
        if (data.said[i]) said.push(data.said[i]);
        return said.join("; ");
      };
      const clock = at("clock");
      return [at("right"), at("down"), `${day} ${two(Math.floor(clock / 60))}:${two(clock % 60)}`, known];
    });
  }

  // Made of the figure's when one is first read: a page is shown before anybody reads of it.
  const moments = () => held ??= figure() ? decoded(JSON.parse(figure().dataset.moments)) : [];

  // -- reading ---------------------------------------------------------------------------------------------------
  const nearest = right => moments().reduce(
    (best, moment, i, all) => Math.abs(moment[0] - right) < Math.abs(all[best][0] - right) ? i : best, 0);

  function chosen() {
    if (state.at === null || !moments().length) return -1;
    const [from, to] = ends();
    const right = 1e4 * (state.at - from) / (to - from);
    return right < 0 || right > 1e4 ? -1 : nearest(right);
  }
  function read(i) {
    const says = document.getElementById("curve-reads");
    cleared("hair"); cleared("dot");
    const moment = moments()[i];
    if (!moment) { state.at = null; says.textContent = ""; return; }
    const [right, down, when, words] = moment, known = words(), [from, to] = ends();
    state.at = from + right / 1e4 * (to - from);
    for (const svg of drawings()) {
      const plot = plotOf(svg), x = plot.left + right / 1e4 * (plot.right - plot.left);
      made("line", { class: "hair", x1: x, x2: x, y1: plot.top, y2: plot.foot }, svg);
      if (down !== null)
        made("circle", { class: "dot", cx: x, cy: plot.top + down / 1e4 * (plot.bottom - plot.top), r: 4 }, svg);
    }
    const bold = document.createElement("b");
    bold.textContent = when;
    says.replaceChildren(bold, known ? `: ${known}` : "");
  }
  const step = by => {
    const i = chosen();
    read(i < 0 ? (by > 0 ? 0 : moments().length - 1) : Math.min(Math.max(i + by, 0), moments().length - 1));
  };

  // -- spans -----------------------------------------------------------------------------------------------------
  async function show(query, back) {
    const mine = ++asked;
    asking?.abort(); // only the last one counts
    asking = new AbortController();
    figure().classList.add("curve-busy");
    try {
      const from = part().dataset.curve + pageAddress.withSpan(query).search;
      const answer = await fetch(from, { credentials: "same-origin", signal: asking.signal });
      if (!answer.ok) throw new Error(answer.statusText);
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const fresh = page.getElementById("curve");
      if (mine !== asked || !fresh || !part()) return;
      if (!query) state.before = [];
      else if (!back && part().dataset.query !== query)
        state.before = [...state.before, part().dataset.query].slice(-MOST_BEFORE);
      asking = state.wanted = null;
      // Noted only now: news may have replaced the part, and the reader gone elsewhere, since this was asked for.
      const focused = document.activeElement, held = part().contains(focused), id = focused.id;
      const open = document.getElementById("curve-values").open;
      part().replaceWith(document.adoptNode(fresh));
      document.getElementById("curve-values").open = open;
      pageAddress.takeSpan(query);
      begin();
      if (held && id) document.getElementById(id)?.focus({ preventScroll: true });
      if (held && document.activeElement === document.body) figure().focus({ preventScroll: true });
    } catch {
      if (mine === asked) asking = state.wanted = null;
      if (mine === asked && figure()) {
        figure().classList.remove("curve-busy");
        document.getElementById("curve-reads").textContent = "This span could not be fetched; what is shown is the one before.";
      }
    }
  }
  function goBack() {
    if (state.wanted) return giveUp(); // what is not shown yet
    if (state.before.length) show(state.before.pop(), true);
    else if (part().dataset.query) show("", true);
  }
  function giveUp() {
    asked += 1;
    asking?.abort();
    asking = state.wanted = null;
    figure().classList.remove("curve-busy");
  }
  function showWhole() {
    state.wanted = null;
    if (asking || part().dataset.query) show("");
  }
  function span(from, to) {
    const [, , first, last] = ends();
    const length = Math.min(Math.max(to - from, 7200), last - first);
    from = Math.min(Math.max(from, first), last - length);
    state.wanted = [from, from + length];
    if (length >= last - first) show("");
    else show(`?from=${Math.round(from)}&to=${Math.round(from + length)}`);
  }
  const wanted = () => state.wanted ?? ends();
  function zoom(by, about) {
    const [from, to] = wanted(), middle = about === undefined ? state.at ?? (from + to) / 2 : about;
    span(middle - (middle - from) * by, middle + (to - middle) * by);
  }
  function move(by) {
    const [from, to] = wanted();
    span(from + by * (to - from), to + by * (to - from));
  }

  // -- hand and mouse --------------------------------------------------------------------------------------------
  const down = new Map(); // pointers by id: where each began and where it is, in ten-thousandths of the field
  let began = null;

  function placeOf(event, svg) {
    const box = svg.getBoundingClientRect(), plot = plotOf(svg), wide = svg.viewBox.baseVal.width;
    const x = (event.clientX - box.left) / box.width * wide, y = (event.clientY - box.top) / box.width * wide;
    return { right: 1e4 * Math.min(Math.max((x - plot.left) / (plot.right - plot.left), 0), 1), onAxis: y > plot.foot };
  }
  const seconds = right => { const [from, to] = ends(); return from + right / 1e4 * (to - from); };

  function mark(one, other, svg) {
    cleared("chosen");
    const plot = plotOf(svg), x = right => plot.left + right / 1e4 * (plot.right - plot.left);
    const [left, right] = [Math.min(one, other), Math.max(one, other)].map(x);
    made("rect", { class: "chosen", x: left, width: right - left, y: plot.top, height: plot.foot - plot.top }, svg);
  }
  function pressed(event) {
    const svg = event.target.closest("svg[data-plot]");
    if (!svg || event.button) return;
    const { right, onAxis } = placeOf(event, svg);
    down.set(event.pointerId, { began: right, right });
    // A finger reads values; on the axis it chooses a span, as a mouse does everywhere.
    began = down.size === 1 && (event.pointerType === "mouse" || onAxis) ? svg : null;
    if (down.size === 1 && !began) read(nearest(right));
    if (event.pointerType !== "mouse" || began) svg.setPointerCapture(event.pointerId);
  }
  function moved(event) {
    const svg = event.target.closest("svg[data-plot]");
    if (!svg || !moments().length) return;
    const { right } = placeOf(event, svg), pointer = down.get(event.pointerId);
    if (pointer) pointer.right = right;
    if (down.size === 2) return;
    if (began && pointer && Math.abs(pointer.right - pointer.began) > 100) mark(pointer.began, right, svg);
    else if (event.pointerType === "mouse" || pointer) read(nearest(right));
  }
  function released(event) {
    const pointer = down.get(event.pointerId), all = [...down.values()];
    down.delete(event.pointerId);
    cleared("chosen");
    if (!pointer || event.type === "pointercancel") { began = null; return; }
    if (all.length === 2) {
      const [one, other] = all, was = Math.abs(one.began - other.began), is = Math.abs(one.right - other.right);
      down.clear();
      if (Math.abs(is - was) > 300) zoom(Math.min(Math.max(was / Math.max(is, 1), 0.05), 20), seconds((one.right + other.right) / 2));
    } else if (began && Math.abs(pointer.right - pointer.began) > 100) {
      const [from, to] = [pointer.began, pointer.right].sort((a, b) => a - b).map(seconds);
      span(from, to);
    } else if (began) read(nearest(pointer.right));
    began = null;
  }
  function wheeled(event) {
    const svg = event.target.closest("svg[data-plot]");
    if (!svg || !(event.shiftKey || event.altKey)) return; // with Ctrl a browser makes the page larger
    event.preventDefault();
    zoom((event.deltaY || event.deltaX) > 0 ? 1.5 : 1 / 1.5, seconds(placeOf(event, svg).right));
  }

  // -- keys ------------------------------------------------------------------------------------------------------
  const KEYS = {
    ArrowLeft: shift => shift ? move(-0.5) : step(-1),
    ArrowRight: shift => shift ? move(0.5) : step(1),
    PageUp: () => step(-24), PageDown: () => step(24),
    Home: () => read(0), End: () => read(moments().length - 1),
    "+": () => zoom(0.5), "=": () => zoom(0.5), "-": () => zoom(2), "−": () => zoom(2),
    0: () => showWhole(), Escape: goBack,
  };
  function keyed(event) {
    if (event.target !== figure() || event.ctrlKey || event.metaKey || event.altKey || !(event.key in KEYS)) return;
    event.preventDefault();
    KEYS[event.key](event.shiftKey);
  }

  // -- beginning, also anew after a figure was replaced ----------------------------------------------------------
  function begin() {
    const drawn = figure();
    held = null;
    if (!drawn) return;
    drawn.tabIndex = 0;
    part().classList.add("curve-live");
    drawn.addEventListener("pointerdown", pressed);
    drawn.addEventListener("pointermove", moved);
    drawn.addEventListener("pointerup", released);
    drawn.addEventListener("pointercancel", released);
    drawn.addEventListener("wheel", wheeled, { passive: false });
    drawn.addEventListener("keydown", keyed);
    document.getElementById("curve-spans").addEventListener("click", event => {
      const link = event.target.closest("a");
      if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
      event.preventDefault();
      state.wanted = null;
      show(link.dataset.span);
    });
    if (state.at !== null) read(chosen());
  }
  document.addEventListener("card:changed", () => {
    if (!figure() || figure().tabIndex === 0) return; // it is the one that was begun with
    begin();
    if (part().dataset.query !== pageAddress.span()) show(pageAddress.span(), true);
  });
  if (part()) {
    begin();
    pageAddress.takeSpan(part().dataset.query); // however it was written
  }
})();
