// The corners of the chosen outline, to be typed, and outlines that are typed whole.

import LineString from "ol/geom/LineString.js";
import Point from "ol/geom/Point.js";
import Polygon from "ol/geom/Polygon.js";
import { button, make } from "./dom.js";
import { placeText, readPlace, ringsOf, surfaces, withRing } from "./geojson.js";
import { words } from "./words.js";

/** @typedef {import("./geojson.js").Ring} Ring */

const page = 200; // corners shown at once; outlines from files may have thousands

export class Corners {
  /**
   * @param {import("./ground.js").Ground} ground
   * @param {{only: boolean, look: (place: number[]) => void}} acts
   */
  constructor(ground, acts) {
    this.ground = ground;
    this.acts = acts;
    this.most = page;
    this.title = make("h2");
    this.box = make("div");
    this.element = make("section", { class: "corners" }, this.title, this.box);
    ground.on("change", () => this.show());
    ground.on("choose", () => { this.most = page; this.show(); });
    this.show();
  }

  /** @param {string} [focus] the data-at of what has the focus afterwards */
  show(focus) {
    const at = focus ?? (this.box.contains(document.activeElement) ? /** @type {HTMLElement} */ (document.activeElement).dataset.at : undefined);
    const f = this.ground.chosen;
    this.title.textContent = f ? words.chosen(this.ground.number(f)) : words.corners;
    this.box.replaceChildren();
    if (!f) {
      this.box.append(make("p", { text: words.chosenNone }));
      return;
    }
    const rings = ringsOf(f.getGeometry()), pieces = Math.max(0, ...rings.map(r => r.part)) + 1;
    let left = this.most;
    for (const r of rings) {
      if (left <= 0) break;
      this.box.append(this.ring(r, pieces, left));
      left -= r.corners.length;
    }
    if (left < 0) this.box.append(button(words.more, () => { this.most += page; this.show(); }));
    if (at) this.box.querySelector(`[data-at="${at}"]`)?.focus();
  }

  /**
   * @param {Ring} r
   * @param {number} pieces
   * @param {number} most
   */
  ring(r, pieces, most) {
    const name = !r.closed ? (r.corners.length === 1 ? words.place : words.line) : r.ring ? words.hole(r.ring) : words.outer;
    const list = make("ol");
    r.corners.slice(0, most).forEach((c, i) => list.append(this.corner(r, c, i)));
    const box = make("fieldset", {}, make("legend", { text: (pieces > 1 ? words.piece(r.part + 1) : "") + name }), list);
    if (r.ring && !this.acts.only) box.append(button(words.holeShut, () => this.give(r, [])));
    return box;
  }

  /**
   * @param {Ring} r
   * @param {number[]} c
   * @param {number} i
   */
  corner(r, c, i) {
    const at = (/** @type {string} */ what, /** @type {number} */ n) => [what, r.part, r.ring, n].join("-");
    const { only } = this.acts;
    const wrong = make("span", { class: "wrong", id: "wrong-" + at("c", i), hidden: true, text: words.badCorner });
    const change = (/** @type {Event} */ ev) => {
      const input = /** @type {HTMLInputElement} */ (ev.target), p = readPlace(input.value);
      wrong.hidden = p !== null;
      input.toggleAttribute("aria-invalid", !p);
      if (!p) return;
      if (input.value.trim() !== placeText(c)) this.give(r, r.corners.map((x, j) => (j === i ? p : x)));
    };
    const input = make("input", { value: placeText(c), change, focus: () => this.acts.look(c), disabled: only, "data-at": at("c", i), "aria-label": words.corner(i + 1), "aria-describedby": wrong.id, inputmode: "text", autocomplete: "off", spellcheck: "false" });
    const item = make("li", {}, make("span", { class: "nth", "aria-hidden": "true", text: `${i + 1}.` }), input);
    if (!only && (r.closed || r.corners.length > 1)) {
      const next = r.corners[i + 1] ?? (r.closed ? r.corners[0] : c);
      const middle = [(c[0] + next[0]) / 2, (c[1] + next[1]) / 2];
      item.append(
        button(words.cornerAdd, () => { this.give(r, r.corners.toSpliced(i + 1, 0, middle), at("c", i + 1)); }, { "aria-label": words.cornerAddLabel(i + 1), "data-at": at("a", i) }),
        button(words.cornerOut, () => this.give(r, r.corners.toSpliced(i, 1), at("o", Math.max(0, Math.min(i, r.corners.length - 2)))), { "aria-label": words.cornerOutLabel(i + 1), "data-at": at("o", i), disabled: r.corners.length <= (r.closed ? 3 : 2) }));
    }
    item.append(wrong);
    return item;
  }

  /**
   * @param {Ring} r
   * @param {number[][]} corners
   * @param {string} [focus]
   */
  give(r, corners, focus) {
    const f = this.ground.chosen, g = f?.getGeometry();
    if (!f || !g) return;
    f.setGeometry(withRing(g, r, corners));
    this.ground.commit();
    if (focus) this.show(focus);
  }
}

/**
 * The form for outlines that are typed whole.
 * @param {import("./ground.js").Ground} ground
 * @param {import("./tools.js").Tools} tools
 * @param {(text: string) => void} say
 * @returns {HTMLElement}
 */
export function typedForm(ground, tools, say) {
  const as = make("select", {}, ...surfaces.map(s => make("option", { value: s, text: words.typedOutline(words.surfaces[s].toLowerCase()) })),
    make("option", { value: "hole", text: words.typedHole }), make("option", { value: "part", text: words.typedPart }), make("option", { value: "truck", text: words.typedTruck }));
  const text = make("textarea", { rows: 4, spellcheck: "false", "aria-describedby": "typed-wrong" });
  const wrong = make("p", { class: "wrong", id: "typed-wrong", role: "status" });
  const put = () => {
    const lines = text.value.split("\n").map((/** @type {string} */ l) => l.trim());
    const bad = lines.findIndex((/** @type {string} */ l) => l !== "" && !readPlace(l));
    const places = lines.filter(Boolean).map(readPlace);
    const few = as.value === "truck" ? 1 : as.value === "part" ? 2 : 3;
    const chosen = ground.chosen;
    if (bad >= 0) wrong.textContent = words.badLine(bad + 1);
    else if (places.length < few) wrong.textContent = words.typedFew(few);
    else if ((as.value === "hole" || as.value === "part") && !/Polygon$/.test(chosen?.getGeometry()?.getType() ?? "")) wrong.textContent = words.typedChoose;
    else wrong.textContent = "";
    if (wrong.textContent) return text.focus();
    const ring = [...places, places[0]];
    let done = true;
    if (as.value === "truck") tools.addTruck(new Point(places[0]));
    else if (as.value === "part") done = tools.part(new LineString(places).getCoordinates(), [/** @type {any} */ (chosen)]);
    else if (as.value === "hole") done = tools.cut(ring, [/** @type {any} */ (chosen)]);
    else tools.put({ surface: as.value }, new Polygon([ring]));
    if (done) text.value = "";
    else wrong.textContent = as.value === "part" ? words.partNone : words.holeOutside;
  };
  return make("details", { class: "typed" }, make("summary", { text: words.typed }),
    make("label", {}, words.typedAs, as), make("label", {}, words.typedCorners, text), wrong, button(words.typedPut, put));
}
