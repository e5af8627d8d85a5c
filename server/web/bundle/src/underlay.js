// Pictures under the outlines: a plan or a photograph of the property, tiles of one, and a map from a tile server.

import ImageLayer from "ol/layer/Image.js";
import ImageStatic from "ol/source/ImageStatic.js";
import TileLayer from "ol/layer/Tile.js";
import XYZ from "ol/source/XYZ.js";
import { fromLonLat } from "ol/proj.js";
import { getRenderPixel } from "ol/render.js";
import { apply } from "ol/transform.js";
import { make } from "./dom.js";
import { words } from "./words.js";

/**
 * @typedef {{name: string, url?: string, extent?: number[], tiles?: string, deepest?: number, edge?: number[][]}} Picture
 */

/**
 * Draws of a layer only what lies within a ring of degrees: a turned photograph is white outside of its edge.
 * @param {import("ol/layer/Base.js").default} layer
 * @param {number[][]} edge
 */
function cut(layer, edge) {
  const ring = edge.map(p => fromLonLat(p));
  layer.on("prerender", ev => {
    const context = /** @type {CanvasRenderingContext2D} */ (ev.context);
    context.save();
    context.beginPath();
    for (const p of ring) {
      const [x, y] = getRenderPixel(ev, apply(/** @type {import("ol/render/Event.js").default} */ (ev).frameState.coordinateToPixelTransform, p.slice()));
      context.lineTo(x, y);
    }
    context.clip();
  });
  layer.on("postrender", ev => /** @type {CanvasRenderingContext2D} */ (ev.context).restore());
}

/**
 * What a map shows as the credit is HTML to the map, and text to whoever has written it.
 * @param {string|undefined} text
 * @returns {string|undefined}
 */
function asHTML(text) {
  return text ? make("span", { text }).innerHTML : undefined;
}

/**
 * @param {Picture} p
 * @returns {import("ol/layer/Base.js").default|null}
 */
function layerOf(p) {
  if (p.tiles) return new TileLayer({ source: new XYZ({ url: p.tiles, maxZoom: p.deepest || 19 }) }); // deeper in, the last tiles are drawn larger
  if (!p.url || p.extent?.length !== 4) return null;
  const layer = new ImageLayer({ source: new ImageStatic({ url: p.url, imageExtent: p.extent, projection: "EPSG:4326" }) });
  if (p.edge) cut(layer, p.edge);
  return layer;
}

/**
 * Adds the layers and answers with their switches, null when there are none.
 * @param {import("ol/Map.js").default} map
 * @param {DOMStringMap} data tiles, credit, deepest and underlay of the map's element
 * @returns {HTMLElement|null}
 */
export function underlays(map, data) {
  const rows = [];
  /** @type {[string, import("ol/layer/Base.js").default|null][]} */
  const all = readPictures(data.underlay).map(p => [p.name, layerOf(p)]);
  if (data.tiles) all.unshift([words.street, new TileLayer({ source: new XYZ({ url: data.tiles, maxZoom: Number(data.deepest) || 19, attributions: asHTML(data.credit) }) })]);
  for (const [i, [name, layer]] of all.entries()) {
    if (!layer) continue;
    layer.setZIndex(i - all.length); // below the outlines, in their order
    map.addLayer(layer);
    const on = make("input", { type: "checkbox", checked: true, change: () => layer.setVisible(on.checked) });
    const strength = make("input", { type: "range", min: 0, max: 100, value: "100", "aria-label": words.strength(name), input: () => layer.setOpacity(Number(strength.value) / 100) });
    rows.push(make("div", { class: "under" }, make("label", { class: "tick" }, on, name), strength));
  }
  return rows.length ? make("section", { class: "underlays" }, make("h2", { text: words.under }), ...rows) : null;
}

/**
 * @param {string|undefined} json
 * @returns {Picture[]}
 */
function readPictures(json) {
  try {
    const list = JSON.parse(json || "[]");
    return Array.isArray(list) ? list : [list];
  } catch {
    return [];
  }
}
