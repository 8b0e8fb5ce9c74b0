/* The state of the page: the job's tables as its file would hold them, what is tried for now, and
   what is looked at. It lives in this browser alone; the server keeps nothing. Every change can be
   undone, and a reload finds everything again. */
(function () {
  "use strict";
  const KEY = "heatersel.job", VIEW = "heatersel.view", MOST_STEPS = 100;
  const STEPS = ["people", "house", "choices", "why", "next"];
  const fresh = () => ({ tables: {}, tried: {}, chosen: [], past: [], future: [] });
  let state = fresh();
  let view = { depth: "plain", theme: "auto" };
  let revision = 0;
  let started = false;
  let texts = {};

  const isTable = (value) => value !== null && typeof value === "object" && !Array.isArray(value);
  const copy = (tree) => JSON.parse(JSON.stringify(tree));

  function read(key, usable) {
    try {
      const found = JSON.parse(window.localStorage.getItem(key));
      return usable(found) ? found : null;
    } catch (trouble) {
      return null;
    }
  }

  function keep(key, value) {
    try {
      window.localStorage.setItem(key, JSON.stringify(value));
      return true;
    } catch (trouble) {
      return false;
    }
  }

  /* Set a dotted key in a copy of the tables; null takes it out, and tables left empty with it. */
  function withPatch(tables, patch) {
    const tree = copy(tables);
    for (const [dotted, value] of Object.entries(patch)) {
      const path = dotted.split("."), last = path.pop(), walked = [];
      let table = tree;
      for (const part of path) {
        if (!isTable(table[part])) {
          if (value === null) { table = null; break; }
          table[part] = {};
        }
        walked.push([table, part]);
        table = table[part];
      }
      if (table === null) continue;
      if (value !== null) { table[last] = value; continue; }
      delete table[last];
      for (const [above, part] of walked.reverse()) {
        if (Object.keys(above[part]).length === 0) delete above[part];
      }
    }
    return tree;
  }

  function shown() {
    return { tables: state.tables, tried: state.tried, chosen: state.chosen,
             seen: [...document.querySelectorAll(".offer")].map((one) => one.dataset.option).slice(0, 4),
             step: step(), revision: revision };
  }

  function step() {
    const named = window.location.hash.replace(/^#\/?/, "").split("?")[0];
    return STEPS.includes(named) ? named : "people";
  }

  function push() {
    revision += 1;
    leaveOff();
    const { tables, tried, chosen, past, future } = state;
    if (!keep(KEY, { tables, tried, chosen, past, future })) say(texts.not_kept);
    show();
    if (started) window.dash_clientside.set_props("job", { data: shown() });
  }

  /* What the page frame shows at once, before the server answers. */
  function show() {
    document.documentElement.dataset.theme = view.theme;
    document.documentElement.dataset.depth = view.depth;
    document.documentElement.dataset.step = step();
    for (const link of document.querySelectorAll(".stops a")) {
      const here = link.getAttribute("href") === "#/" + step();
      if (here) link.setAttribute("aria-current", "step"); else link.removeAttribute("aria-current");
    }
    for (const button of document.querySelectorAll("[data-view]")) {
      const [name, value] = button.dataset.view.split("=");
      button.setAttribute("aria-pressed", String(view[name] === value));
    }
    for (const button of document.querySelectorAll("[data-action=undo]")) {
      button.disabled = state.past.length === 0;
    }
    for (const button of document.querySelectorAll("[data-action=redo]")) {
      button.disabled = state.future.length === 0;
    }
  }

  function replace(tables, more) {
    state.past = [...state.past, state.tables].slice(-MOST_STEPS);
    state.future = [];
    state.tables = tables;
    Object.assign(state, more || {});
    push();
  }

  function edit(patch) {
    const tables = withPatch(state.tables, patch);
    if (JSON.stringify(tables) !== JSON.stringify(state.tables)) replace(tables);
  }

  function undo() {
    if (state.past.length === 0) return;
    state.future = [...state.future, state.tables];
    state.tables = state.past.pop();
    push();
  }

  function redo() {
    if (state.future.length === 0) return;
    state.past.push(state.tables);
    state.tables = state.future.pop();
    push();
  }

  function attempt(patch) {
    state.tried = { ...state.tried, ...patch };
    for (const [key, value] of Object.entries(state.tried)) {
      if (value === null) delete state.tried[key];
    }
    push();
  }

  function choose(ids) {
    state.chosen = ids;
    push();
  }

  let fading = 0;
  function say(words, action) {
    const place = document.getElementById("said");
    if (!place || !words) return;
    place.textContent = words;
    place.hidden = false;
    window.clearTimeout(fading);
    fading = window.setTimeout(() => { place.hidden = true; }, 8000);
  }

  /* --- carry: files, links ------------------------------------------------------------- */

  async function post(path, body) {
    const answer = await fetch(path, {
      method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body),
    });
    const found = await answer.json().catch(() => ({ message: texts.no_server }));
    if (found.message) throw new Error(found.message);
    return found;
  }

  async function attemptTo(work) {
    try {
      await work();
    } catch (trouble) {
      say(trouble instanceof TypeError ? texts.no_server : trouble.message);
    }
  }

  function hand(text, name, type) {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type }));
    link.download = name;
    link.click();
    window.setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  }

  const save = () => attemptTo(async () => {
    const file = await post("job/write", { tables: state.tables });
    hand(file.text, "job.toml", "application/toml");
    say(texts.saved);
  });

  const results = () => attemptTo(async () => {
    const file = await post("job/compare", { tables: state.tables });
    hand(JSON.stringify(file, null, 1), "comparison.json", "application/json");
  });

  const quote = () => attemptTo(async () => {
    say(texts.quoting);
    const answer = await fetch("job/quote.pdf", {
      method: "POST", headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ tables: state.tables }),
    });
    if (!answer.ok) throw new Error((await answer.json()).message);
    hand(await answer.blob(), "quote.pdf", "application/pdf");
    say(texts.quoted);
  });

  const open = (file) => attemptTo(async () => {
    if (file.size > 1000000) throw new Error(texts.too_big);
    const job = await post("job/read", { text: await file.text(), name: file.name });
    replace(job.tables, { tried: {}, chosen: [] });
    say(texts.opened);
  });

  const example = (name) => attemptTo(async () => {
    const job = await post("job/example", { name });
    replace(job.tables, { tried: {}, chosen: [] });
  });

  async function through(bytes, stream) {
    return new Response(new Blob([bytes]).stream().pipeThrough(stream)).arrayBuffer();
  }

  async function packed() {
    const text = JSON.stringify({ tables: state.tables, chosen: state.chosen });
    const small = await through(new TextEncoder().encode(text), new CompressionStream("deflate-raw"));
    const raw = String.fromCharCode(...new Uint8Array(small));
    return btoa(raw).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
  }

  async function unpacked(word) {
    const raw = atob(word.replaceAll("-", "+").replaceAll("_", "/"));
    const small = Uint8Array.from(raw, (sign) => sign.charCodeAt(0));
    const stream = new DecompressionStream("deflate-raw");
    const reader = new Blob([small]).stream().pipeThrough(stream).getReader();
    const parts = [];
    for (let size = 0; ;) {
      const { done, value } = await reader.read();
      if (done) break;
      size += value.length;
      if (size > 1000000) throw new Error("too large");
      parts.push(value);
    }
    return JSON.parse(await new Blob(parts).text());
  }

  const link = () => attemptTo(async () => {
    const address = window.location.href.split("#")[0] + "#/" + step() + "?job=" + await packed();
    const box = document.getElementById("link");
    box.value = address;
    box.closest(".carry-link").hidden = false;
    box.focus();
    box.select();
    try {
      await navigator.clipboard.writeText(address);
      say(texts.link_copied);
    } catch (refused) {
      say(texts.link_ready);
    }
  });

  async function fromLink() {
    const word = window.location.hash.split("?job=")[1];
    if (!word) return;
    window.history.replaceState(null, "", "#/" + step());
    try {
      const found = await unpacked(word);
      if (!isTable(found.tables)) throw new Error("no tables");
      replace(found.tables, { tried: {}, chosen: Array.isArray(found.chosen) ? found.chosen : [] });
      say(texts.link_opened);
    } catch (trouble) {
      say(texts.link_broken);
    }
  }

  function startOver() {
    replace({}, { tried: {}, chosen: [] });
    say(texts.started_over);
  }

  /* --- the full comparison: begun when nobody has changed anything for a moment ----------- */

  const PAUSE = 600, AGAIN = 1500;
  let underway = null, later = 0;

  function leaveOff() {
    window.clearTimeout(later);
    if (underway) underway.abort();
    underway = null;
  }

  function tell(words, done, of) {
    const place = document.querySelector(".look-words"), bar = document.querySelector(".look progress");
    if (place) place.textContent = words;
    if (bar) { bar.max = of || 1; bar.value = done || 0; }
  }

  async function workOut() {
    const mine = underway = new AbortController();
    try {
      const answer = await fetch("job/answer", {
        method: "POST", headers: { "Content-Type": "application/json" }, signal: mine.signal,
        body: JSON.stringify(shown()),
      });
      const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
      let rest = "";
      for (;;) {
        const { done, value } = await reader.read();
        if (done || mine.signal.aborted) break;
        const lines = (rest + value).split("\n");
        rest = lines.pop();
        lines.map((line) => JSON.parse(line)).forEach(heard);
      }
    } catch (trouble) {
      if (!mine.signal.aborted) tell(texts.no_server);
    }
  }

  function heard(step) {
    if (step.ready) window.dash_clientside.set_props("job", { data: shown() });
    else if (step.busy) { tell(texts.queueing); later = window.setTimeout(workOut, AGAIN); }
    else if (step.message) tell(step.message);
    else if (step.of) tell(texts.counting.replace("{done}", step.done).replace("{of}", step.of), step.done, step.of);
    else tell(texts.queueing);
  }

  const ACTIONS = {
    stop: () => { leaveOff(); tell(texts.stopped); document.querySelector(".look [data-action=stop]").hidden = true; },
    undo, redo, save, link, results, quote, "start-over": startOver,
    print: () => window.print(),
    skip: () => document.getElementById("main").focus(),
    keep: () => { const tried = state.tried; state.tried = {}; replace(withPatch(state.tables, tried)); },
    "leave-off": () => { state.tried = {}; push(); },
    "open-file": () => document.getElementById("file").click(),
  };

  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-action],[data-view],[data-example],[data-edit],[data-choose]");
    if (!button || button.disabled) return;
    if (button.dataset.action === "skip") event.preventDefault();
    if (button.dataset.action) ACTIONS[button.dataset.action]();
    if (button.dataset.example) example(button.dataset.example);
    if (button.dataset.edit) edit(JSON.parse(button.dataset.edit));
    if (button.dataset.choose) choose(JSON.parse(button.dataset.choose));
    if (button.dataset.view) {
      const [name, value] = button.dataset.view.split("=");
      view = { ...view, [name]: value };
      keep(VIEW, view);
      show();
      document.dispatchEvent(new Event("heatersel-look"));
    }
    const menu = button.closest("details.menu");
    if (menu && button.dataset.action !== "link" && !button.dataset.view) menu.open = false;
  });

  document.addEventListener("change", (event) => {
    if (event.target.id === "file" && event.target.files.length) {
      open(event.target.files[0]);
      event.target.value = "";
    }
  });

  document.addEventListener("keydown", (event) => {
    const typing = event.target.matches("input[type=text],input[type=number],textarea");
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z" && !typing) {
      event.preventDefault();
      if (event.shiftKey) redo(); else undo();
    }
    if (event.key === "Escape") {
      for (const menu of document.querySelectorAll("details.menu[open]")) {
        menu.open = false;
        menu.querySelector("summary").focus();
      }
    }
  });

  /* The browser's way of naming a step is the address: back and forward walk through them. */
  window.addEventListener("hashchange", () => {
    if (window.location.hash.includes("?job=")) { fromLink(); return; }
    const heading = document.querySelector("main h1");
    left = heading ? heading.textContent : "";
    push();
    window.scrollTo(0, 0);
  });

  /* When the next step stands, reading and the keyboard go on at its heading. */
  let left = null;
  function arrive() {
    const heading = document.querySelector("main h1");
    if (left === null || !heading || heading.textContent === left) return;
    left = null;
    heading.focus({ preventScroll: true });
  }

  window.addEventListener("beforeprint", () => {
    for (const fold of document.querySelectorAll("main details:not([open])")) {
      fold.dataset.opened = "for print";
      fold.open = true;
    }
  });
  window.addEventListener("afterprint", () => {
    for (const fold of document.querySelectorAll("[data-opened]")) {
      fold.open = false;
      delete fold.dataset.opened;
    }
  });

  /* A figure that another answer changed is marked for a moment. */
  function watchPage() {
    new MutationObserver((changes) => {
      arrive();
      for (const change of changes) {
        if (change.type !== "characterData") continue;
        const figure = change.target.parentElement && change.target.parentElement.closest("[data-figure]");
        if (!figure) continue;
        figure.classList.remove("changed");
        void figure.offsetWidth;
        figure.classList.add("changed");
      }
    }).observe(document.getElementById("page"), { characterData: true, childList: true, subtree: true });
  }

  state = { ...fresh(), ...read(KEY, (found) => isTable(found) && isTable(found.tables)) };
  view = { ...view, ...read(VIEW, isTable) };
  show();

  window.heatersel = { edit, attempt, choose, step, revision: () => revision };
  window.dash_clientside = Object.assign({}, window.dash_clientside, {
    heatersel: {
      /* Called once, when the page stands: hand over what this browser kept. */
      /* Called with every answer: a first look is followed by the full comparison. */
      answered: function (look) {
        if (look && look.revision === revision && (look.first || look.again)) {
          window.clearTimeout(later);
          const askAgain = () => window.dash_clientside.set_props("job", { data: shown() });
          later = window.setTimeout(look.again ? askAgain : workOut, PAUSE);
        }
        return window.dash_clientside.no_update;
      },
      start: function (words) {
        started = true;
        watchPage();
        texts = words;
        show();
        if (window.location.hash.includes("?job=")) fromLink();
        const nothing = Object.keys(state.tables).length === 0 && step() === "people";
        return nothing ? window.dash_clientside.no_update : shown();
      },
    },
  });
})();
