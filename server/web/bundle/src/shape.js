// Small plane geometry for drawing: what lies inside, and how a line splits a ring. No area is reckoned here: the server measures.
export function inside(p, ring) {
  let odd = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const a = ring[i], b = ring[j];
    if ((a[1] > p[1]) !== (b[1] > p[1]) && p[0] < (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) + a[0]) odd = !odd;
  }
  return odd;
}

// meet is where two segments cross, or null.
export function meet(a, b, c, d) {
  const rx = b[0] - a[0], ry = b[1] - a[1], sx = d[0] - c[0], sy = d[1] - c[1], det = rx * sy - ry * sx;
  if (det === 0) return null;
  const t = ((c[0] - a[0]) * sy - (c[1] - a[1]) * sx) / det, u = ((c[0] - a[0]) * ry - (c[1] - a[1]) * rx) / det;
  return t >= 0 && t <= 1 && u >= 0 && u < 1 ? { at: [a[0] + t * rx, a[1] + t * ry], t, u } : null;
}

// crosses reports whether any edge of one ring crosses any of another.
export function crosses(one, other) {
  for (let i = 1; i < one.length; i++) for (let j = 1; j < other.length; j++) if (meet(one[i - 1], one[i], other[j - 1], other[j])) return true;
  return false;
}

// split cuts a ring without holes by a line that crosses it just twice: two rings, or null.
export function split(ring, line) {
  const cuts = [];
  for (let i = 1; i < line.length; i++) for (let j = 1; j < ring.length; j++) {
    const m = meet(line[i - 1], line[i], ring[j - 1], ring[j]);
    if (m) cuts.push({ at: m.at, along: i - 1 + m.t, edge: j - 1, u: m.u });
  }
  if (cuts.length !== 2) return null;
  cuts.sort((a, b) => a.along - b.along);
  const [p, q] = cuts;
  const middle = line.slice(Math.floor(p.along) + 1, Math.floor(q.along) + 1);
  const open = ring.slice(0, -1), n = open.length;
  const walk = (from, to) => { // corners from after one cut to the other, along the ring
    const out = [];
    if (from.edge === to.edge && from.u < to.u) return out;
    for (let k = (from.edge + 1) % n, left = n; left > 0; left--, k = (k + 1) % n) { out.push(open[k]); if (k === to.edge) break; }
    return out;
  };
  const one = [p.at, ...middle, q.at, ...walk(q, p), p.at], two = [q.at, ...middle.slice().reverse(), p.at, ...walk(p, q), q.at];
  return one.length >= 4 && two.length >= 4 ? [one, two] : null;
}
