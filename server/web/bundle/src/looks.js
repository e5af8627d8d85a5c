// How outlines look: each surface has a hatch and an edge of its own, so that nobody needs its colour to tell it.

import CircleStyle from "ol/style/Circle.js";
import Fill from "ol/style/Fill.js";
import MultiPoint from "ol/geom/MultiPoint.js";
import RegularShape from "ol/style/RegularShape.js";
import Stroke from "ol/style/Stroke.js";
import Style from "ol/style/Style.js";
import Text from "ol/style/Text.js";
import { ringsOf } from "./geojson.js";
import { words } from "./words.js";

/** @typedef {import("./ground.js").Ground} Ground */
/** @typedef {import("ol/Feature.js").default} Feature */

const tile = 16; // pixels; the map repeats hatches every 512, which it divides

/**
 * @typedef {object} Look
 * @property {string} light colour by day
 * @property {string} dark colour by night
 * @property {number} width of the edge
 * @property {number[]|undefined} dash of the edge
 * @property {number} over what lies on what
 * @property {(c: CanvasRenderingContext2D) => void} hatch
 */

/** @type {Record<string, Look>} */
const looks = {
  turf: { light: "#1a6330", dark: "#93d9a0", width: 2.5, dash: undefined, over: 1, hatch: c => lines(c, [2, 6, 2, 2], [10, 14, 10, 10]) },
  bed: { light: "#7a4510", dark: "#e6b878", width: 2.5, dash: [2, 5], over: 3, hatch: c => dots(c, [4, 4], [12, 12]) },
  hardscape: { light: "#4d4d4d", dark: "#c4c4c4", width: 2, dash: [12, 5], over: 4, hatch: c => lines(c, [0, 0.5, 16, 0.5], [0.5, 0, 0.5, 16]) },
  building: { light: "#202020", dark: "#f0f0f0", width: 4, dash: undefined, over: 6, hatch: c => lines(c, [-2, 2, 2, -2], [-2, 10, 10, -2], [-2, 18, 18, -2], [6, 18, 18, 6], [14, 18, 18, 14]) },
  water: { light: "#075985", dark: "#8fcdf5", width: 2.5, dash: [12, 4, 2, 4], over: 2, hatch: waves },
  "keep-off": { light: "#9c1515", dark: "#ff9d8c", width: 3, dash: [5, 6], over: 5, hatch: c => lines(c, [4, 4, 12, 12], [4, 12, 12, 4]) },
  "": { light: "#111111", dark: "#ffffff", width: 2, dash: [2, 8], over: 7, hatch: () => {} },
};

/**
 * @param {CanvasRenderingContext2D} c
 * @param {...number[]} list
 */
function lines(c, ...list) {
  c.beginPath();
  for (const [x, y, u, v] of list) { c.moveTo(x, y); c.lineTo(u, v); }
  c.stroke();
}

/**
 * @param {CanvasRenderingContext2D} c
 * @param {...number[]} list
 */
function dots(c, ...list) {
  for (const [x, y] of list) { c.beginPath(); c.arc(x, y, 1.5, 0, 7); c.fill(); }
}

/** @param {CanvasRenderingContext2D} c */
function waves(c) {
  c.beginPath();
  c.moveTo(-8, 8);
  for (let x = -8; x < 24; x += 8) c.quadraticCurveTo(x + 4, (x / 8) % 2 ? 13 : 3, x + 8, 8);
  c.stroke();
}

/**
 * @param {Look} look
 * @param {string} colour
 * @param {string} paper
 */
function hatched(look, colour, paper) {
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = tile;
  const c = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  c.globalAlpha = 0.35; // a veil, so that the hatch is seen on any picture
  c.fillStyle = paper;
  c.fillRect(0, 0, tile, tile);
  c.globalAlpha = 1;
  c.strokeStyle = c.fillStyle = colour;
  c.lineWidth = 1;
  look.hatch(c);
  return canvas;
}

export class Looks {
  /**
   * @param {HTMLElement} root carries the colours as CSS variables
   * @param {Ground} ground
   */
  constructor(root, ground) {
    this.root = root;
    this.ground = ground;
    this.dark = matchMedia("(prefers-color-scheme: dark)");
    this.dark.addEventListener("change", () => { this.read(); ground.source.changed(); this.onTheme(); });
    this.onTheme = () => {};
    this.ink = this.paper = this.accent = "";
    /** @type {Map<string, CanvasPattern|null>} */
    this.patterns = new Map();
    this.read();
  }

