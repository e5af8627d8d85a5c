// The outlines of a property, in their order, with what was done to them. The map, the list and the figures all look at this.

import Feature from "ol/Feature.js";
import VectorSource from "ol/source/Vector.js";
import { readGeometry, surfaceOf, writeGeometry } from "./geojson.js";

/** @typedef {import("ol/geom/Geometry.js").default} Geometry */

/**
 * One feature in one state. It never changes; a change makes a new one.
 * @typedef {object} Item
 * @property {string} key
 * @property {any} raw the feature as it came, its members changed by what was typed
 * @property {Geometry|undefined} geometry
 * @property {boolean} moved the geometry is no longer the one in raw
 */

const mostSteps = 200; // to take back

export class Ground {
  constructor() {
    this.source = new VectorSource();
    /** @type {Feature[]} */
    this.list = [];
    /** @type {Record<string, any>} the collection without its features */
    this.whole = { type: "FeatureCollection" };
    /** @type {Feature|null} */
    this.chosen = null;
    /** @type {Item[][]} */
    this.steps = [[]];
    this.at = 0;
    /** @type {Item[]|null} null: what is on the server is not known to be like any step */
    this.saved = this.steps[0];
    this.keys = 0;
    /** @type {Map<string, ((detail?: any) => void)[]>} */
    this.ears = new Map();
  }

  /**
   * "change": outlines are others. "choose": another outline is chosen. "saved": what is saved has changed.
   * @param {"change"|"choose"|"saved"} what
   * @param {(detail?: any) => void} f
   */
  on(what, f) {
    this.ears.set(what, [...(this.ears.get(what) ?? []), f]);
  }

  /** @param {"change"|"choose"|"saved"} what */
  tell(what) {
    for (const f of this.ears.get(what) ?? []) f();
  }

  /**
   * Begins anew with a collection.
   * @param {any} collection
   * @param {boolean} isSaved whether it is what the server has
   */
  load(collection, isSaved) {
    const { features, ...whole } = collection;
    this.whole = { ...whole, type: "FeatureCollection" };
    this.chosen = null;
    this.restore((features ?? []).map((/** @type {any} */ f) => this.item(f)));
    this.steps = [this.snapshot()];
    this.at = 0;
    this.saved = isSaved ? this.steps[0] : null;
    this.tell("change");
    this.tell("choose");
    this.tell("saved");
  }

  /**
   * @param {any} raw a GeoJSON feature
   * @returns {Item}
   */
  item(raw) {
    let geometry;
    try {
      geometry = readGeometry(raw?.geometry);
    } catch {
      geometry = undefined; // kept as it is; the server says what is wrong with it
    }
    return { key: "o" + ++this.keys, raw, geometry, moved: false };
  }

  /** @returns {any} the FeatureCollection as it goes to the server */
  collection() {
    const features = this.snapshot().map(i => {
      if (!i.moved) return i.raw;
      const { bbox, ...rest } = i.raw; // a box of the old outline would be wrong
      return { ...rest, geometry: writeGeometry(i.geometry) };
    });
    const { bbox, ...whole } = this.whole;
    return { ...whole, features };
  }

  /** @returns {Item[]} the state now; what did not change is the same item as before */
  snapshot() {
    return this.list.map(f => {
      const was = /** @type {Item} */ (f.get("item"));
      const geometry = f.getGeometry();
      if (geometry === f.get("seen") && geometry?.getRevision() === f.get("revision")) return was;
      const same = sameGeometry(was.geometry, geometry);
      const now = same ? was : { ...was, geometry: geometry?.clone(), moved: true };
      this.mark(f, now);
      return now;
    });
  }

  /**
   * @param {Feature} f
   * @param {Item} item
   */
  mark(f, item) {
    f.set("item", item, true);
    f.set("seen", f.getGeometry(), true);
    f.set("revision", f.getGeometry()?.getRevision(), true);
  }

