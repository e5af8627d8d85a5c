// Files of outlines that are dropped or chosen. The server reads them, whatever their format.

import { ask, make } from "./dom.js";
import { call, Refused } from "./server.js";
import { listProblems } from "./figures.js";
import { words } from "./words.js";

export class Bring {
  /**
   * @param {import("./ground.js").Ground} ground
   * @param {{root: HTMLElement, csrf: string, say: (text: string) => void, fit: (features: any[]) => void}} with_
   */
  constructor(ground, { root, csrf, say, fit }) {
    this.ground = ground;
    this.csrf = csrf;
    this.say = say;
    this.fit = fit;
    const input = make("input", { type: "file", change: () => { if (input.files[0]) this.read(input.files[0]); input.value = ""; } });
    this.title = make("h3");
    this.list = make("ul", { class: "problems", id: "file-problems" });
    this.found = make("div", { hidden: true }, this.title, this.list);
    this.element = make("section", { class: "bring" }, make("label", {}, words.bring, input), make("p", { class: "note", text: words.bringHint }), this.found);
    const hasFile = (/** @type {DragEvent} */ ev) => ev.dataTransfer?.types.includes("Files");
    addEventListener("dragover", ev => { if (hasFile(ev)) { ev.preventDefault(); root.classList.add("over"); } });
    addEventListener("dragleave", ev => { if (!ev.relatedTarget) root.classList.remove("over"); });
    addEventListener("drop", ev => {
      root.classList.remove("over");
      const file = ev.dataTransfer?.files[0];
      if (!file) return;
      ev.preventDefault();
      this.read(file);
    });
  }

  /** @param {File} file */
  async read(file) {
    this.say(words.bringReading(file.name));
    this.found.hidden = true;
    try {
      const { body } = await call("/api/read?name=" + encodeURIComponent(file.name.slice(-200)), { method: "POST", body: file, headers: { "Content-Type": "application/octet-stream" } }, this.csrf);
      this.problems(file.name, body?.problems ?? []);
      await this.choose(file.name, body?.properties ?? []);
    } catch (e) {
      if (e instanceof Refused && e.body?.problems) this.problems(file.name, e.body.problems);
      this.say(words.bringFailed(file.name, e instanceof Refused ? e.message || words.refused : words.figuresOld));
    }
  }

  /**
   * @param {string} name
   * @param {any[]} problems
   */
  problems(name, problems) {
    this.title.textContent = words.bringProblems(name);
    this.found.hidden = problems.length === 0;
    listProblems(this.list, problems, null);
  }

  /**
   * @param {string} name of the file
   * @param {{id: string, name: string, geojson: any}[]} properties
   */
  async choose(name, properties) {
    let p = properties[0];
    if (properties.length > 1) {
      this.say("");
      const select = make("select", { "aria-label": words.bringAsk(name), size: Math.min(8, properties.length) },
        ...properties.map((x, i) => make("option", { value: i, selected: i === 0, text: `${x.name || x.id}: ${words.bringCount(x.geojson?.features?.length ?? 0)}` })));
      const said = await ask(words.bringAsk(name), [select], [["take", words.bringTake], ["", words.bringCancel]]);
      if (said !== "take") return this.say("");
      p = properties[Number(select.value)];
    }
    const features = p?.geojson?.features ?? [];
    if (!features.length) return this.say(words.bringNone(name));
    const added = this.ground.add(features);
    this.ground.commit();
    this.fit(added);
    this.say(words.bringDone(features.length, name));
  }
}
