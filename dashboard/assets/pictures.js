/* Charts: the library is fetched when the first chart comes into sight; colours follow the page. */
(function () {
  "use strict";
  const { createElement: h, useEffect, useRef } = window.React;
  let library = null;

  function fetched(address) {
    library = library || new Promise((ready, failed) => {
      const script = document.createElement("script");
      script.src = address;
      script.onload = () => ready(window.Plotly);
      script.onerror = () => { library = null; failed(new Error("no charts")); };
      document.head.appendChild(script);
    });
    return library;
  }

  /* Replace "var(--name)" anywhere in a figure by the colour that the page shows now. */
  function inked(tree, style) {
    if (typeof tree === "string") {
      return tree.replace(/var\((--[a-z-]+)\)/g, (_, name) => style.getPropertyValue(name).trim());
    }
    if (Array.isArray(tree)) {
      return typeof tree[0] === "number" ? tree : tree.map((part) => inked(part, style));
    }
    if (tree !== null && typeof tree === "object") {
      return Object.fromEntries(Object.entries(tree).map(([key, part]) => [key, inked(part, style)]));
    }
    return tree;
  }

  function Picture(props) {
    const place = useRef(null);
    const inSight = useRef(false);
    useEffect(() => {
      let gone = false, seen = inSight.current, watched = null;
      const draw = () => {
        if (gone || !seen || !place.current) return;
        fetched(props.bundle).then((Plotly) => {
          if (gone || !place.current) return;
          const style = getComputedStyle(document.documentElement);
          const figure = inked(props.figure, style);
          const wide = place.current.clientWidth;
          const layout = { ...figure.layout, autosize: true, width: wide, height: props.height };
          const still = { displayModeBar: false, responsive: false, scrollZoom: false,
                          doubleClick: false, staticPlot: wide < 500 };
          Plotly.react(place.current, figure.data, layout, still).then(() => {
            if (place.current) place.current.dataset.drawn = "yes";
          });
        }).catch(() => { if (place.current) place.current.dataset.drawn = "no"; });
      };
      const sight = new IntersectionObserver((entries) => {
        if (entries.some((entry) => entry.isIntersecting)) {
          seen = inSight.current = true;
          sight.disconnect();
          draw();
        }
      }, { rootMargin: "400px" });
      if (seen) draw(); else sight.observe(place.current);
      let width = place.current.clientWidth;
      watched = new ResizeObserver(() => {
        if (place.current && Math.abs(place.current.clientWidth - width) > 2) {
          width = place.current.clientWidth;
          draw();
        }
      });
      watched.observe(place.current);
      const all = () => { seen = inSight.current = true; draw(); };
      const dark = window.matchMedia("(prefers-color-scheme: dark)");
      document.addEventListener("heatersel-look", draw);
      dark.addEventListener("change", draw);
      window.addEventListener("beforeprint", all);
      return () => {
        gone = true;
        sight.disconnect();
        watched.disconnect();
        document.removeEventListener("heatersel-look", draw);
        dark.removeEventListener("change", draw);
        window.removeEventListener("beforeprint", all);
      };
    }, [JSON.stringify(props.figure), props.height]);
    return h("div", { ref: place, className: "chart", id: props.id, role: "img",
                      "aria-label": props.label, style: { height: props.height + "px" } });
  }

  window.heatersel_page = Object.assign(window.heatersel_page || {}, { Picture });
})();
