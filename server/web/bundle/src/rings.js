// Where corners lie to edges. Only sides and crossings are asked here; what an outline measures is the server's to say.

/** @typedef {number[]} Corner */

export const touch = 0.01; // metres of the map; nearer than this is the same place

/**
 * How p lies to the line from a to b: above 0 on its left.
 * @param {Corner} a
 * @param {Corner} b
 * @param {Corner} p
 */
export function side(a, b, p) {
  return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
}

/**
 * @param {Corner} p
 * @param {Corner} a
 * @param {Corner} b
 * @returns {number} how far p is from the edge
 */
export function fromEdge(p, a, b) {
  const dx = b[0] - a[0], dy = b[1] - a[1];
  const l = dx * dx + dy * dy;
  const t = l === 0 ? 0 : Math.max(0, Math.min(1, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / l));
  return Math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy);
}

/**
 * Where two edges meet, as shares of the way along each; null when they do not, or run along each other.
 * @param {Corner} a
 * @param {Corner} b
 * @param {Corner} c
 * @param {Corner} d
 * @returns {[number, number]|null}
 */
export function meet(a, b, c, d) {
  const down = (b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0]);
  if (down === 0) return null;
  const t = ((c[0] - a[0]) * (d[1] - c[1]) - (c[1] - a[1]) * (d[0] - c[0])) / down;
  const u = ((c[0] - a[0]) * (b[1] - a[1]) - (c[1] - a[1]) * (b[0] - a[0])) / down;
  return t >= 0 && t <= 1 && u >= 0 && u <= 1 ? [t, u] : null;
}

/**
 * @param {Corner[]} ring closed
 * @returns {[Corner, Corner][]}
 */
export function edges(ring) {
  return ring.slice(1).map((b, i) => [ring[i], b]);
}

/**
 * @param {Corner} p
 * @param {Corner[]} ring closed
 */
export function inRing(p, ring) {
  let inside = false;
  for (const [a, b] of edges(ring)) {
    if (a[1] > p[1] !== b[1] > p[1] && p[0] < ((b[0] - a[0]) * (p[1] - a[1])) / (b[1] - a[1]) + a[0]) inside = !inside;
  }
  return inside;
}

/**
 * @param {Corner} p
 * @param {Corner[][]} polygon
 */
export function inPolygon(p, polygon) {
  return inRing(p, polygon[0]) && !polygon.slice(1).some(h => inRing(p, h));
}

/**
 * Whether two rings come together anywhere: crossing, touching or nearer than the tolerance.
 * @param {Corner[]} a closed
 * @param {Corner[]} b closed
 */
export function ringsMeet(a, b) {
  for (const [p, q] of edges(a)) {
    for (const [r, s] of edges(b)) {
      if (meet(p, q, r, s)) return true;
      if (fromEdge(p, r, s) < touch || fromEdge(r, p, q) < touch) return true;
    }
  }
  return false;
}

/**
 * @param {Corner[]} ring closed
 */
export function crossesItself(ring) {
  const e = edges(ring);
  for (let i = 0; i < e.length; i++) {
    for (let j = i + 1; j < e.length; j++) {
      const next = j === i + 1 || (i === 0 && j === e.length - 1);
      if (next ? foldsBack(e[i], e[j]) : meet(...e[i], ...e[j])) return true;
    }
  }
  return false;
}

/**
 * Whether the later of two edges that share a corner runs back along the first.
 * @param {[Corner, Corner]} e
 * @param {[Corner, Corner]} f
 */
function foldsBack(e, f) {
  const [a, b, c] = e[1] === f[0] || same(e[1], f[0]) ? [e[0], e[1], f[1]] : [f[0], f[1], e[1]];
  return side(a, b, c) === 0 && (a[0] - b[0]) * (c[0] - b[0]) + (a[1] - b[1]) * (c[1] - b[1]) > 0;
}

/**
 * @param {Corner} a
 * @param {Corner} b
 */
function same(a, b) {
  return a[0] === b[0] && a[1] === b[1];
}

/**
 * Whether a ring may be cut out of a polygon: inside it, and clear of every edge of it, not only with its corners.
 * @param {Corner[]} hole closed
 * @param {Corner[][]} polygon
 */
export function holeFits(hole, polygon) {
  if (!hole.every(p => inPolygon(p, polygon))) return false;
  if (polygon.some(r => ringsMeet(hole, r))) return false;
  return !polygon.slice(1).some(r => inRing(r[0], hole)); // it must not swallow what is cut out already
}
