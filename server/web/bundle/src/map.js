// The map on which a property's outlines are drawn and corrected. It starts on the element with the ID "ground", when the page has one; the map of a day's stops
// on "stops-map".

import Map from "ol/Map.js";
import MouseWheelZoom from "ol/interaction/MouseWheelZoom.js";
import VectorLayer from "ol/layer/Vector.js";
import View from "ol/View.js";
import { createEmpty, extend, getCenter, isEmpty } from "ol/extent.js";
import { defaults as controls } from "ol/control/defaults.js";
import { defaults as interactions } from "ol/interaction/defaults.js";
import { focusWithTabindex } from "ol/events/condition.js";
import { fromLonLat } from "ol/proj.js";
import { Bring } from "./bring.js";
import { Corners, typedForm } from "./corners.js";
import { featureOf, Figures } from "./figures.js";
import { Ground } from "./ground.js";
import { Looks } from "./looks.js";
import { buttons, layOut } from "./panel.js";
import { underlays } from "./underlay.js";
import ScaleLine from "ol/control/ScaleLine.js";
import { Save } from "./save.js";
import { startStops } from "./stops.js";
import { Table } from "./table.js";
import { Tools } from "./tools.js";
import { Walk } from "./walk.js";

/** @typedef {import("ol/Feature.js").default} Feature */

/** @param {HTMLElement} root */
function start(root) {
  const data = root.dataset, csrf = data.csrf ?? "";
  const only = data.look === "only"; // who may look but not measure
  const { target, frame, cross, tools: place, side, say } = layOut(root);
  const ground = new Ground();
  const looks = new Looks(root, ground);
  const view = new View({ center: [0, 0], zoom: 2, maxZoom: 23, enableRotation: false });
  const map = new Map({
    target,
    view,
    controls: controls({ rotate: false, attribution: Boolean(data.credit) }).extend([new ScaleLine({ units: data.units === "metric" ? "metric" : "us" })]),
    interactions: interactions({ doubleClickZoom: false, altShiftDragRotate: false, pinchRotate: false, mouseWheelZoom: false }).extend([new MouseWheelZoom({ condition: focusWithTabindex })]), // the wheel scrolls the page until the map is used
    layers: [Object.assign(new VectorLayer({ source: ground.source, style: f => looks.style(f), declutter: true, zIndex: 10, properties: { ground: true } }))],
  });
  const tools = new Tools(map, ground, looks, say);
  const walk = new Walk(map, tools, looks, say);

  const fit = (/** @type {Feature[]} */ features) => {
    const box = createEmpty();
    for (const f of features) { const g = f.getGeometry(); if (g) extend(box, g.getExtent()); }
    if (!isEmpty(box)) view.fit(box, { padding: [40, 30, 60, 30], maxZoom: 20 });
    else if (Number.isFinite(box[0])) view.setCenter(getCenter(box));
    return Number.isFinite(box[0]);
  };
  const show = (/** @type {Feature} */ f) => { ground.choose(f); fit([f]); frame.scrollIntoView({ block: "nearest" }); };
  const go = (/** @type {import("./figures.js").Problem} */ p) => {
    const f = ground.list[featureOf(p) - 1];
    if (f) show(f);
    if (p.at) view.animate({ center: fromLonLat(p.at), zoom: Math.max(view.getZoom() ?? 0, 19), duration: 300 });
    frame.scrollIntoView({ block: "nearest" });
  };

  const figures = new Figures(ground, { url: data.measure ?? "", csrf, go });
  const save = new Save(ground, { url: data.save ?? "", property: data.property ?? "", csrf, say, problems: l => figures.showProblems(l.map(p => ({ ...p, feature: featureOf(p) }))) });
  place.before(save.offer);
  buttons(place, { tools, walk, ground, save, looks, frame, cross, only });
  const table = new Table(ground, { show, remove: f => tools.takeAway(f), only });
  const corners = new Corners(ground, { only, look: c => { if (!view.calculateExtent().some(Number.isNaN) && !inside(view.calculateExtent(), c)) view.setCenter(c); } });
  const under = underlays(map, data);
  side.append(table.element, corners.element);
  if (!only) side.append(typedForm(ground, tools, say), new Bring(ground, { root, csrf, say, fit }).element);
  if (under) side.append(under);

  save.onLoad = () => {
    if (!fit(ground.list)) begin(view, data.center);
    tools.set(only || ground.list.length ? "look" : "draw");
  };
  if (!only && data.measure) ground.on("change", () => figures.soon());
  const ready = save.load();
  // For tests of the page: select takes a number of the list, from 1.
  Object.assign(window, { tankfulMap: { map, source: ground.source, ground, tools, ready, select: (/** @type {number} */ i) => { if (ground.list[i - 1]) show(ground.list[i - 1]); } } });
}

/**
 * @param {number[]} box
 * @param {number[]} c
 */
function inside(box, c) {
  return c[0] >= box[0] && c[0] <= box[2] && c[1] >= box[1] && c[1] <= box[3];
}

/**
 * Where an empty map begins.
 * @param {View} view
 * @param {string|undefined} text longitude, latitude and zoom
 */
function begin(view, text) {
  const [lon, lat, zoom] = (text ?? "").split(",").map(Number);
  if (!text || !Number.isFinite(lon) || !Number.isFinite(lat)) return;
  view.setCenter(fromLonLat([lon, lat]));
  view.setZoom(Number.isFinite(zoom) ? zoom : 17);
}

const root = document.getElementById("ground");
if (root) start(root);
const stops = document.getElementById("stops-map");
if (stops) startStops(stops);
