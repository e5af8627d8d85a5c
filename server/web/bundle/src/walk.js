// Where the phone is, and outlines that are walked instead of drawn.

import Circle from "ol/geom/Circle.js";
import Feature from "ol/Feature.js";
import LineString from "ol/geom/LineString.js";
import MultiPoint from "ol/geom/MultiPoint.js";
import Point from "ol/geom/Point.js";
import Polygon from "ol/geom/Polygon.js";
import VectorLayer from "ol/layer/Vector.js";
import VectorSource from "ol/source/Vector.js";
import { getDistance } from "ol/sphere.js";
import { fromLonLat } from "ol/proj.js";
import { button, make } from "./dom.js";
import { words } from "./words.js";

const worst = 10; // metres; a place known no better is refused
const nearest = 1; // metres; standing still is not walking

export class Walk {
  /**
   * @param {import("ol/Map.js").default} map
   * @param {import("./tools.js").Tools} tools
   * @param {import("./looks.js").Looks} looks
   * @param {(text: string) => void} say
   */
  constructor(map, tools, looks, say) {
    this.map = map;
    this.tools = tools;
    this.say = say;
    this.aids = new VectorSource();
    map.addLayer(new VectorLayer({ source: this.aids, style: () => looks.sketch(), zIndex: 20 }));
    /** @type {number[][]} longitude and latitude */
    this.places = [];
    /** @type {number|null} */
    this.watch = null;
    this.open = false;
    this.count = make("span", { class: "count", role: "status" });
    this.go = button(words.walkStart, () => (this.watch === null ? this.start() : this.pause()));
    this.bar = make("div", { class: "bar", hidden: true }, this.count, this.go,
      button(words.walkBack, () => { this.places.pop(); this.show(); }), button(words.walkClose, () => this.close()), button(words.giveUp, () => this.end()));
    this.onChange = () => {};
  }

  /** Shows where the device is, once. */
  here() {
    if (!navigator.geolocation || !isSecureContext) return this.say(words.noPlace);
    navigator.geolocation.getCurrentPosition(p => {
      const { longitude, latitude, accuracy } = p.coords;
      this.dot(longitude, latitude, accuracy);
      const v = this.map.getView();
      v.animate({ center: fromLonLat([longitude, latitude]), zoom: Math.max(v.getZoom() ?? 0, 18), duration: 300 });
      this.say(words.hereGood(metres(accuracy)));
    }, e => this.denied(e), { enableHighAccuracy: true, timeout: 20000, maximumAge: 0 });
  }

  /** @param {GeolocationPositionError} e */
  denied(e) {
    this.say(e.code === e.PERMISSION_DENIED ? words.hereDenied : words.noPlace);
  }

  /**
   * @param {number} lon
   * @param {number} lat
   * @param {number} accuracy in metres
   */
  dot(lon, lat, accuracy) {
    for (const f of this.aids.getFeatures()) if (f.get("dot")) this.aids.removeFeature(f);
    const c = fromLonLat([lon, lat]);
    const stretch = 1 / Math.cos((lat * Math.PI) / 180); // the map draws a metre longer away from the equator
    for (const g of [new Point(c), new Circle(c, accuracy * stretch)]) this.aids.addFeature(new Feature({ geometry: g, dot: true }));
  }

  /** Opens or closes the walk. */
  toggle() {
    if (this.open) return this.end();
    if (!navigator.geolocation || !isSecureContext) return this.say(words.noPlace);
    this.open = true;
    this.bar.hidden = false;
    this.tools.set("look");
    this.say(words.walkHint);
    this.show();
    this.onChange();
  }

  start() {
    this.watch = navigator.geolocation.watchPosition(p => this.note(p.coords), e => { this.pause(); this.denied(e); }, { enableHighAccuracy: true, maximumAge: 0 });
    this.say(words.walkHint);
    this.show();
  }

  pause() {
    if (this.watch !== null) navigator.geolocation.clearWatch(this.watch);
    this.watch = null;
    this.say(words.walkPaused);
    this.show();
  }

  /** @param {{longitude: number, latitude: number, accuracy: number}} p */
  note({ longitude, latitude, accuracy }) {
    this.dot(longitude, latitude, accuracy);
    if (accuracy > worst) return this.say(words.walkPoor(metres(accuracy)));
    const place = [longitude, latitude], last = this.places.at(-1);
    if (last && getDistance(last, place) < nearest) return;
    this.places.push(place);
    this.say(words.walkCount(this.places.length));
    this.map.getView().animate({ center: fromLonLat(place), duration: 200 });
    this.show();
  }

  show() {
    for (const f of this.aids.getFeatures()) if (f.get("walk")) this.aids.removeFeature(f);
    const c = this.places.map(p => fromLonLat(p));
    if (c.length) for (const g of [new LineString(c), new MultiPoint(c)]) this.aids.addFeature(new Feature({ geometry: g, walk: true }));
    this.count.textContent = words.walkCount(this.places.length);
    this.go.textContent = this.watch !== null ? words.walkPause : this.places.length ? words.walkOn : words.walkStart;
  }

  close() {
    if (this.places.length < 3) return this.say(words.walkFew);
    const ring = this.places.map(p => fromLonLat(p));
    if (this.tools.surface === "truck") this.tools.surface = "turf"; // a ring is no place for a truck
    this.end();
    this.tools.addOutline(new Polygon([[...ring, ring[0]]]));
  }

  end() {
    if (this.watch !== null) navigator.geolocation.clearWatch(this.watch);
    this.watch = null;
    this.places = [];
    this.open = false;
    this.bar.hidden = true;
    this.show();
    this.onChange();
  }
}

/** @param {number} m */
function metres(m) { return String(Math.ceil(m)); }
