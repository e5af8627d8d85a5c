// What a tap on the map does: one tool at a time.

import Draw from "ol/interaction/Draw.js";
import Modify from "ol/interaction/Modify.js";
import Snap from "ol/interaction/Snap.js";
import Polygon from "ol/geom/Polygon.js";
import MultiPolygon from "ol/geom/MultiPolygon.js";
import Point from "ol/geom/Point.js";
import { altKeyOnly, always, never, singleClick } from "ol/events/condition.js";
import { crossesItself, holeFits } from "./rings.js";
import { part } from "./part.js";
import { words } from "./words.js";

/** @typedef {import("./ground.js").Ground} Ground */
/** @typedef {import("ol/Feature.js").default} Feature */
/** @typedef {"look"|"draw"|"hole"|"part"|"shift"|"out"|"away"} Tool */

export class Tools {
  /**
   * @param {import("ol/Map.js").default} map
   * @param {Ground} ground
   * @param {import("./looks.js").Looks} looks
   * @param {(text: string) => void} say
   */
  constructor(map, ground, looks, say) {
    this.map = map;
    this.ground = ground;
    this.looks = looks;
    this.say = say;
    /** @type {Tool} */
    this.tool = "look";
    this.surface = "turf";
    this.follow = false;
    /** @type {Draw|null} */
    this.draw = null;
    /** @type {Modify|null} */
    this.modify = null;
    /** @type {Feature|null} what is being drawn */
    this.sketch = null;
    this.onChange = () => {};
    // The last interaction hears the pointer first, so it has to be added after every other.
    this.snap = new Snap({ source: ground.source, pixelTolerance: 12 });
    map.on("click", ev => this.tap(ev));
    map.getTargetElement()?.addEventListener("keydown", ev => this.key(ev));
    ground.on("change", () => this.forget());
  }

  /** @param {Tool} tool */
  set(tool) {
    for (const i of [this.draw, this.modify, this.snap]) if (i) this.map.removeInteraction(i);
    this.draw = this.modify = this.sketch = null;
    this.tool = tool;
    if (tool === "draw" || tool === "hole" || tool === "part") this.draw = this.drawing(tool);
    if (tool === "shift" || tool === "out") this.modify = this.modifying(tool === "out");
    for (const i of [this.draw, this.modify]) if (i) this.map.addInteraction(i);
    if (this.draw || this.modify) this.map.addInteraction(this.snap);
    this.onChange();
  }

  /** @param {string} surface one of the six, or "truck" */
  setSurface(surface) {
    this.surface = surface;
    this.set("draw");
  }

  get stands() { return this.tool === "draw" && this.surface === "truck"; }

  /**
   * @param {Tool} tool
   * @returns {Draw}
   */
  drawing(tool) {
    const type = this.stands ? "Point" : tool === "part" ? "LineString" : "Polygon";
    const d = new Draw({ type, stopClick: true, trace: () => this.follow, traceSource: this.ground.source, style: this.looks.sketch() });
    d.on("drawstart", ev => { this.sketch = ev.feature; this.onChange(); });
    d.on("drawabort", () => { this.sketch = null; this.onChange(); });
    d.on("drawend", ev => {
      this.sketch = null;
      const g = /** @type {any} */ (ev.feature.getGeometry());
      if (this.stands) this.addTruck(g);
      else if (tool === "draw") this.addOutline(g);
      else if (tool === "hole") this.cut(g.getCoordinates()[0]);
      else this.part(g.getCoordinates());
      this.onChange();
    });
    return d;
  }

  /**
   * @param {boolean} outOnly
   * @returns {Modify}
   */
  modifying(outOnly) {
    const m = new Modify({
      source: this.ground.source,
      pixelTolerance: 18,
      style: this.looks.sketch(),
      insertVertexCondition: outOnly ? never : always,
      deleteCondition: ev => outOnly ? ev.type === "click" : ev.type === "dblclick" || (altKeyOnly(ev) && singleClick(ev)),
    });
    /** @type {number[]|null} */
    let down = null;
    m.on("modifystart", ev => { down = ev.mapBrowserEvent?.pixel ?? null; });
    m.on("modifyend", ev => {
      const e = ev.mapBrowserEvent;
      const still = e?.type === "pointerup" && down && Math.hypot(e.pixel[0] - down[0], e.pixel[1] - down[1]) < 4;
      if (still) this.revert(); // a mere tap on an edge is no wish for a corner
      else this.ground.commit();
    });
    return m;
  }

  /** Forgets which corner was under the pointer: it may be another's or nobody's by now. */
  forget() {
    if (!this.modify) return;
    this.modify.setActive(false);
    this.modify.setActive(true);
  }

  revert() {
    this.ground.revert();
    this.forget();
  }

  /** @param {any} ev of the map */
  tap(ev) {
    if (this.draw) return;
    const f = /** @type {Feature|undefined} */ (this.map.forEachFeatureAtPixel(ev.pixel, x => x, { hitTolerance: 8, layerFilter: l => l.get("ground") }));
    if (this.tool === "away") {
      if (f) this.takeAway(f);
    } else if (this.tool !== "out") {
      this.ground.choose(f ?? null);
    }
  }

  /** @param {Feature} f */
  takeAway(f) {
    const what = this.title(f);
    this.ground.remove(f);
    this.ground.commit();
    this.say(words.removed(what));
  }

