// Fetching the outlines, saving them as a further measuring, and what happens when that fails.

import { ask, button, download, make } from "./dom.js";
import { call, newKey, Refused } from "./server.js";
import { words } from "./words.js";

export class Save {
  /**
   * @param {import("./ground.js").Ground} ground
   * @param {{url: string, property: string, csrf: string, say: (text: string) => void, problems: (list: any[]) => void}} with_
   */
  constructor(ground, { url, property, csrf, say, problems }) {
    this.ground = ground;
    this.url = url;
    this.property = property;
    this.csrf = csrf;
    this.say = say;
    this.problems = problems;
    this.etag = ""; // none: nothing is there yet
    this.key = "";
    /** @type {any} what the key was sent with */
    this.keyOf = null;
    this.busy = false;
    this.waiting = false; // a draft waits to be taken up or thrown away: until then nothing is written over it
    this.onBusy = () => {};
    this.onLoad = () => {};
    this.slot = ["tankful ground", document.body.dataset.who ?? "", property].join(" "); // a draft is its writer's alone
    this.offer = make("div", { class: "offer", role: "alert", hidden: true });
    addEventListener("beforeunload", ev => { if (ground.dirty) ev.preventDefault(); });
    ground.on("change", () => this.keepDraft());
  }

  async load() {
    this.say(words.loading);
    try {
      const { collection, etag } = await this.fetch();
      this.etag = etag;
      this.offerDraft();
      this.ground.load(collection, true);
      this.say("");
      this.onLoad();
    } catch (e) {
      this.show(words.loadFailed(e instanceof Refused ? e.message || words.refused : ""), [[words.again, () => this.load()]]);
      this.say("");
    }
  }

  /** @returns {Promise<{collection: any, etag: string}>} */
  async fetch() {
    try {
      const { response, body } = await call(this.url);
      return { collection: body, etag: response.headers.get("ETag") ?? "" };
    } catch (e) {
      if (e instanceof Refused && e.status === 404) return { collection: { type: "FeatureCollection", features: [] }, etag: "" };
      throw e;
    }
  }

  /** Saves what is on the map. */
  async save() {
    if (this.busy) return;
    this.ground.commit();
    const state = this.ground.steps[this.ground.at], body = JSON.stringify(this.ground.collection());
    if (this.keyOf !== this.etag + body) {
      this.key = newKey(); // sent again after a lost answer, the same work is not saved twice
      this.keyOf = this.etag + body;
    }
    this.hold(true);
    this.say(words.saving);
    try {
      /** @type {Record<string, string>} */
      const match = this.etag ? { "If-Match": this.etag } : { "If-None-Match": "*" };
      const { response, body: said } = await call(this.url, { method: "PUT", body, headers: { "Content-Type": "application/geo+json", "Idempotency-Key": this.key, ...match } }, this.csrf);
      this.took(response, said, state);
    } catch (e) {
      await this.failed(e);
    } finally {
      this.hold(false);
    }
  }

  /** @param {boolean} on */
  hold(on) {
    this.busy = on;
    this.onBusy();
  }

  /**
   * @param {Response} response
   * @param {any} said
   * @param {any} state
   */
  took(response, said, state) {
    this.etag = response.headers.get("ETag") ?? (said?.version ? `"${said.version}"` : "");
    this.ground.saved = state;
    this.ground.tell("saved");
    if (this.ground.dirty) this.keepDraft(); // something was drawn meanwhile
    else this.dropDraft();
    const wrong = said?.problems?.some((/** @type {any} */ p) => p.severity === "error");
    this.say(wrong ? words.savedProblems(said?.version ?? "") : words.saved(said?.version ?? ""));
    document.dispatchEvent(new CustomEvent("tankful:saved", { detail: { property: this.property, version: said?.version, etag: this.etag } }));
  }

  /**
   * @param {any} e
   * @returns {Promise<void>}
   */
  async failed(e) {
    if (!(e instanceof Refused)) return this.say(this.keepDraft() ? words.noServer : words.noServerNotKept);
    this.keepDraft();
    if (e.status === 412) {
      this.hold(false);
      return this.conflict(e.body);
    }
    if (e.status === 401) return this.say(words.signedOut);
    if (e.body?.problems) this.problems(e.body.problems);
    this.say(words.saveFailed(e.message || words.refused));
  }

  /**
   * @param {any} said
   * @returns {Promise<void>}
   */
  async conflict(said) {
    this.say("");
    const n = said?.newest?.version ?? said?.version;
    const text = [said?.detail, words.conflictText].filter(Boolean).map(t => make("p", { text: t }));
    const choice = await ask(n ? words.conflictTitle(n) : words.conflictTitleBare, text, [["mine", words.conflictMine], ["theirs", words.conflictTheirs], ["later", words.conflictLater]]);
    if (choice !== "theirs" && choice !== "mine") return;
    try {
      const { collection, etag } = await this.fetch();
      const mine = this.ground.collection();
      if (choice === "theirs") {
        download(words.mineFile(this.property), JSON.stringify(mine, null, 1));
        this.etag = etag;
        this.dropDraft();
        this.ground.load(collection, true);
        this.onLoad();
        this.say(words.theirsLoaded);
        return;
      }
      const { features, ...whole } = collection; // the map changes outlines alone: what else is told of the property stays theirs
      this.ground.whole = whole;
      this.etag = etag;
      return this.save();
    } catch (e) {
      return this.failed(e);
    }
  }

  /** @returns {boolean} whether the work is kept on this device */
  keepDraft() {
    if (this.waiting) return !this.ground.dirty;
    if (!this.ground.dirty) {
      this.dropDraft();
      return true;
    }
    try {
      localStorage.setItem(this.slot, JSON.stringify({ at: new Date().toISOString(), etag: this.etag, collection: this.ground.collection() }));
      return true;
    } catch {
      return false; // a private window, or full
    }
  }

  dropDraft() {
    if (this.waiting) return;
    try {
      localStorage.removeItem(this.slot);
    } catch { /* nothing is kept there */ }
  }

  offerDraft() {
    let draft = null;
    try {
      draft = JSON.parse(localStorage.getItem(this.slot) ?? "null");
    } catch { /* what cannot be read is no draft */ }
    if (!draft?.collection) return;
    this.waiting = true;
    this.show(words.draftFound(new Date(draft.at).toLocaleString()), [
      [words.draftTake, () => {
        this.waiting = false;
        this.etag = draft.etag; // what was saved since is then noticed as somebody else's
        this.ground.load(draft.collection, false);
        this.onLoad();
        this.say(words.draftTaken);
      }],
      [words.draftDrop, () => { this.waiting = false; this.dropDraft(); this.keepDraft(); }],
    ]);
  }

  /**
   * @param {string} text
   * @param {[string, () => void][]} choices
   */
  show(text, choices) {
    this.offer.replaceChildren(make("p", { text }), ...choices.map(([t, f]) => button(t, () => { this.offer.hidden = true; f(); })));
    this.offer.hidden = false;
  }
}
