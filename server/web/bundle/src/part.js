// Parts a polygon by a line. All edges become a net of nodes; the net's meshes that lie in the polygon are the pieces. So a
// line may cross what is cut out, too, as one does that parts the lawn round a house into front and back.

import { edges, fromEdge, inPolygon, inRing, meet, side, touch } from "./rings.js";

/** @typedef {number[]} Corner */
/** @typedef {{from: number, to: number, twin: Half, next: Half|null, mesh: number}} Half */

/**
 * @param {Corner[][]} polygon rings, closed
 * @param {Corner[]} line
 * @returns {Corner[][][]} the pieces; one or none when the line does not part it
 */
export function part(polygon, line) {
  const net = new Net();
  const segments = [...polygon.flatMap(edges), ...edges(line)].filter(([a, b]) => a[0] !== b[0] || a[1] !== b[1]);
  for (const s of segments) net.lay(s, segments);
  net.trim();
  let meshes = net.meshes();
  while (net.dropInner()) meshes = net.meshes();
  const outer = meshes.filter(m => turnsLeft(m)), inner = meshes.filter(m => !turnsLeft(m));
  return outer.filter(m => inPolygon(within(m), polygon)).map(m => [m, ...inner.filter(h => holeOf(h, m, outer))]);
}

/**
 * @param {Corner[]} hole a mesh seen from outside
 * @param {Corner[]} mesh
 * @param {Corner[][]} all
 */
function holeOf(hole, mesh, all) {
  const around = all.filter(m => m.every(p => !hole.includes(p)) && inRing(hole[0], m));
  return around.includes(mesh) && !around.some(m => m !== mesh && inRing(m[0], mesh)); // the nearest one round it
}

class Net {
  constructor() {
    /** @type {Corner[]} */
    this.nodes = [];
    /** @type {Map<string, number[]>} nodes by the squares of a grid */
    this.squares = new Map();
    /** @type {Map<string, Half>} */
    this.halves = new Map();
  }

  /**
   * The node at a place; places nearer than the tolerance are one.
   * @param {Corner} p
   */
  node(p) {
    const x = Math.floor(p[0] / touch), y = Math.floor(p[1] / touch);
    for (let i = x - 1; i <= x + 1; i++) {
      for (let j = y - 1; j <= y + 1; j++) {
        for (const n of this.squares.get(i + " " + j) ?? []) {
          if (Math.hypot(this.nodes[n][0] - p[0], this.nodes[n][1] - p[1]) < touch) return n;
        }
      }
    }
    this.nodes.push(p);
    const k = x + " " + y;
    this.squares.set(k, [...(this.squares.get(k) ?? []), this.nodes.length - 1]);
    return this.nodes.length - 1;
  }

  /**
   * Lays a segment, cut where others meet it.
   * @param {[Corner, Corner]} s
   * @param {[Corner, Corner][]} all
   */
  lay(s, all) {
    const [a, b] = s;
    const along = (/** @type {Corner} */ p) => Math.hypot(p[0] - a[0], p[1] - a[1]);
    const cuts = [a, b];
    for (const [c, d] of all) {
      if (c === a && d === b) continue;
      for (const p of [c, d]) if (fromEdge(p, a, b) < touch) cuts.push(p);
      const m = meet(a, b, c, d);
      if (m) cuts.push([a[0] + m[0] * (b[0] - a[0]), a[1] + m[0] * (b[1] - a[1])]);
    }
    const ids = cuts.sort((p, q) => along(p) - along(q)).map(p => this.node(p));
    ids.forEach((n, i) => { if (i && n !== ids[i - 1]) this.join(ids[i - 1], n); });
  }

  /**
   * @param {number} a
   * @param {number} b
   */
  join(a, b) {
    if (this.halves.has(a + " " + b)) return;
    const one = /** @type {Half} */ ({ from: a, to: b, next: null, mesh: -1 });
    const two = /** @type {Half} */ ({ from: b, to: a, next: null, mesh: -1, twin: one });
    one.twin = two;
    this.halves.set(a + " " + b, one).set(b + " " + a, two);
  }

  /** @param {Half} h */
  cut(h) {
    this.halves.delete(h.from + " " + h.to);
    this.halves.delete(h.to + " " + h.from);
  }

  /** @returns {Map<number, Half[]>} the halves that leave each node */
  leaving() {
    const out = new Map();
    for (const h of this.halves.values()) out.set(h.from, [...(out.get(h.from) ?? []), h]);
    return out;
  }

  /** Takes away ends that lead nowhere. */
  trim() {
    for (;;) {
      const loose = [...this.leaving().values()].filter(l => l.length === 1).flat();
      if (!loose.length) return;
      loose.forEach(h => this.cut(h));
    }
  }

  /** @returns {Corner[][]} the meshes as closed rings: those inside turn left, the outside of what hangs together turns right */
  meshes() {
    const heading = (/** @type {Half} */ h) => Math.atan2(this.nodes[h.to][1] - this.nodes[h.from][1], this.nodes[h.to][0] - this.nodes[h.from][0]);
    for (const list of this.leaving().values()) {
      list.sort((x, y) => heading(x) - heading(y));
      list.forEach((h, i) => { h.twin.next = list[(i + list.length - 1) % list.length]; h.mesh = -1; });
    }
    const rings = [];
    for (const first of this.halves.values()) {
      if (first.mesh >= 0) continue;
      const ring = [];
      for (let h = first; h.mesh < 0; h = /** @type {Half} */ (h.next)) {
        h.mesh = rings.length;
        ring.push(this.nodes[h.from]);
      }
      rings.push([...ring, ring[0]]);
    }
    return rings;
  }

  /** Takes away what has the same mesh on both sides: it parts nothing. */
  dropInner() {
    const inner = [...this.halves.values()].filter(h => h.mesh === h.twin.mesh);
    inner.forEach(h => this.cut(h));
    return inner.length > 0;
  }
}

/**
 * Which way a ring turns, by its lowest corner.
 * @param {Corner[]} ring closed
 */
function turnsLeft(ring) {
  const open = ring.slice(0, -1), n = open.length;
  let low = 0;
  open.forEach((p, i) => { if (p[1] < open[low][1] || (p[1] === open[low][1] && p[0] < open[low][0])) low = i; });
  return side(open[(low + n - 1) % n], open[low], open[(low + 1) % n]) > 0;
}

/**
 * A place inside a ring that turns left: just left of the middle of its longest edge.
 * @param {Corner[]} ring closed
 */
function within(ring) {
  let [a, b] = edges(ring)[0];
  for (const [c, d] of edges(ring)) if (Math.hypot(d[0] - c[0], d[1] - c[1]) > Math.hypot(b[0] - a[0], b[1] - a[1])) [a, b] = [c, d];
  const l = Math.hypot(b[0] - a[0], b[1] - a[1]), off = touch / 4 / l;
  return [(a[0] + b[0]) / 2 - off * (b[1] - a[1]), (a[1] + b[1]) / 2 + off * (b[0] - a[0])];
}