  read() {
    const css = getComputedStyle(this.root);
    const of = (/** @type {string} */ name, /** @type {string} */ or) => css.getPropertyValue(name).trim() || or;
    this.ink = of("--g-ink", "#111111");
    this.paper = of("--g-paper", "#ffffff");
    this.accent = of("--g-accent", "#1d4d2b");
    const c = /** @type {CanvasRenderingContext2D} */ (document.createElement("canvas").getContext("2d"));
    for (const [k, l] of Object.entries(looks)) this.patterns.set(k, c.createPattern(hatched(l, this.colour(l), this.paper), "repeat"));
  }

  /** @param {Look} l */
  colour(l) { return this.dark.matches ? l.dark : l.light; }

  /**
   * A picture of a surface's hatch for its button.
   * @param {string} surface
   * @param {HTMLCanvasElement} canvas
   */
  sample(surface, canvas) {
    const c = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
    const l = looks[surface];
    c.clearRect(0, 0, canvas.width, canvas.height);
    if (!l) { // the truck
      c.fillStyle = this.ink;
      c.fillRect(canvas.width / 2 - 9, canvas.height / 2 - 9, 18, 18);
      c.fillStyle = this.paper;
      c.font = "bold 13px system-ui, sans-serif";
      c.textAlign = "center";
      c.textBaseline = "middle";
      c.fillText("T", canvas.width / 2, canvas.height / 2 + 1);
      return;
    }
    c.fillStyle = this.paper;
    c.fillRect(0, 0, canvas.width, canvas.height);
    c.fillStyle = this.patterns.get(surface) ?? this.paper;
    c.fillRect(0, 0, canvas.width, canvas.height);
    c.strokeStyle = this.colour(l);
    c.lineWidth = l.width;
    c.setLineDash(l.dash ?? []);
    c.strokeRect(2, 2, canvas.width - 4, canvas.height - 4);
  }

  /**
   * The style of an outline.
   * @param {import("ol/Feature.js").FeatureLike} feature
   * @returns {Style[]}
   */
  style(feature) {
    const f = /** @type {Feature} */ (feature);
    const surface = this.ground.surface(f), chosen = this.ground.chosen === f;
    const name = this.ground.members(f).name;
    if (f.getGeometry()?.getType() === "Point") return this.spot(chosen, name);
    const l = looks[surface] ?? looks[""];
    const colour = this.colour(l), z = l.over * 10;
    const out = [
      new Style({ zIndex: z, stroke: new Stroke({ color: this.paper, width: l.width + (chosen ? 7 : 3) }), fill: new Fill({ color: this.patterns.get(surface) ?? "rgba(128,128,128,.1)" }) }),
      new Style({ zIndex: z + 1, stroke: new Stroke({ color: colour, width: l.width + (chosen ? 1.5 : 0), lineDash: l.dash, lineCap: l.dash ? "butt" : "round" }), text: this.label(`${this.ground.number(f)} ${name || words.surfaces[surface] || words.unsaid}`) }),
    ];
    if (chosen) {
      out.push(new Style({
        zIndex: 90,
        image: new CircleStyle({ radius: 5, declutterMode: "none", fill: new Fill({ color: this.paper }), stroke: new Stroke({ color: this.ink, width: 2.5 }) }),
        geometry: x => new MultiPoint(ringsOf(/** @type {Feature} */ (x).getGeometry()).flatMap(r => r.corners)),
      }));
    }
    return out;
  }

  /** @param {string} text */
  label(text) {
    return new Text({ text, font: "600 14px system-ui, sans-serif", overflow: true, fill: new Fill({ color: this.ink }), stroke: new Stroke({ color: this.paper, width: 4 }) });
  }

  /**
   * Where a truck stands.
   * @param {boolean} chosen
   * @param {string|undefined} name
   */
  spot(chosen, name) {
    const under = this.label(name || words.truck);
    under.setOffsetY(22);
    return [
      new Style({ zIndex: 95, image: new RegularShape({ points: 4, radius: chosen ? 17 : 14, angle: Math.PI / 4, fill: new Fill({ color: this.ink }), stroke: new Stroke({ color: chosen ? this.accent : this.paper, width: chosen ? 4 : 2 }), declutterMode: "none" }), text: under }),
      new Style({ zIndex: 96, text: new Text({ text: "T", declutterMode: "none", font: "bold 14px system-ui, sans-serif", fill: new Fill({ color: this.paper }), offsetY: 1 }) }),
    ];
  }

  /** What is being drawn, and the places of a walk. */
  sketch() {
    const paper = new Stroke({ color: this.paper, width: 7 });
    return [
      new Style({ stroke: paper, fill: new Fill({ color: "rgba(128,128,128,.2)" }) }),
      new Style({ stroke: new Stroke({ color: this.accent, width: 3, lineDash: [8, 6] }), image: new CircleStyle({ radius: 7, fill: new Fill({ color: this.accent }), stroke: new Stroke({ color: this.paper, width: 2 }) }) }),
    ];
  }
}