  /** @param {Feature} f */
  title(f) {
    const n = this.ground.number(f), s = this.ground.surface(f);
    return `${n} ${this.ground.members(f).name || (s === "truck" ? words.truck : words.surfaces[s]) || words.unsaid}`;
  }

  /** @param {import("ol/geom/Geometry.js").default} geometry */
  addOutline(geometry) {
    this.put({ surface: this.surface }, geometry);
  }

  /** @param {import("ol/geom/Geometry.js").default} geometry */
  addTruck(geometry) {
    this.put({ role: "truck" }, geometry);
  }

  /**
   * @param {Record<string, any>} properties
   * @param {import("ol/geom/Geometry.js").default} geometry
   */
  put(properties, geometry) {
    const [f] = this.ground.add([{ type: "Feature", properties, geometry: null }], [geometry]);
    this.ground.commit();
    this.ground.choose(f);
    this.say(words.drawn(this.title(f)));
  }

  /** @returns {Feature[]} outlines, the chosen one first, then from the top down */
  outlines() {
    const all = [...this.ground.list].reverse();
    const c = this.ground.chosen;
    return (c ? [c, ...all.filter(f => f !== c)] : all).filter(f => /Polygon$/.test(f.getGeometry()?.getType() ?? ""));
  }

  /**
   * Cuts a ring out of the outline it lies in.
   * @param {number[][]} ring closed
   * @param {Feature[]} [from]
   * @returns {boolean}
   */
  cut(ring, from = this.outlines()) {
    if (crossesItself(ring)) {
      this.say(words.holeCrossed);
      return false;
    }
    for (const f of from) {
      const parts = partsOf(f), i = parts.findIndex(p => holeFits(ring, p));
      if (i < 0) continue;
      parts[i].push(ring);
      this.give(f, parts);
      this.ground.commit();
      this.ground.choose(f);
      return true;
    }
    this.say(words.holeOutside);
    return false;
  }

  /**
   * Parts the outlines that a line crosses: the chosen one if it does, else the topmost.
   * @param {number[][]} line
   * @param {Feature[]} [from]
   * @returns {boolean}
   */
  part(line, from = this.outlines()) {
    for (const f of from) {
      const cut = partsOf(f).map(p => ({ p, pieces: part(p, line) })).map(({ p, pieces }) => (pieces.length > 1 ? pieces : [p]));
      if (cut.every(c => c.length === 1)) continue;
      const further = cut.flatMap(c => c.slice(1));
      const raw = f.get("item").raw, name = raw.properties?.name;
      this.give(f, cut.map(c => c[0]));
      const { id, bbox, ...rest } = raw; // two outlines may not have one ID
      this.ground.add(further.map((_, i) => ({ ...rest, properties: { ...raw.properties, ...(name ? { name: `${name} ${i + 2}` } : {}) }, geometry: null })), further.map(c => new Polygon(c)));
      this.ground.commit();
      this.ground.choose(f);
      this.say(words.partDone(further.length + 1));
      return true;
    }
    this.say(words.partNone);
    return false;
  }

  /**
   * @param {Feature} f
   * @param {number[][][][]} parts
   */
  give(f, parts) {
    f.setGeometry(f.getGeometry()?.getType() === "Polygon" && parts.length === 1 ? new Polygon(parts[0]) : new MultiPolygon(parts));
  }

  /** How many corners the sketch has. */
  get corners() {
    const g = /** @type {any} */ (this.sketch?.getGeometry());
    if (!g) return 0;
    const c = g.getCoordinates();
    return g.getType() === "Polygon" ? c[0].length - 2 : g.getType() === "LineString" ? c.length - 1 : 0; // one more follows the pointer
  }

  /** Sets a corner in the middle of the map, for who has no pointer or draws by moving the map. */
  atCross() {
    const c = this.map.getView().getCenter();
    if (!this.draw || !c) return;
    if (this.stands) this.addTruck(new Point(c));
    else this.draw.appendCoordinates([c]);
    this.onChange();
  }

  backOne() {
    this.draw?.removeLastPoint();
    this.onChange();
  }

  close() {
    const few = this.tool === "part" ? 2 : 3;
    if (this.corners < few) this.say(words.typedFew(few));
    else this.draw?.finishDrawing();
  }

  giveUp() { this.draw?.abortDrawing(); }

  /** @param {1|-1} by */
  step(by) {
    if (by < 0 && this.sketch) return this.backOne();
    if (this.sketch) return;
    if (this.ground.step(by)) this.say(by < 0 ? words.undone : words.redone);
  }

  /** @param {KeyboardEvent} ev on the map */
  key(ev) {
    if (!this.draw || ev.ctrlKey || ev.metaKey || ev.altKey) return;
    const acts = /** @type {Record<string, () => void>} */ ({ " ": () => this.atCross(), Enter: () => this.close(), Backspace: () => this.backOne(), Escape: () => this.giveUp() });
    if (ev.target !== this.map.getTargetElement() || !acts[ev.key]) return;
    ev.preventDefault();
    acts[ev.key]();
  }
}

/**
 * @param {Feature} f
 * @returns {number[][][][]}
 */
function partsOf(f) {
  const g = /** @type {any} */ (f.getGeometry());
  return g.getType() === "Polygon" ? [g.getCoordinates()] : g.getCoordinates();
}
