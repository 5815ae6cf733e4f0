"use strict";
// The address of the page, which chooses what is shown of it. All that reads or changes it does so here.
const pageAddress = (() => {
  const SPAN = ["span", "from", "to"];
  const here = () => {
    const url = new URL(location.href);
    url.searchParams.delete("told"); // is said once, and chooses nothing
    return url;
  };
  const spanOf = (url) => {
    const chosen = SPAN.filter((name) => url.searchParams.has(name)).map((name) => [name, url.searchParams.get(name)]);
    return chosen.length ? `?${new URLSearchParams(chosen)}` : "";
  };
  // With another span of its curve: `query` as the server writes it, empty for the whole.
  const withSpan = (query) => {
    const url = here();
    for (const name of SPAN) url.searchParams.delete(name);
    new URLSearchParams(query).forEach((value, name) => url.searchParams.set(name, value));
    return url;
  };
  const takeSpan = (query) => {
    if (spanOf(here()) === query) return;
    const url = withSpan(query);
    history.replaceState(history.state, "", url);
    document.querySelector("#pulse a")?.setAttribute("href", url.pathname + url.search);
  };
  // A form that asks for the page with another choice was made before the script chose something.
  document.addEventListener("submit", ({ target: form }) => {
    if (form.method !== "get" || new URL(form.action).pathname !== location.pathname) return;
    const asks = [...form.elements].filter((field) => field.name && field.type !== "hidden").map((field) => field.name);
    form.querySelectorAll("input[type=hidden]").forEach((field) => field.remove());
    here().searchParams.forEach((value, name) => {
      if (asks.includes(name)) return;
      const field = document.createElement("input");
      Object.assign(field, { type: "hidden", name, value });
      form.append(field);
    });
  });
  return { here, span: () => spanOf(here()), takeSpan, withSpan };
})();
