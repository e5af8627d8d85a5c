// The map on which a day's stops are chosen. It starts on the element with the ID "stops-map"; what is chosen are the ticks of the list beside it.

import CircleStyle from "ol/style/Circle.js";
import DragBox from "ol/interaction/DragBox.js";
import Feature from "ol/Feature.js";
import Fill from "ol/style/Fill.js";
import Map from "ol/Map.js";
import MouseWheelZoom from "ol/interaction/MouseWheelZoom.js";
import Point from "ol/geom/Point.js";
import RegularShape from "ol/style/RegularShape.js";
import ScaleLine from "ol/control/ScaleLine.js";
import Stroke from "ol/style/Stroke.js";
import Style from "ol/style/Style.js";
import Text from "ol/style/Text.js";
import VectorLayer from "ol/layer/Vector.js";
import VectorSource from "ol/source/Vector.js";
import View from "ol/View.js";
import { createEmpty, extend, isEmpty } from "ol/extent.js";
import { defaults as controls } from "ol/control/defaults.js";
import { defaults as interactions } from "ol/interaction/defaults.js";
import { focusWithTabindex, shiftKeyOnly } from "ol/events/condition.js";
import { fromLonLat, transformExtent } from "ol/proj.js";
import { button, make, press } from "./dom.js";
import { underlays } from "./underlay.js";
import { words } from "./words.js";

const nearEnough = 4; // metres a pixel below which the names stand beside the stops

/** @param {HTMLElement} root */
export function startStops(root) {
  const inputs = /** @type {HTMLInputElement[]} */ (Array.from(document.querySelectorAll("input[name=stop][data-at]")));
  const source = new VectorSource();
  for (const input of inputs) {
    const at = (input.dataset.at ?? "").split(",").map(Number);
    if (at.length !== 2 || at.some(v => !Number.isFinite(v))) continue;
    source.addFeature(new Feature({ geometry: new Point(fromLonLat(at)), input, name: input.dataset.label ?? input.value }));
  }
  const yard = (root.dataset.yard ?? "").split(",").map(Number);
  const yardAt = root.dataset.yard && yard.every(Number.isFinite) ? new Feature({ geometry: new Point(fromLonLat(yard)), name: words.yard }) : null;
  if (yardAt) source.addFeature(yardAt);

  const look = looks(root);
  const target = make("div", { class: "map", tabindex: 0, role: "application", "aria-label": words.stopsLabel });
  const said = make("p", { class: "said-here", role: "status" });
  const bar = make("div", { class: "bar" });
  root.classList.add("ground");
  root.replaceChildren(make("div", { class: "frame low" }, target, said), bar);
  const view = new View({ center: [0, 0], zoom: 2, maxZoom: 20, enableRotation: false });
  const layer = new VectorLayer({ source, style: (f, resolution) => look(f, resolution), declutter: false, zIndex: 10 });
  const map = new Map({
    target,
    view,
    controls: controls({ rotate: false, attribution: Boolean(root.dataset.credit) }).extend([new ScaleLine({ units: root.dataset.units === "metric" ? "metric" : "us" })]),
    interactions: interactions({ doubleClickZoom: false, altShiftDragRotate: false, pinchRotate: false, mouseWheelZoom: false, shiftDragZoom: false }).extend([new MouseWheelZoom({ condition: focusWithTabindex })]),
    layers: [layer],
  });
  const box = createEmpty();
  for (const f of source.getFeatures()) extend(box, /** @type {Point} */ (f.getGeometry()).getExtent());
  if (!isEmpty(box) || source.getFeatures().length === 1) view.fit(box, { padding: [40, 40, 40, 40], maxZoom: 16, size: [Math.max(root.clientWidth, 200), 300] });

  const changed = () => document.getElementById("plan-day")?.dispatchEvent(new Event("change", { bubbles: true }));
  document.getElementById("plan-day")?.addEventListener("change", () => layer.changed());
  map.on("singleclick", ev => {
    const f = map.forEachFeatureAtPixel(ev.pixel, x => x, { hitTolerance: 12, layerFilter: l => l === layer });
    const input = /** @type {HTMLInputElement|undefined} */ (f?.get("input"));
    if (!f || !input) return;
    if (input.disabled) { said.textContent = words.stopNot(f.get("name")); return; }
    input.checked = !input.checked;
    said.textContent = (input.checked ? words.stopIn : words.stopOut)(f.get("name"));
    changed();
  });

  let boxing = false;
  const drag = new DragBox({ condition: ev => boxing || shiftKeyOnly(ev) });
  map.addInteraction(drag);
  drag.on("boxend", () => {
    const within = source.getFeaturesInExtent(drag.getGeometry().getExtent()).filter(f => f.get("input") && !f.get("input").disabled);
    for (const f of within) f.get("input").checked = true;
    said.textContent = words.stopsIn(within.length);
    set(false);
    changed();
  });
  const byBox = button(words.byBox, () => set(!boxing), { "aria-pressed": "false" });
  const set = (/** @type {boolean} */ on) => { boxing = on; press(byBox, on); if (on) said.textContent = words.byBoxHint; };
  bar.append(byBox);
  const filter = /** @type {HTMLInputElement|null} */ (document.querySelector("input[name=box]"));
  if (filter?.form) bar.append(button(words.onlyHere, () => { filter.value = transformExtent(view.calculateExtent(), "EPSG:3857", "EPSG:4326").map(v => v.toFixed(5)).join(","); filter.form?.requestSubmit(); }));
  const under = underlays(map, root.dataset);
  if (under) root.append(under);
  Object.assign(window, { tankfulStops: { map, source } }); // for tests of the page
}

