// The list of outlines beside the map: everything that the mouse can do to a corner, the keyboard can do here.
import { toLonLat, fromLonLat } from "ol/proj.js";
import { words, surfaces } from "./words.js";

export function table(box, { may, choose, changed, remove }) {
  const el = (tag, set = {}, ...kids) => { const e = Object.assign(document.createElement(tag), set); e.append(...kids); return e; };
  const rings = f => { const g = f.getGeometry(); switch (g.getType()) { case "Polygon": return g.getCoordinates(); case "MultiPolygon": return g.getCoordinates().flat(); default: return []; } };
  const put = (f, k, ring) => {
    const g = f.getGeometry();
    if (g.getType() === "Polygon") { const c = g.getCoordinates(); c[k] = ring; g.setCoordinates(c); return; }
    const c = g.getCoordinates(); let n = 0;
    for (const p of c) for (let i = 0; i < p.length; i++) if (n++ === k) p[i] = ring;
    g.setCoordinates(c);
  };
  function row(f, chosen) {
    const truck = f.get("role") === "truck";
    const set = key => e => { const v = e.target.value.trim(); if (v) f.set(key, v); else f.unset(key); changed(); };
    const input = key => { const i = el("input", { value: f.get(key) || "", disabled: !may }); i.setAttribute("aria-label", words.label[key]); i.onchange = set(key); return i; };
    const surface = el("select", { disabled: !may }); surface.setAttribute("aria-label", words.label.surface);
    surface.append(...surfaces.map(s => el("option", { value: s, textContent: s, selected: s === (f.get("surface") || "turf") })));
    surface.onchange = set("surface");
    const go = el("button", { type: "button", textContent: words.show }); go.onclick = () => choose(f, true);
    const gone = el("button", { type: "button", className: "plain", textContent: words.remove }); gone.onclick = () => remove(f);
    const n = rings(f).reduce((sum, r) => sum + r.length - 1, 0);
    const tr = el("tr", {}, el("td", {}, truck ? "truck" : surface), el("td", {}, truck ? "" : input("name")), el("td", {}, truck || (f.get("surface") || "turf") !== "turf" ? "" : input("zone")), el("td", { textContent: truck ? "" : n }), el("td", {}, go, ...(may ? [" ", gone] : [])));
    if (f === chosen) tr.setAttribute("aria-current", "true");
    return tr;
  }
  function corners(f) {
    const out = el("details", { open: false }, el("summary", { textContent: words.more + " " + (f.get("name") || f.get("surface") || "") }));
    rings(f).forEach((ring, k) => {
      const t = el("table", { className: "corner" });
      const lonlat = ring.slice(0, -1).map(c => toLonLat(c));
      const keep = () => { const r = lonlat.map(c => fromLonLat(c)); put(f, k, [...r, r[0]]); changed(); };
      lonlat.forEach((c, i) => {
        const tr = el("tr", {}, el("td", { textContent: i + 1 }));
        [0, 1].forEach(d => {
          const x = el("input", { value: c[d].toFixed(8), inputMode: "decimal", disabled: !may }); x.setAttribute("aria-label", (d ? words.label.lat : words.label.lon) + " " + (i + 1));
          x.onchange = () => { const v = Number(x.value); if (Number.isFinite(v) && Math.abs(v) <= (d ? 90 : 180)) { lonlat[i][d] = v; keep(); } else x.value = c[d].toFixed(8); };
          tr.append(el("td", {}, x));
        });
        if (may) {
          const gone = el("button", { type: "button", className: "plain", textContent: words.remove, disabled: lonlat.length < 4 }); gone.onclick = () => { lonlat.splice(i, 1); keep(); };
          const more = el("button", { type: "button", className: "plain", textContent: words.add }); more.onclick = () => { const n = lonlat[(i + 1) % lonlat.length]; lonlat.splice(i + 1, 0, [(c[0] + n[0]) / 2, (c[1] + n[1]) / 2]); keep(); };
          tr.append(el("td", {}, more, " ", gone));
        }
        t.append(tr);
      });
      out.append(t);
    });
    return out;
  }
  return {
    draw(features, chosen) {
      const open = box.querySelector("details")?.open;
      const head = el("tr", {}, ...["surface", "name", "zone", "corners"].map(k => el("th", { scope: "col", textContent: words.label[k] })), el("th"));
      box.replaceChildren(el("h2", { textContent: words.table }), el("div", { className: "table" }, el("table", {}, el("thead", {}, head), el("tbody", {}, ...features.map(f => row(f, chosen))))));
      if (chosen && rings(chosen).length) { const c = corners(chosen); c.open = !!open; box.append(c); }
    },
  };
}
