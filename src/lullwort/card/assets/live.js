// Shows what has changed without a reload, says how long ago things were, and says when it is no longer kept up to date.
(() => {
  const SILENT_MS = 40000; // the service says each 15 s that it is there
  const GRACE_MS = 4000; // a line that breaks and is back by then is not worth a word
  const PATIENCE_MS = 20000;
  const LOOK_MS = 15000; // between two looks of a page that has no line
  const TOLD_MS = 20000; // so long what was done is told at the least
  const SHORTEST_MS = 1000;
  const LONGEST_MS = 60000;
  const byId = (id) => document.getElementById(id);
  const address = document.body.dataset.live;
  let tag = document.body.dataset.tag;
  let aheadMs = 0; // of the service's clock before the one here
  let heardAt = Date.now();
  let lost = false;
  let refused = false; // it may have no line (yet): what is new is looked for
  let asking = false;
  let askMore = false;
  let delayMs = SHORTEST_MS;
  let line;
  const timers = {};

  const after = (name, ms, todo) => {
    clearTimeout(timers[name]);
    timers[name] = setTimeout(todo, ms);
  };
  const longer = () => {
    const ms = delayMs * (0.75 + Math.random() / 2); // so that twenty pages do not come back in one moment
    delayMs = Math.min(2 * delayMs, LONGEST_MS);
    return ms;
  };

  // ---- how long ago ------------------------------------------------------------------------------------------------

  const ago = (ms) => {
    const minutes = Math.floor(ms / 60000);
    if (minutes < 1) return "just now";
    if (minutes < 60) return `${minutes} min ago`;
    if (minutes < 48 * 60) return `${Math.floor(minutes / 60)} h ago`;
    return `${Math.floor(minutes / 1440)} days ago`;
  };
  const tellAges = () => {
    for (const time of document.querySelectorAll("time.heard")) {
      const ms = Date.now() + aheadMs - Date.parse(time.dateTime);
      let words = time.nextElementSibling;
      if (!words || !words.classList.contains("ago")) {
        words = document.createElement("span");
        words.className = "ago";
        time.after(words);
      }
      const says = ms > -60000 ? ` (${ago(Math.max(ms, 0))})` : "";
      if (words.textContent !== says) words.textContent = says;
    }
  };

  const setClock = (now) => {
    const wasMs = aheadMs;
    aheadMs = Math.abs(now - Date.now()) > 5000 ? now - Date.now() : 0;
    if (Math.abs(aheadMs - wasMs) > 5000) tellAges();
  };

  // Of a page that has just come. To the minute, for it is kept so long: where there is a line it tells better.
  const setClockBy = (page) => {
    const made = page.querySelector("#pulse time");
    if (made) setClock(Date.parse(made.dateTime));
  };

  // ---- whether the service is heard ----------------------------------------------------------------------------------

  const clock = (ms) => {
    const shape = { hour: "2-digit", minute: "2-digit", hour12: false };
    if (Date.now() - ms > 20 * 3600000) shape.weekday = "short";
    const zone = byId("pulse")?.dataset.zone;
    try {
      return new Date(ms + aheadMs).toLocaleTimeString("en-GB", { ...shape, timeZone: zone });
    } catch {
      return new Date(ms + aheadMs).toLocaleTimeString("en-GB", shape); // this browser does not know the zone
    }
  };
  const pulse = (says) => {
    const words = byId("pulse")?.querySelector("span");
    if (words && words.textContent !== says) words.textContent = says;
  };
  const hear = () => {
    heardAt = Date.now();
    delayMs = SHORTEST_MS;
    clearTimeout(timers.grace);
    timers.grace = undefined;
    const looks = `This page looks every ${LOOK_MS / 1000} seconds whether something is new.`;
    pulse(refused ? looks : "This page keeps itself up to date.");
    if (lost) {
      lost = false;
      byId("stale").textContent = "";
      byId("said").textContent = `The service is heard again. This is as of ${clock(heardAt)}.`;
    }
  };
  const lose = () => {
    timers.grace = undefined;
    if (lost) return;
    lost = true;
    const at = clock(heardAt);
    byId("stale").textContent = `Not heard from the service since ${at}; what you see is as of then.`;
    pulse(`As of ${at}.`);
  };
  const doubt = () => {
    if (!lost && timers.grace === undefined) timers.grace = setTimeout(lose, GRACE_MS);
  };

  // ---- the line on which it says that there is news --------------------------------------------------------------------

  const hangUp = () => {
    if (line) line.close();
    line = undefined;
  };
  const call = () => {
    if (document.hidden || line) return;
    const watch = () =>
      after("silent", SILENT_MS, () => {
        lose();
        hangUp(); // a line that has died without a word
        after("call", longer(), call);
      });
    const sign = (event) => {
      watch();
      refused = false;
      setClock(JSON.parse(event.data).now);
    };
    line = new EventSource(address);
    line.addEventListener("changed", (event) => {
      sign(event);
      ask();
    });
    line.addEventListener("here", (event) => {
      sign(event);
      if (!asking) hear();
    });
    line.addEventListener("error", () => {
      doubt();
      if (line && line.readyState === EventSource.CLOSED) {
        hangUp(); // it was answered, but no line is to be had: what is new can still be asked for
        refused = true;
        clearTimeout(timers.silent);
        ask();
        after("call", LOOK_MS, call);
      }
    });
    watch();
    doubt();
  };
  const rest = () => {
    hangUp();
    for (const name of Object.keys(timers)) clearTimeout(timers[name]);
    timers.grace = undefined;
  };
  const wake = () => {
    rest();
    delayMs = SHORTEST_MS;
    tellAges();
    after("ages", 20000, tick);
    call();
  };
  const tick = () => {
    tellAges();
    after("ages", 20000, tick);
  };

  // ---- the page anew -----------------------------------------------------------------------------------------------------

  const partsOf = (root) => {
    const found = [...root.querySelectorAll("[data-part]")].filter((e) => !e.parentElement.closest("[data-part]"));
    return new Map(found.map((e) => [e.dataset.part, e]));
  };
  const answers = () => [...document.querySelectorAll("[data-say]")].map((e) => e.dataset.say);
  const typing = (e) => e.matches("textarea, select, input:not([type=submit]):not([type=button])");
  const looks = (e) => [e.tagName, e.getAttribute("href"), e.getAttribute("name"), e.textContent].join("\n");

  // What the reader has done with a part: opened, scrolled aside, gone to with the keyboard.
  const done = (part) => {
    const had = part.contains(document.activeElement) ? document.activeElement : undefined;
    return {
      open: [...part.querySelectorAll("details[id]")].map((e) => [e.id, e.open]),
      aside: [...part.querySelectorAll("[id]")].filter((e) => e.scrollLeft).map((e) => [e.id, e.scrollLeft]),
      had: had && { id: had.id, looks: looks(had) },
    };
  };
  const redo = (part, { open, aside }) => {
    for (const [id, was] of open) if (byId(id)) byId(id).open = was;
    for (const [id, left] of aside) if (byId(id)) byId(id).scrollLeft = left;
  };
  const refocus = (part, { had }) => {
    if (!had || part.contains(document.activeElement)) return;
    const same = (e) => (had.id ? e.id === had.id : looks(e) === had.looks);
    let to = [...part.querySelectorAll("a, button, summary, input, select, textarea, [tabindex]")].find(same);
    if (!to) {
      part.tabIndex = -1; // what had the focus is gone: its neighbourhood has it now
      to = part;
    }
    to.focus({ preventScroll: true });
  };

  // What was done has been read by then; what is dangerous or doubtful of it stays until it is put away.
  const letGo = () => {
    const told = byId("told");
    if (!told || performance.now() < TOLD_MS || told.querySelector(".danger, .doubt")) return;
    const had = told.contains(document.activeElement);
    told.remove();
    if (had) byId("card").focus({ preventScroll: true });
  };

  const take = (next) => {
    if (next.querySelector("script[src]")?.src !== document.querySelector("script[src]")?.src) {
      location.reload(); // the service is another one since, and so is this script
      return;
    }
    const before = answers();
    const inView = (e) => {
      const { top } = e.getBoundingClientRect();
      return e.getClientRects().length && top >= 0 && top < window.innerHeight; // what is hidden stands nowhere, and says 0
    };
    // The browser's own holding is off (overflow-anchor), or both would move the page.
    const near = document.activeElement?.closest("#card [id]"); // what the reader is at, else what is topmost
    const held = window.scrollY > 0 && [near, ...document.querySelectorAll("#card [id]")].find((e) => e && inView(e));
    const heldAt = held && held.getBoundingClientRect().top;
    const old = partsOf(document);
    const fresh = partsOf(next);
    const alike = document.body.dataset.between === next.body.dataset.between; // what stands between the parts
    const changed = [];
    const put = (was, will) => {
      const things = done(was);
      was.replaceWith(document.adoptNode(will));
      redo(will, things);
      changed.push([will, things]);
    };
    letGo();
    if (refused) setClockBy(next);
    tag = next.body.dataset.tag;
    document.title = next.title;
    if (alike) {
      for (const [name, part] of fresh) {
        const was = old.get(name);
        if (part.dataset.is === was.dataset.is) continue; // told by the service, for scripts change what is shown
        if (was.contains(document.activeElement) && typing(document.activeElement)) {
          tag = ""; // nobody's typing is taken from under his hands: once he is done
          document.activeElement.addEventListener("blur", ask, { once: true });
          continue;
        }
        put(was, part);
      }
    } else {
      document.body.dataset.between = next.body.dataset.between;
      const told = byId("told");
      if (told) next.getElementById("card").prepend(told); // was said once, to this reader alone
      put(byId("card"), next.getElementById("card"));
    }
    tellAges();
    if (changed.length) {
      document.dispatchEvent(new CustomEvent("card:changed", { detail: changed.map(([part]) => part) }));
    }
    // After that event, for it has the curve's script put its keys back.
    const stays = held && (held.isConnected ? held : byId(held.id));
    if (stays) window.scrollBy({ top: stays.getBoundingClientRect().top - heldAt, behavior: "instant" });
    for (const [part, things] of changed) refocus(part, things);
    const others = answers().filter((says) => !before.includes(says));
    if (others.length) byId("said").textContent = others.join(" ");
  };
  const ask = async () => {
    if (document.hidden) return;
    askMore = asking;
    if (asking) return;
    asking = true;
    try {
      do {
        askMore = false;
        const page = pageAddress.here();
        const answer = await fetch(page, {
          cache: "no-store",
          headers: { "If-None-Match": `W/"${tag}"` },
          signal: AbortSignal.timeout(PATIENCE_MS),
        });
        if (answer.status === 401) {
          location.reload(); // the token is another one since: that is where it is asked for
          return;
        }
        if (answer.status !== 304) {
          if (!answer.ok || answer.redirected) throw new Error(`${answer.status}`);
          const next = new DOMParser().parseFromString(await answer.text(), "text/html");
          if (pageAddress.here().href !== page.href) {
            askMore = true; // the reader has chosen something else meanwhile
            continue;
          }
          take(next);
        }
        hear();
      } while (askMore && !document.hidden);
    } catch {
      doubt();
      if (!document.hidden) after("ask", longer(), ask);
    } finally {
      asking = false;
    }
  };

  setClockBy(document);
  document.addEventListener("visibilitychange", () => (document.hidden ? rest() : address ? wake() : tick()));
  if (address) {
    window.addEventListener("online", wake);
    window.addEventListener("pagehide", rest);
    window.addEventListener("pageshow", (event) => event.persisted && wake());
  }
  if (!document.hidden) (address ? wake : tick)();
})();