  /**
   * Makes the outlines those of a step. Features stay the same objects where they can, so that what is chosen stays chosen.
   * @param {Item[]} items
   */
  restore(items) {
    const old = new Map(this.list.map(f => [/** @type {Item} */ (f.get("item")).key, f]));
    const now = this.snapshot();
    const before = new Map(this.list.map((f, i) => [f, now[i]]));
    this.list = items.map(item => {
      const f = old.get(item.key) ?? new Feature();
      old.delete(item.key);
      if (before.get(f) !== item) {
        if (before.get(f)?.geometry !== item.geometry) f.setGeometry(item.geometry?.clone());
        this.mark(f, item);
        f.changed();
      }
      return f;
    });
    for (const f of old.values()) {
      if (this.source.hasFeature(f)) this.source.removeFeature(f);
      if (f === this.chosen) this.choose(null);
    }
    for (const f of this.list) if (!this.source.hasFeature(f)) this.source.addFeature(f);
  }

  /** Notes a change, so that it can be taken back. Nothing happens when nothing has changed. */
  commit() {
    const now = this.snapshot();
    if (sameItems(now, this.steps[this.at])) return false;
    this.steps = [...this.steps.slice(0, this.at + 1), now].slice(-mostSteps);
    this.at = this.steps.length - 1;
    this.tell("change");
    return true;
  }

  /** Puts the outlines back as they were noted last. */
  revert() {
    this.restore(this.steps[this.at]);
  }

  /** @param {-1|1} by */
  step(by) {
    if (!this.steps[this.at + by]) return false;
    this.at += by;
    this.restore(this.steps[this.at]);
    this.tell("change");
    this.tell("choose");
    return true;
  }

  get canUndo() { return this.at > 0; }
  get canRedo() { return this.at < this.steps.length - 1; }

  /** @returns {boolean} whether something is not saved */
  get dirty() {
    return !this.saved || !sameItems(this.steps[this.at], this.saved);
  }

  /** @param {Feature|null} f */
  choose(f) {
    const was = this.chosen;
    this.chosen = f;
    if (was === f) return;
    was?.changed();
    f?.changed();
    this.tell("choose");
  }

  /**
   * Adds features without noting it yet.
   * @param {any[]} raws GeoJSON features
   * @param {(Geometry|undefined)[]} [drawn] their geometries where they were drawn here
   * @returns {Feature[]}
   */
  add(raws, drawn = []) {
    return raws.map((raw, i) => {
      const item = drawn[i] ? { key: "o" + ++this.keys, raw, geometry: drawn[i], moved: true } : this.item(raw);
      const f = new Feature(item.geometry?.clone());
      this.mark(f, item);
      this.list.push(f);
      this.source.addFeature(f);
      return f;
    });
  }

  /** @param {Feature} f */
  remove(f) {
    this.list = this.list.filter(x => x !== f);
    if (this.source.hasFeature(f)) this.source.removeFeature(f);
    if (f === this.chosen) this.choose(null);
  }

  /**
   * @param {Feature} f
   * @returns {Record<string, any>}
   */
  members(f) {
    return /** @type {Item} */ (f.get("item"))?.raw?.properties ?? {};
  }

  /**
   * Sets one member of a feature; "" takes it out.
   * @param {Feature} f
   * @param {string} key
   * @param {string} value
   */
  setMember(f, key, value) {
    this.snapshot(); // a moved geometry is not to be lost
    const item = /** @type {Item} */ (f.get("item"));
    const { [key]: was, ...rest } = item.raw.properties ?? {};
    if (String(was ?? "") === value) return;
    const properties = value === "" ? rest : { ...item.raw.properties, [key]: value };
    f.set("item", { ...item, raw: { ...item.raw, properties } }, true);
    f.changed();
  }

  /** @param {Feature} f */
  surface(f) { return surfaceOf(this.members(f)); }

  /** @param {Feature} f */
  number(f) { return this.list.indexOf(f) + 1; }
}

/**
 * @param {Item[]} a
 * @param {Item[]} b
 */
function sameItems(a, b) {
  return a.length === b.length && a.every((x, i) => x === b[i]);
}

/**
 * @param {Geometry|undefined} a
 * @param {Geometry|undefined} b
 */
function sameGeometry(a, b) {
  if (!a || !b) return a === b;
  if (a.getType() !== b.getType()) return false;
  const x = /** @type {any} */ (a), y = /** @type {any} */ (b);
  if (!x.getFlatCoordinates) return a === b; // a collection of geometries is not drawn here
  return JSON.stringify(x.getCoordinates()) === JSON.stringify(y.getCoordinates());
}
