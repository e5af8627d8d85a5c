// Between GeoJSON and the map. What the map does not understand goes through untouched.

import GeoJSON from "ol/format/GeoJSON.js";
import { fromLonLat, toLonLat } from "ol/proj.js";

/** @typedef {import("ol/geom/Geometry.js").default} Geometry */
/** @typedef {import("ol/geom/SimpleGeometry.js").default} Simple */

const format = new GeoJSON({ dataProjection: "EPSG:4326", featureProjection: "EPSG:3857" });

export const surfaces = ["turf", "bed", "hardscape", "building", "water", "keep-off"];

/**
 * @param {any} geometry a GeoJSON geometry, or null
 * @returns {Geometry|undefined}
 */
export function readGeometry(geometry) {
  if (!geometry) return undefined;
  return format.readGeometry(geometry, { dataProjection: "EPSG:4326", featureProjection: "EPSG:3857" }) ?? undefined;
}

/**
 * Eight decimals of a degree are a millimetre at most; outer edges run against the clock.
 * @param {Geometry|undefined} geometry
 * @returns {any}
 */
export function writeGeometry(geometry) {
  if (!geometry) return null;
  return format.writeGeometryObject(geometry, { dataProjection: "EPSG:4326", featureProjection: "EPSG:3857", decimals: 8, rightHanded: true });
}

/**
 * Which of the six surfaces the members of a feature say, "truck" for where one stands, or "" when it is something else.
 * @param {Record<string, any>|null|undefined} members
 */
export function surfaceOf(members) {
  for (const k of ["surface", "kind", "role"]) {
    const word = String(members?.[k] ?? "").trim().toLowerCase().replace(/[ _]/g, "-");
    if (word === "truck" || surfaces.includes(word)) return word;
  }
  return "";
}

/**
 * @param {number[]} coordinate of the map
 * @returns {string} as it is typed: longitude, latitude
 */
export function placeText(coordinate) {
  return toLonLat(coordinate).slice(0, 2).map(d => String(Number(d.toFixed(8)))).join(", ");
}

/**
 * Reads "longitude, latitude" in degrees.
 * @param {string} text
 * @returns {number[]|null} of the map
 */
export function readPlace(text) {
  const parts = text.trim().replace(/\u2212/g, "-").split(/[\s,;]+/).filter(Boolean);
  if (parts.length !== 2 || !parts.every(p => /^[-+]?\d+(\.\d+)?$/.test(p))) return null;
  const [lon, lat] = parts.map(Number);
  if (Math.abs(lon) > 180 || Math.abs(lat) > 85) return null; // the map ends there
  return fromLonLat([lon, lat]);
}

/**
 * @typedef {object} Ring
 * @property {number} part of a geometry of several parts, from 0
 * @property {number} ring of the part, from 0; 0 is the outer edge
 * @property {boolean} closed the first corner is the last once more
 * @property {number[][]} corners without the one that closes
 */

/**
 * The edges of a geometry, one by one, as the list of corners shows them.
 * @param {Geometry|undefined} geometry
 * @returns {Ring[]}
 */
export function ringsOf(geometry) {
  const g = /** @type {any} */ (geometry);
  switch (geometry?.getType()) {
    case "Point": return [{ part: 0, ring: 0, closed: false, corners: [g.getCoordinates()] }];
    case "LineString": return [{ part: 0, ring: 0, closed: false, corners: g.getCoordinates() }];
    case "MultiLineString": return g.getCoordinates().map((/** @type {number[][]} */ c, /** @type {number} */ part) => ({ part, ring: 0, closed: false, corners: c }));
    case "Polygon": return rings(g.getCoordinates(), 0);
    case "MultiPolygon": return g.getCoordinates().flatMap(rings);
  }
  return [];
}

/**
 * @param {number[][][]} polygon
 * @param {number} part
 * @returns {Ring[]}
 */
function rings(polygon, part) {
  return polygon.map((c, ring) => ({ part, ring, closed: true, corners: c.slice(0, -1) }));
}

/**
 * Gives one edge of a geometry new corners; an empty list takes the edge away.
 * @param {Geometry} geometry
 * @param {Ring} which
 * @param {number[][]} corners
 * @returns {Geometry} a new one
 */
export function withRing(geometry, which, corners) {
  const out = /** @type {any} */ (geometry.clone());
  const c = which.closed && corners.length ? [...corners, corners[0]] : corners;
  const all = out.getCoordinates();
  const put = (/** @type {any[]} */ list, /** @type {number} */ i) => { if (c.length) list[i] = c; else list.splice(i, 1); };
  switch (geometry.getType()) {
    case "Point": out.setCoordinates(c[0]); return out;
    case "LineString": out.setCoordinates(c); return out;
    case "MultiLineString": put(all, which.part); break;
    case "Polygon": put(all, which.ring); break;
    case "MultiPolygon": put(all[which.part], which.ring); break;
  }
  out.setCoordinates(all);
  return out;
}
