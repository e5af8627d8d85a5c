// The outlines as a list: everything the map can do to an outline, without the map.

import { button, make } from "./dom.js";
import { ringsOf, surfaces } from "./geojson.js";
import { words } from "./words.js";

/** @typedef {import("ol/Feature.js").default} Feature */

export class Table {
  /**
   * @param {import("./ground.js").Ground} ground
   * @param {{show: (f: Feature) => void, remove: (f: Feature) => void, only: boolean}} acts
   */
  constructor(ground, acts) {
    this.ground = ground;
    this.acts = acts;
    /** @type {Map<Feature, HTMLTableRowElement>} */
    this.rows = new Map();
    const head = [words.number, words.surface, words.name, words.zone, words.corners, words.act].map(t => make("th", { scope: "col", role: "columnheader", text: t }));
    this.body = make("tbody", { role: "rowgroup" });
    this.empty = make("p", { text: words.listEmpty });
    this.table = make("table", { class: "outlines", role: "table", "aria-label": words.listTitle }, make("thead", { role: "rowgroup" }, make("tr", { role: "row" }, ...head)), this.body);
    this.element = make("section", { class: "list" }, make("h2", { text: words.listTitle }), this.empty, this.table);
    ground.on("change", () => this.show());
    ground.on("choose", () => this.show());
    this.show();
  }

  /** Rows stay the same elements, so that whoever types in one is not thrown out of it. */
  show() {
    const { list } = this.ground;
    for (const [f, row] of this.rows) {
      if (list.includes(f)) continue;
      row.remove();
      this.rows.delete(f);
    }
    list.forEach((f, i) => {
      let row = this.rows.get(f);
      if (!row) this.rows.set(f, (row = this.row(f)));
      if (this.body.children[i] !== row) this.body.insertBefore(row, this.body.children[i] ?? null);
      this.fill(f, row, i + 1);
    });
    this.empty.hidden = list.length > 0;
    this.table.hidden = list.length === 0;
  }

  /**
   * @param {Feature} f
   * @returns {HTMLTableRowElement}
   */
  row(f) {
    const cell = (/** @type {string} */ label, /** @type {any} */ child, /** @type {string} */ cls) => make("td", { role: "cell", "data-head": label, class: cls }, child);
    const { only } = this.acts;
    const set = (/** @type {string} */ key) => (/** @type {Event} */ ev) => {
      this.ground.setMember(f, key, /** @type {HTMLInputElement} */ (ev.target).value.trim());
      this.ground.commit();
    };
    const truck = this.ground.surface(f) === "truck" || f.getGeometry()?.getType() === "Point";
    const surface = truck ? make("span", { class: "fixed", text: words.truck }) : make("select", { change: set("surface"), disabled: only }, ...surfaces.map(s => make("option", { value: s, text: words.surfaces[s] })));
    const input = (/** @type {string} */ key) => make("input", { "data-key": key, change: set(key), disabled: only, maxlength: 200, autocomplete: "off" });
    return make("tr", { role: "row" },
      make("th", { scope: "row", role: "rowheader" }), cell(words.surface, surface, "surface"), cell(words.name, input("name"), "name"),
      cell(truck ? "" : words.zone, truck ? "" : input("zone"), "zone"), cell(words.corners, "", "count"),
      cell("", make("div", { class: "acts" }, button(words.show, () => this.acts.show(f)), only ? null : button(words.remove, () => this.takeOut(f))), "act"));
  }

  /** @param {Feature} f */
  takeOut(f) {
    const i = this.ground.list.indexOf(f);
    this.acts.remove(f);
    const next = this.ground.list[Math.min(i, this.ground.list.length - 1)]; // the focus goes to the neighbour, not to nowhere
    (next ? this.rows.get(next)?.querySelector("button") : null)?.focus();
  }

  /**
   * @param {Feature} f
   * @param {HTMLTableRowElement} row
   * @param {number} n
   */
  fill(f, row, n) {
    const members = this.ground.members(f), surface = this.ground.surface(f);
    const chosen = this.ground.chosen === f;
    row.classList.toggle("chosen", chosen);
    row.cells[0].textContent = String(n);
    const select = row.querySelector("select");
    if (select) {
      const other = /** @type {HTMLOptionElement|null} */ (select.querySelector("option[data-other]"));
      const known = surfaces.includes(surface);
      if (known) other?.remove();
      else if (!other) select.prepend(make("option", { value: "", "data-other": true, text: words.unsaid }));
      select.value = known ? surface : "";
      select.setAttribute("aria-label", words.rowLabel(words.surface, n));
    }
    for (const input of row.querySelectorAll("input")) {
      const key = String(input.dataset.key), value = String(members[key] ?? "");
      if (document.activeElement !== input || input.value.trim() !== value) input.value = value;
      input.setAttribute("aria-label", words.rowLabel(key === "name" ? words.name : words.zone, n));
    }
    const rings = ringsOf(f.getGeometry());
    row.cells[4].textContent = rings.length ? String(rings.reduce((s, r) => s + r.corners.length, 0)) : words.kept;
    const [show, remove] = row.querySelectorAll("button");
    show.setAttribute("aria-label", words.rowLabel(words.show, n));
    press(show, chosen);
    remove?.setAttribute("aria-label", words.rowLabel(words.remove, n));
  }
}

/**
 * @param {Element} b
 * @param {boolean} on
 */
function press(b, on) {
  if (on) b.setAttribute("aria-current", "true");
  else b.removeAttribute("aria-current");
}
