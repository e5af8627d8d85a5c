// The map on which outlines are drawn and corrected. It draws and sends; every figure comes from the server as text.
import OLMap from "ol/Map.js";
import View from "ol/View.js";
import VectorLayer from "ol/layer/Vector.js";
import TileLayer from "ol/layer/Tile.js";
import ImageLayer from "ol/layer/Image.js";
import VectorSource from "ol/source/Vector.js";
import XYZ from "ol/source/XYZ.js";
import ImageStatic from "ol/source/ImageStatic.js";
import GeoJSON from "ol/format/GeoJSON.js";
import Feature from "ol/Feature.js";
import Polygon from "ol/geom/Polygon.js";
import Draw from "ol/interaction/Draw.js";
import Modify from "ol/interaction/Modify.js";
import Snap from "ol/interaction/Snap.js";
import Geolocation from "ol/Geolocation.js";
import { fromLonLat } from "ol/proj.js";
import { altKeyOnly, singleClick } from "ol/events/condition.js";
import { words, surfaces } from "./words.js";
import { look } from "./look.js";
import { inside, crosses, split } from "./shape.js";
import { table } from "./table.js";

const root = document.getElementById("ground");
if (root) start(root);

function start(root) {
  const { save, measure, property } = root.dataset, may = root.dataset.look !== "only", draftKey = "tankful drawing " + property;
  const format = new GeoJSON(), read = { dataProjection: "EPSG:4326", featureProjection: "EPSG:3857" }, write = { ...read, decimals: 8, rightHanded: true };
  const el = (tag, set = {}, ...kids) => { const e = Object.assign(document.createElement(tag), set); e.append(...kids); return e; };
  const source = new VectorSource(), view = new View({ center: [0, 0], zoom: 2, maxZoom: 23 });
  const pane = el("div", { className: "map-view", tabIndex: 0 }); pane.setAttribute("aria-label", "Map of the outlines. The list beside it says the same.");
  const pads = el("div", { className: "pads" }), tell = el("p", { className: "tell" }), side = el("div", { className: "outlines" });
  tell.setAttribute("role", "status");
  root.append(pads, tell, pane, side);
  let chosen = null, etag = null, whole = { type: "FeatureCollection" }, dirty = false, past = [], future = [], mode = "none";
  const layers = under(root);
  const map = new OLMap({ target: pane, view, layers: [...layers, new VectorLayer({ source, style: f => look(f, f === chosen) })] });
  const say = text => { tell.textContent = text; };

  // --- what is drawn, as text
  function text() {
    const out = JSON.parse(format.writeFeatures(source.getFeatures(), write));
    for (const f of out.features) delete f.properties?.geometry;
    return JSON.stringify({ ...whole, features: out.features });
  }
  function show(json) {
    const { features, ...rest } = json;
    whole = rest;
    source.clear(); chosen = null;
    source.addFeatures(format.readFeatures({ type: "FeatureCollection", features: features || [] }, read));
    list.draw(source.getFeatures(), chosen);
  }
  function fit() {
    if (source.getFeatures().length) view.fit(source.getExtent(), { padding: [40, 40, 40, 40], maxZoom: 21 });
    else if (root.dataset.center) { const [lon, lat, zoom] = root.dataset.center.split(",").map(Number); view.setCenter(fromLonLat([lon, lat])); view.setZoom(zoom || 15); }
  }

  // --- every change: kept for undo and on this device, listed, measured by the server
  let timer = 0, asking = null;
  function changed(remember = true) {
    const now = text();
    if (remember) { past.push(last); future = []; if (past.length > 200) past.shift(); }
    last = now; dirty = true;
    try { localStorage.setItem(draftKey, JSON.stringify({ etag, now })); } catch { /* nothing is kept here */ }
    list.draw(source.getFeatures(), chosen);
    if (may) say(words.unsaved);
    clearTimeout(timer); timer = setTimeout(ask, 300);
  }
  let last = "";
  async function ask() {
    asking?.abort(); asking = new AbortController();
    try {
      const r = await fetch(measure, { method: "POST", headers: { "Content-Type": "application/geo+json" }, body: text(), signal: asking.signal });
      if (r.ok) figures(await r.json());
    } catch (e) { if (e.name !== "AbortError") say(words.away); }
  }
  function figures(m) {
    const box = document.getElementById("figures"), problems = document.getElementById("problems");
    box.replaceChildren(...m.figures.map(f => el("div", {}, el("dt", { textContent: f.label }), el("dd", { textContent: f.value }), ...(f.note ? [el("dd", { className: "note", textContent: f.note })] : []))));
    told(problems, m.problems);
  }
  function told(box, problems) {
    box.replaceChildren(...problems.map(p => {
      const li = el("li", { className: p.severity }, el("b", { textContent: p.where }), " " + p.what + " ", el("i", { textContent: p.fix }));
      const f = source.getFeatures()[p.feature - 1];
      if (f) { const b = el("button", { type: "button", className: "plain", textContent: words.show }); b.onclick = () => choose(f, true); li.append(" ", b); }
      return li;
    }));
  }
  function choose(f, go) {
    chosen = f; source.changed(); list.draw(source.getFeatures(), chosen);
    if (f && go) view.fit(f.getGeometry().getExtent(), { padding: [60, 60, 60, 60], maxZoom: 21 });
  }
  const list = table(side, { may, choose, changed: () => { source.changed(); changed(); }, remove: f => { source.removeFeature(f); if (chosen === f) chosen = null; changed(); } });

  // --- ways of working with the map
  const surface = el("select"); surface.setAttribute("aria-label", words.label.surface);
  surface.append(...surfaces.map(s => el("option", { value: s, textContent: s })));
  const trace = el("input", { type: "checkbox" });
  let hands = [];
  const buttons = {};
  function work(next) {
    mode = mode === next ? "none" : next;
    for (const h of hands) map.removeInteraction(h);
    hands = [];
    for (const k in buttons) buttons[k].setAttribute("aria-pressed", String(k === mode));
    say(words.hints[mode] || words.hints.none);
    const add = h => { hands.push(h); map.addInteraction(h); return h; };
    const polygon = () => add(new Draw({ source: new VectorSource(), type: "Polygon", stopClick: true, trace: trace.checked, traceSource: source, snapTolerance: 14 }));
    if (mode === "draw") polygon().on("drawend", e => { const f = new Feature({ geometry: e.feature.getGeometry(), surface: surface.value }); source.addFeature(f); chosen = f; changed(); });
    if (mode === "cut") polygon().on("drawend", e => cut(e.feature.getGeometry().getCoordinates()[0]));
    if (mode === "split") add(new Draw({ source: new VectorSource(), type: "LineString", stopClick: true })).on("drawend", e => divide(e.feature.getGeometry().getCoordinates()));
    if (mode === "corners") add(new Modify({ source, pixelTolerance: 16, deleteCondition: e => altKeyOnly(e) && singleClick(e) })).on("modifyend", () => changed());
    if (mode === "truck") add(new Draw({ source: new VectorSource(), type: "Point", stopClick: true })).on("drawend", e => { source.addFeature(new Feature({ geometry: e.feature.getGeometry(), role: "truck" })); changed(); });
    if (["draw", "cut", "split", "corners"].includes(mode)) add(new Snap({ source, pixelTolerance: 12 })); // last, or it has no say
  }
  const polygons = f => { const g = f.getGeometry(); return g.getType() === "Polygon" ? [g] : g.getType() === "MultiPolygon" ? g.getPolygons() : []; };
  function cut(ring) {
    for (const f of source.getFeatures()) {
      const parts = polygons(f), i = parts.findIndex(p => ring.every(c => inside(c, p.getCoordinates()[0])) && !p.getCoordinates().some(r => crosses(ring, r)));
      if (i < 0) continue;
      parts[i].appendLinearRing(new Polygon([ring]).getLinearRing(0));
      if (parts.length > 1) f.getGeometry().setCoordinates(parts.map(p => p.getCoordinates())); else f.setGeometry(parts[0].clone());
      chosen = f; changed();
      return;
    }
    say(words.noHole);
  }
  function divide(line) {
    for (const f of source.getFeatures()) {
      const g = f.getGeometry();
      if (g.getType() !== "Polygon" || g.getLinearRingCount() > 1) continue;
      const two = split(g.getCoordinates()[0], line);
      if (!two) continue;
      const other = f.clone(); other.setId(undefined);
      g.setCoordinates([two[0]]); other.getGeometry().setCoordinates([two[1]]);
      source.addFeature(other); changed();
      return;
    }
    say(words.noSplit);
  }
  map.on("singleclick", e => {
    if (!["none", "drop", "corners"].includes(mode)) return;
    const f = map.forEachFeatureAtPixel(e.pixel, x => x, { hitTolerance: 6 });
    if (mode === "drop" && f) { source.removeFeature(f); if (chosen === f) chosen = null; changed(); } else choose(f || null);
  });
  function undo(from, to) {
    if (!from.length) return;
    to.push(text());
    const was = from.pop();
    show(JSON.parse(was)); changed(false);
  }

  // --- the place of the device
  const here = new Geolocation({ trackingOptions: { enableHighAccuracy: true }, projection: view.getProjection() });
  here.on("error", () => say(words.noPlace));
  function whereIAm() { here.setTracking(true); here.once("change:position", () => { view.setCenter(here.getPosition()); if (view.getZoom() < 18) view.setZoom(19); if (mode !== "walk") here.setTracking(false); }); }
  let walked = [];
  function step() {
    if (mode !== "walk" || walkPaused) return;
    const good = here.getAccuracy();
    if (good > 10) { say(words.vague(Math.round(good))); return; }
    const p = here.getPosition(), q = walked.at(-1);
    if (q && Math.hypot(p[0] - q[0], p[1] - q[1]) < 1) return;
    walked.push(p); say(words.hints.walk + " " + walked.length);
  }
  here.on("change:position", step);
  let walkPaused = false;
  const walkPad = el("span", { hidden: true });
  for (const [name, f] of [[words.pause, () => { walkPaused = !walkPaused; }], [words.dropLast, () => { walked.pop(); say(String(walked.length)); }], [words.close, () => { if (walked.length > 2) { const f = new Feature({ geometry: new Polygon([[...walked, walked[0]]]), surface: surface.value }); source.addFeature(f); chosen = f; changed(); } endWalk(); }], [words.stop, endWalk]]) { const b = el("button", { type: "button", textContent: name }); b.onclick = f; walkPad.append(b, " "); }
  function endWalk() { walked = []; walkPaused = false; walkPad.hidden = true; here.setTracking(false); if (mode === "walk") work("walk"); }
  function walk() { walked = []; walkPad.hidden = false; work("walk"); if (mode === "walk") here.setTracking(true); else endWalk(); }

  // --- keeping
  async function keep(force) {
    if (force) etag = force;
    const head = { "Content-Type": "application/geo+json", ...(etag ? { "If-Match": etag } : { "If-None-Match": "*" }) };
    let r;
    try { r = await fetch(save, { method: "PUT", headers: head, body: text() }); } catch { say(words.away); return; }
    const body = await r.json().catch(() => ({}));
    if (r.ok) {
      etag = r.headers.get("ETag"); dirty = false;
      try { localStorage.removeItem(draftKey); } catch { /* nothing was kept */ }
      told(document.getElementById("problems"), body.problems || []);
      say(words.saved(body.version));
    } else if (r.status === 412 && body.newest) conflict(body.newest);
    else { say(body.title + ". " + (body.detail || "")); told(document.getElementById("problems"), (body.problems || []).map(p => ({ feature: 0, ...p }))); }
  }
  function conflict(newest) {
    const box = el("dialog", {}, el("p", { textContent: words.conflict(newest.version) })), theirs = el("button", { type: "button", textContent: words.theirs }), mine = el("button", { type: "button", textContent: words.mine });
    theirs.onclick = () => { past.push(text()); etag = `"${newest.version}"`; show(newest.body); changed(false); box.close(); };
    mine.onclick = () => { box.close(); keep(`"${newest.version}"`); };
    box.append(theirs, " ", mine); box.onclose = () => box.remove();
    root.append(box); box.showModal();
  }
  addEventListener("beforeunload", e => { if (dirty && may) e.preventDefault(); });

  // --- files that somebody brings
  const chooser = el("input", { type: "file", hidden: true });
  chooser.onchange = () => { if (chooser.files[0]) bring(chooser.files[0]); chooser.value = ""; };
  async function bring(file) {
    let r;
    try { r = await fetch("/api/read?name=" + encodeURIComponent(file.name), { method: "POST", headers: { "Content-Type": "application/octet-stream" }, body: file }); } catch { say(words.away); return; }
    const body = await r.json();
    if (!r.ok) { say(body.title + ". " + (body.detail || "")); return; }
    told(document.getElementById("problems"), body.problems.map(p => ({ ...p, feature: 0 })));
    if (body.properties.length === 0) return;
    const take = p => { const fs = format.readFeatures(p.geojson, read); source.addFeatures(fs); changed(); fit(); say(words.took(fs.length)); };
    if (body.properties.length === 1) { take(body.properties[0]); return; }
    const box = el("dialog", {}, el("p", { textContent: words.several }));
    for (const p of body.properties) { const b = el("button", { type: "button", textContent: p.name || p.id }); b.onclick = () => { box.close(); take(p); }; box.append(b, " "); }
    box.onclose = () => box.remove(); root.append(box); box.showModal();
  }
  addEventListener("dragover", e => { if (may) { e.preventDefault(); pane.classList.add("drop"); } });
  addEventListener("dragleave", () => pane.classList.remove("drop"));
  addEventListener("drop", e => { if (!may) return; e.preventDefault(); pane.classList.remove("drop"); for (const f of e.dataTransfer.files) bring(f); });

  // --- the pads
  const pad = (name, label, f, press) => { const b = el("button", { type: "button", textContent: label }); if (press) { buttons[name] = b; b.setAttribute("aria-pressed", "false"); } b.dataset.pad = name; b.onclick = f; return b; };
  if (may) {
    const label = el("label", { className: "tick" }, trace, " " + words.follow);
    trace.onchange = () => { if (mode === "draw" || mode === "cut") { const m = mode; work(m); work(m); } };
    pads.append(surface, pad("draw", words.draw, () => work("draw"), true), pad("cut", words.cut, () => work("cut"), true), pad("split", words.split, () => work("split"), true), pad("corners", words.corners, () => work("corners"), true), pad("drop", words.drop, () => work("drop"), true), pad("truck", words.truck, () => work("truck"), true),
      pad("back", words.back, () => undo(past, future)), pad("forth", words.forth, () => undo(future, past)), pad("here", words.here, whereIAm), pad("walk", words.walk, walk, true), walkPad, pad("file", words.file, () => chooser.click()), chooser, label, pad("save", words.save, () => keep()));
    pads.querySelector("[data-pad=save]").classList.add("main");
  } else pads.append(pad("here", words.here, whereIAm));
  pads.append(...knobs(layers, el));

  (async () => {
    try {
      const r = await fetch(save);
      if (r.ok) { etag = r.headers.get("ETag"); show(await r.json()); }
      const draft = JSON.parse(localStorage.getItem(draftKey) || "null");
      if (may && draft && draft.etag === etag) { last = text(); past.push(last); show(JSON.parse(draft.now)); dirty = true; say(words.kept); } else say(words.hints.none);
    } catch { say(words.away); }
    last = text(); fit(); ask();
  })();
  window.tankfulMap = { map, source, select: i => choose(source.getFeatures()[i] || null, true) };
}

// under are the pictures and tiles beneath the outlines.
function under(root) {
  const out = [];
  if (root.dataset.tiles) out.push(Object.assign(new TileLayer({ source: new XYZ({ url: root.dataset.tiles, maxZoom: 20 }) }), { label: "Tiles" }));
  for (const u of JSON.parse(root.dataset.underlay || "[]")) out.push(Object.assign(u.tiles ? new TileLayer({ source: new XYZ({ url: u.tiles }) }) : new ImageLayer({ source: new ImageStatic({ url: u.url, imageExtent: u.extent, projection: "EPSG:4326" }) }), { label: u.name }));
  return out;
}

function knobs(layers, el) {
  return layers.flatMap(l => {
    const on = el("input", { type: "checkbox", checked: true }), how = el("input", { type: "range", min: 0, max: 100, value: 100 });
    on.onchange = () => l.setVisible(on.checked); how.oninput = () => l.setOpacity(how.value / 100);
    how.setAttribute("aria-label", l.label);
    return [el("label", { className: "tick" }, on, " " + l.label), how];
  });
}
