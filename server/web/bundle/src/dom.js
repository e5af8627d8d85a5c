// Small helpers for building the page. Text only ever goes in as text.

/**
 * Makes an element. A member with a function is a listener, "class" and "text" are what they say, the rest are attributes.
 * @param {string} tag
 * @param {Record<string, any>} [members]
 * @param {...(Node|string|null|undefined)} children
 * @returns {any}
 */
export function make(tag, members = {}, ...children) {
  const e = document.createElement(tag);
  for (const [k, v] of Object.entries(members)) {
    if (v === undefined || v === null || v === false) continue;
    if (typeof v === "function") e.addEventListener(k, v);
    else if (k === "text") e.textContent = v;
    else if (k === "class") e.className = v;
    else if (k === "value") /** @type {HTMLInputElement} */ (e).value = v;
    else e.setAttribute(k, v === true ? "" : String(v));
  }
  e.append(.../** @type {(Node|string)[]} */ (children.filter(c => c !== null && c !== undefined)));
  return e;
}

/**
 * A button; it never sends a form of the host page.
 * @param {string} text
 * @param {(ev: Event) => void} click
 * @param {Record<string, any>} [members]
 * @returns {HTMLButtonElement}
 */
export function button(text, click, members = {}) {
  return make("button", { type: "button", click, ...members }, text);
}

/**
 * Says whether a button is pressed, to the eye and to a reader.
 * @param {Element} b
 * @param {boolean} on
 */
export function press(b, on) {
  b.setAttribute("aria-pressed", String(on));
}

/**
 * Offers text as a file.
 * @param {string} name
 * @param {string} text
 */
export function download(name, text) {
  const url = URL.createObjectURL(new Blob([text], { type: "application/geo+json" }));
  const a = make("a", { href: url, download: name, hidden: true });
  document.body.append(a);
  a.click();
  a.remove();
  setTimeout(() => URL.revokeObjectURL(url), 60000); // a phone may take a while to ask where to put it
}

/**
 * Asks by a dialog and answers with the value of the button that was pressed, "" for the escape key.
 * @param {string} title
 * @param {(Node|string)[]} body
 * @param {[string, string][]} choices value and text; the last is the way out that changes nothing, and has the focus
 * @returns {Promise<string>}
 */
export function ask(title, body, choices) {
  return new Promise(done => {
    const id = "ask-" + Math.random().toString(36).slice(2);
    const d = make("dialog", { class: "ground-ask", "aria-labelledby": id }, make("h2", { id, text: title }), ...body);
    const row = make("div", { class: "ask-row" });
    choices.forEach(([value, text], i) => row.append(button(text, () => d.close(value), { value, autofocus: i === choices.length - 1 })));
    d.append(row);
    d.addEventListener("close", () => { d.remove(); done(d.returnValue); });
    d.addEventListener("cancel", () => { d.returnValue = ""; });
    document.body.append(d);
    d.showModal();
  });
}
