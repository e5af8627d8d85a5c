// The server's figures and problems beside the map. They are shown as they come: nothing is reckoned here.

import { button, make } from "./dom.js";
import { call, Refused } from "./server.js";
import { words } from "./words.js";

/** @typedef {{code?: string, severity?: string, where?: string, what?: string, fix?: string, feature?: number, at?: number[]|null}} Problem */

/**
 * Puts problems into a list.
 * @param {Element} list
 * @param {Problem[]} problems
 * @param {((p: Problem) => void)|null} go shows where a problem is, null when its features are not the map's
 */
export function listProblems(list, problems, go) {
  list.replaceChildren(...problems.map(p => {
    const text = [make("b", { text: p.where ?? "" }), " ", p.what ?? "", " ", make("i", { text: p.fix ?? "" })];
    const placed = go && (p.at || featureOf(p));
    return make("li", { class: p.severity, "data-code": p.code }, ...(placed ? [button("", () => go(p), { class: "problem", title: words.problemGo })] : text));
  }));
  if (!go) return;
  [...list.children].forEach((li, i) => {
    const b = li.querySelector("button.problem"), p = problems[i];
    b?.append(make("b", { text: p.where ?? "" }), " ", p.what ?? "", " ", make("i", { text: p.fix ?? "" }));
  });
}

/**
 * @param {Problem} p
 * @returns {number} of the feature from 1, 0 for none
 */
export function featureOf(p) {
  return p.feature || Number(/feature (\d+)/.exec(p.where ?? "")?.[1] ?? 0);
}

export class Figures {
  /**
   * @param {import("./ground.js").Ground} ground
   * @param {{url: string, csrf: string, go: (p: Problem) => void}} with_
   */
  constructor(ground, { url, csrf, go }) {
    this.ground = ground;
    this.url = url;
    this.csrf = csrf;
    this.go = go;
    this.box = document.getElementById("figures");
    this.problems = document.getElementById("problems");
    this.note = make("p", { class: "figures-note", role: "status" });
    this.box?.before(this.note);
    /** @type {AbortController|null} */
    this.running = null;
    this.timer = 0;
  }

  /** Measures soon; of several changes the last counts. */
  soon() {
    clearTimeout(this.timer);
    this.running?.abort();
    this.wait(true);
    this.timer = setTimeout(() => this.measure(), 300);
  }

  /** @param {boolean} on */
  wait(on) {
    this.box?.setAttribute("aria-busy", String(on));
    this.note.textContent = on ? words.measuring : "";
  }

  async measure() {
    const run = (this.running = new AbortController());
    try {
      const { body } = await call(this.url, { method: "POST", body: JSON.stringify(this.ground.collection()), headers: { "Content-Type": "application/geo+json" }, signal: run.signal }, this.csrf);
      if (this.running !== run) return;
      this.wait(false);
      this.show(body?.figures ?? [], body?.problems ?? []);
    } catch (e) {
      if (run.signal.aborted || this.running !== run) return;
      this.wait(false);
      if (e instanceof Refused && e.body?.problems) return this.show([], e.body.problems);
      this.note.textContent = e instanceof Refused && e.message ? e.message : words.figuresOld;
      this.box?.classList.add("old");
    }
  }

  /**
   * @param {{label: string, value: string, note?: string}[]} figures
   * @param {Problem[]} problems
   */
  show(figures, problems) {
    const rows = figures.map(f => make("div", {}, make("dt", { text: f.label }), make("dd", { text: f.value }), f.note ? make("dd", { class: "note", text: f.note }) : null));
    this.box?.classList.remove("old");
    this.box?.replaceChildren(...(this.box.tagName === "DL" ? rows : [make("dl", {}, ...rows)]));
    if (!figures.length && problems.some(p => p.severity === "error") && this.ground.list.length) this.note.textContent = words.figuresNone;
    this.showProblems(problems);
  }

  /** @param {Problem[]} problems */
  showProblems(problems) {
    if (this.problems) listProblems(this.problems, problems, this.go);
  }
}