/**
 * A stop that is chosen is a filled square, one that is not a ring, one that cannot be is a cross: nobody needs a colour to tell them.
 * @param {HTMLElement} root
 * @returns {(f: import("ol/Feature.js").FeatureLike, resolution: number) => Style[]}
 */
function looks(root) {
  const of = (/** @type {string} */ name, /** @type {string} */ usual) => getComputedStyle(root).getPropertyValue(name).trim() || usual;
  /** @type {Record<string, Style>} */
  let made = {};
  let ink = "", paper = "";
  const make = () => {
    ink = of("--ink", "#111613"); paper = of("--paper", "#ffffff");
    const line = new Stroke({ color: ink, width: 3 }), halo = new Stroke({ color: paper, width: 7 });
    made = {
      in: new Style({ image: new RegularShape({ points: 4, radius: 12, angle: Math.PI / 4, fill: new Fill({ color: ink }), stroke: new Stroke({ color: paper, width: 2 }) }), zIndex: 3 }),
      tick: new Style({ text: new Text({ text: "\u2713", font: "bold 14px sans-serif", fill: new Fill({ color: paper }) }), zIndex: 4 }),
      out: new Style({ image: new CircleStyle({ radius: 8, fill: new Fill({ color: paper }), stroke: line }), zIndex: 2 }),
      not: new Style({ image: new RegularShape({ points: 4, radius: 9, radius2: 0, angle: Math.PI / 4, stroke: line }), zIndex: 1 }),
      notUnder: new Style({ image: new RegularShape({ points: 4, radius: 9, radius2: 0, angle: Math.PI / 4, stroke: halo }), zIndex: 1 }),
      yard: new Style({ image: new RegularShape({ points: 3, radius: 12, fill: new Fill({ color: paper }), stroke: line }), zIndex: 5 }),
    };
  };
  make();
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", make);
  const named = (/** @type {string} */ text) => new Style({ text: new Text({ text, font: "600 14px system-ui, sans-serif", offsetY: 20, fill: new Fill({ color: ink }), stroke: new Stroke({ color: paper, width: 4 }) }), zIndex: 6 });
  return (f, resolution) => {
    const input = /** @type {HTMLInputElement|undefined} */ (f.get("input"));
    const out = !input ? [made.yard] : input.disabled ? [made.notUnder, made.not] : input.checked ? [made.in, made.tick] : [made.out];
    return !input || resolution < nearEnough ? [...out, named(f.get("name"))] : out;
  };
}
