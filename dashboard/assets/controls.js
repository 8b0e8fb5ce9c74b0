/* Form controls as the browser has them, with their words beside them: they can be reached by
   keyboard and are read aloud. A control hands its change to the page's state (job.js). */
(function () {
  "use strict";
  const { createElement: h, useState, useEffect, useRef } = window.React;

  function described(props) {
    return [props.hint && props.id + "-hint", props.error && props.id + "-error"]
      .filter(Boolean).join(" ") || undefined;
  }

  const hint = (props) => props.hint && h("p", { className: "hint", id: props.id + "-hint" }, props.hint);
  const error = (props) => props.error &&
    h("p", { className: "error", id: props.id + "-error" }, props.error);
  const label = (props) => h("label", { htmlFor: props.id, className: props.quiet ? "aside" : "" }, props.label);
  const classes = (props, kind) =>
    ["field", kind, props.error && "wrong", props.assumed && "assumed", props.className]
      .filter(Boolean).join(" ");

  function hand(props, change) {
    const patch = { ...props.base, ...change };
    if (props.tries) window.heatersel.attempt(patch); else window.heatersel.edit(patch);
  }

  /* An answer to an older state of the page must not overwrite what was chosen since. */
  const isNews = (props) => props.revision >= window.heatersel.revision();

  /* A draft that follows the page's state except while somebody is typing in it. */
  function useDraft(props) {
    const given = props.value === null || props.value === undefined ? "" : String(props.value);
    const [draft, setDraft] = useState(given);
    const busy = useRef(false);
    useEffect(() => { if (!busy.current && isNews(props)) setDraft(given); },
              [given, props.revision]);
    return [draft, setDraft, busy, given];
  }

  /* A choice shows at once; the server's answer follows. */
  function useChoice(props) {
    const [value, setValue] = useState(props.value);
    useEffect(() => { if (isNews(props)) setValue(props.value); },
              [JSON.stringify(props.value), props.revision]);
    return [value, setValue];
  }

  function Text(props) {
    const [draft, setDraft, busy, given] = useDraft(props);
    const commit = () => {
      busy.current = false;
      const text = draft.trim();
      if (text !== given) hand(props, { [props.path]: text === "" ? null : text });
    };
    return h("div", { className: classes(props, "text") }, label(props), hint(props),
      h("input", {
        id: props.id, type: "text", value: draft, autoComplete: "off", maxLength: 200,
        placeholder: props.example, "aria-describedby": described(props),
        "aria-invalid": props.error ? "true" : undefined,
        onFocus: () => { busy.current = true; },
        onChange: (event) => { busy.current = true; setDraft(event.target.value); },
        onBlur: commit,
        onKeyDown: (event) => { if (event.key === "Enter") { event.preventDefault(); commit(); } },
      }), error(props));
  }

  function Count(props) {
    const [draft, setDraft, busy, given] = useDraft(props);
    const number = draft === "" ? null : Number(draft);
    const later = useRef(0);
    const commit = (value, wait) => {
      window.clearTimeout(later.current);
      later.current = window.setTimeout(() => {
        busy.current = false;
        if (String(value === null ? "" : value) !== given) hand(props, { [props.path]: value });
      }, wait);
    };
    const type = (text) => {
      busy.current = true;
      setDraft(text);
      const value = text.trim() === "" ? null : Number(text);
      commit(Number.isNaN(value) ? text : value, 400);
    };
    const by = (change) => {
      const value = Math.min(props.max, Math.max(props.min, (number || 0) + change));
      busy.current = true;
      setDraft(String(value));
      commit(value, 120);
    };
    const button = (change, sign, words) => h("button", {
      type: "button", "aria-label": words, onClick: () => by(change),
      disabled: change < 0 ? (number || 0) <= props.min : (number || 0) >= props.max,
    }, sign);
    return h("div", { className: classes(props, "count") }, label(props), hint(props),
      h("div", { className: "stepper" },
        button(-(props.step || 1), "−", props.less),
        h("input", {
          /* What a file holds may be no number; it is shown to be mended all the same. */
          id: props.id, type: Number.isNaN(Number(draft)) ? "text" : "number",
          inputMode: "decimal", min: props.min, max: props.max,
          step: props.step || 1, value: draft, placeholder: props.example,
          "aria-describedby": described(props), "aria-invalid": props.error ? "true" : undefined,
          onChange: (event) => type(event.target.value),
          onBlur: () => { busy.current = false; },
        }),
        button(props.step || 1, "+", props.more)), error(props));
  }

  function Pick(props) {
    const [value, setValue] = useChoice(props);
    const option = (item, at) => h("option", { key: at, value: item.value }, item.label);
    const all = props.groups.flatMap((group) => group.options);
    return h("div", { className: classes(props, "pick") }, label(props), hint(props),
      h("select", {
        id: props.id, value: value || "", "aria-describedby": described(props),
        "aria-invalid": props.error ? "true" : undefined,
        onChange: (event) => {
          const picked = all.find((item) => item.value === event.target.value);
          if (picked && picked.chosen) { window.heatersel.choose(picked.chosen); return; }
          setValue(event.target.value);
          if (picked) hand(props, picked.patch);
        },
      }, props.empty && h("option", { value: "" }, props.empty),
      props.groups.map((group, at) => group.label
        ? h("optgroup", { key: at, label: group.label }, group.options.map(option))
        : group.options.map(option))), error(props));
  }

  function Choice(props) {
    const [value, setValue] = useChoice(props);
    return h("fieldset", { className: classes(props, "choice " + (props.look || "row")),
                           "aria-describedby": described(props) },
      h("legend", null, props.label), hint(props),
      h("div", { className: "choices" }, props.options.map((item, at) => {
        const id = props.id + "-" + at;
        return h("label", { key: item.value, htmlFor: id },
          h("input", {
            id, type: "radio", name: props.id, value: item.value,
            checked: value === item.value,
            onChange: () => { setValue(item.value); hand(props, item.patch); },
          }),
          h("span", null, item.label, item.hint && h("small", null, item.hint)));
      })), error(props));
  }

  function Ticks(props) {
    const [value, setValue] = useChoice(props);
    const ticked = new Set(value || []);
    return h("fieldset", { className: classes(props, "choice " + (props.look || "row")),
                           "aria-describedby": described(props) },
      h("legend", null, props.label), hint(props),
      h("div", { className: "choices" }, props.options.map((item, at) => {
        const id = props.id + "-" + at;
        return h("label", { key: item.value, htmlFor: id },
          h("input", {
            id, type: "checkbox", checked: ticked.has(item.value), disabled: item.fixed,
            onChange: () => {
              if (ticked.has(item.value)) ticked.delete(item.value); else ticked.add(item.value);
              const list = props.options.map((o) => o.value).filter((value) => ticked.has(value));
              setValue(list);
              hand(props, { [props.path]: list.length ? list : null });
            },
          }),
          h("span", null, item.label, item.hint && h("small", null, item.hint)));
      })), error(props));
  }

  /* A slider over named stops, so that what is chosen is said in words. */
  function Stops(props) {
    const at = Math.max(0, props.stops.findIndex((stop) => stop.value === props.value));
    const [place, setPlace] = useState(at);
    const later = useRef(0);
    const busy = useRef(false);
    useEffect(() => { if (!busy.current && isNews(props)) setPlace(at); }, [at, props.revision]);
    const stop = props.stops[Math.min(place, props.stops.length - 1)];
    return h("div", { className: classes(props, "stops-field") },
      h("div", { className: "stops-head" }, label(props),
        h("output", { htmlFor: props.id, className: place !== props.now ? "moved" : "" }, stop.label)),
      hint(props),
      h("input", {
        id: props.id, type: "range", min: 0, max: props.stops.length - 1, step: 1, value: place,
        "aria-valuetext": stop.label, "aria-describedby": described(props),
        style: { "--filled": (100 * place / Math.max(1, props.stops.length - 1)) + "%" },
        onChange: (event) => {
          const next = Number(event.target.value);
          busy.current = true;
          setPlace(next);
          window.clearTimeout(later.current);
          later.current = window.setTimeout(() => {
            busy.current = false;
            hand(props, props.stops[next].patch);
          }, 90);
        },
      }));
  }

  const KINDS = { text: Text, count: Count, pick: Pick, choice: Choice, ticks: Ticks, stops: Stops };

  /* A part of the page that the server makes, as [element, properties, ...what is inside]. React
     keeps the elements that stay, so an answer takes away no focus, no draft and no open fold. */
  function grown(part) {
    if (!Array.isArray(part)) return part;
    const [name, props, ...inside] = part;
    const kind = window.heatersel_page[name] || name || window.React.Fragment;
    return h(kind, { key: props.id, ...props }, ...inside.map(grown));
  }

  function Live(props) {
    const waits = window.dash_component_api.useDashContext().useLoading();
    return h("div", { id: props.id, className: props.className, role: props.role,
                      "aria-label": props.label, "aria-busy": waits ? "true" : undefined },
      ...(props.tree || []).map(grown));
  }

  window.heatersel_page = Object.assign(window.heatersel_page || {}, {
    Live,
    Field: (props) => h(KINDS[props.kind], props),
    FilePicker: (props) => h("input", { id: props.id, type: "file", accept: props.accept, hidden: true,
                                        "aria-label": props.label }),
    State: () => null,
    /* A drawing made on the server. */
    Drawing: (props) => h("div", { className: props.className,
                                   dangerouslySetInnerHTML: { __html: props.svg } }),
  });
})();
