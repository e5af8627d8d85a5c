// The buttons over the map and the page round it.

import { button, make, press } from "./dom.js";
import { surfaces } from "./geojson.js";
import { words } from "./words.js";

/** @typedef {import("./tools.js").Tool} Tool */

/**
 * The places of the page: they are made first, for the map needs its own.
 * @param {HTMLElement} root
 */
export function layOut(root) {
  const target = make("div", { class: "map", tabindex: 0, role: "application", "aria-label": words.mapLabel });
  const said = make("p", { class: "said-here", role: "status" });
  const cross = make("div", { class: "cross", hidden: true, "aria-hidden": "true" });
  const frame = make("div", { class: "frame" }, target, cross, said, make("div", { class: "drop-here", "aria-hidden": "true", text: words.bringDrop }));
  const tools = make("div", { class: "tools" });
  const side = make("div", { class: "side" });
  root.classList.add("ground");
  root.replaceChildren(tools, make("div", { class: "beside" }, make("div", { class: "stage" }, frame), side));
  let timer = 0;
  const say = (/** @type {string} */ text) => {
    clearTimeout(timer);
    said.textContent = text;
    if (text) timer = setTimeout(() => { said.textContent = ""; }, 4000 + 80 * text.length);
  };
  return { target, frame, cross, tools, side, say };
}

/**
 * @param {Element} place
 * @param {{tools: import("./tools.js").Tools, walk: import("./walk.js").Walk, ground: import("./ground.js").Ground, save: import("./save.js").Save, looks: import("./looks.js").Looks, frame: HTMLElement, cross: HTMLElement, only: boolean}} of
 */
export function buttons(place, { tools, walk, ground, save, looks, frame, cross, only }) {
  const here = button(words.here, () => walk.here());
  if (only) {
    place.append(make("div", { class: "strip" }, here));
    return;
  }
  /** @type {[string, HTMLButtonElement, HTMLCanvasElement][]} */
  const kinds = [...surfaces, "truck"].map(s => {
    const c = make("canvas", { width: 36, height: 28, "aria-hidden": "true" });
    const b = button("", () => tools.setSurface(s), { "data-surface": s });
    b.append(c, make("span", { text: words.surfaces[s] ?? words.truck }));
    return [s, b, c];
  });
  const paint = () => kinds.forEach(([s, , c]) => looks.sample(s, c));
  looks.onTheme = () => { paint(); tools.set(tools.tool); };
  paint();

  /** @type {[Tool, HTMLButtonElement][]} */
  const acts = /** @type {Tool[]} */ (Object.keys(words.tools)).map(t => [t, button(words.tools[t][0], () => { if (t === "draw" && tools.surface === "truck") tools.surface = "turf"; tools.set(t); }, { "data-tool": t })]);
  const follow = button(words.follow, () => { tools.follow = !tools.follow; show(); }, { "data-act": "follow" });
  const undo = button(words.undo, () => tools.step(-1), { "data-act": "undo" });
  const redo = button(words.redo, () => tools.step(1), { "data-act": "redo" });
  const walking = button(words.walk, () => walk.toggle(), { "data-act": "walk" });
  const keep = button(words.save, () => save.save(), { class: "main", "data-act": "save" });
  const state = make("span", { class: "state" });
  const hint = make("p", { class: "hint" });

  const back = button(words.backOne, () => tools.backOne());
  const close = button(words.close, () => tools.close(), { "data-act": "close" });
  const stop = button(words.giveUp, () => tools.giveUp());
  const bar = make("div", { class: "bar", hidden: true }, button(words.atCross, () => tools.atCross(), { "data-act": "cross" }), back, close, stop);
  frame.after(make("div", { class: "bars" }, bar, walk.bar)); // under the map, where they hide nothing of it

  place.append(
    make("div", { class: "strip surfaces", role: "group", "aria-label": words.surfaceRow }, ...kinds.map(k => k[1])),
    make("div", { class: "strip", role: "group", "aria-label": words.toolRow }, ...acts.map(a => a[1]), follow, here, walking, undo, redo),
    make("div", { class: "strip keep" }, hint, state, keep));

  function show() {
    const { tool } = tools;
    for (const [s, b] of kinds) press(b, s === tools.surface && (tool === "draw" || walk.open));
    for (const [t, b] of acts) press(b, t === tool && !walk.open);
    press(follow, tools.follow);
    press(walking, walk.open);
    hint.textContent = walk.open ? words.walkHint : tools.stands ? words.stand : tools.follow && tools.draw ? words.followHint : words.tools[tool][1];
    bar.hidden = !tools.draw || walk.open;
    cross.hidden = bar.hidden;
    back.disabled = close.disabled = stop.disabled = !tools.sketch;
    back.hidden = close.hidden = stop.hidden = tools.stands;
    close.textContent = tool === "part" ? words.end : words.close;
    undo.disabled = !ground.canUndo && !tools.sketch;
    redo.disabled = !ground.canRedo || Boolean(tools.sketch);
    keep.disabled = save.busy || !ground.dirty;
    state.textContent = ground.dirty ? words.unsaved : "";
  }
  tools.onChange = walk.onChange = save.onBusy = show;
  for (const what of /** @type {const} */ (["change", "saved", "choose"])) ground.on(what, show);
  addEventListener("keydown", ev => {
    if (!(ev.ctrlKey || ev.metaKey) || ev.altKey || /^(input|textarea|select)$/i.test(/** @type {Element} */ (ev.target).tagName)) return;
    const k = ev.key.toLowerCase();
    if (k !== "z" && k !== "y") return;
    ev.preventDefault();
    tools.step(k === "y" || ev.shiftKey ? 1 : -1);
  });
  show();
}
