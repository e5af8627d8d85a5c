"use strict";
// Sends what is entered, keeps it while there is no signal, and shows what the server says. It reckons nothing.
(() => {
  const $ = s => document.querySelector(s), all = s => document.querySelectorAll(s);
  const make = (tag, text) => { const e = document.createElement(tag); if (text !== undefined) e.textContent = text; return e; };

  if ("serviceWorker" in navigator && document.body.dataset.who) navigator.serviceWorker.register("/offline.js").catch(() => { /* no https: pages are not kept */ });
  const out = $("form[action='/sign-out']");
  if (out) out.addEventListener("submit", async ev => { // what was kept of the pages is not for the next who takes the phone
    if (!("caches" in window) || out.dataset.done) return;
    ev.preventDefault();
    for (const k of await caches.keys()) await caches.delete(k);
    out.dataset.done = "yes"; out.submit();
  });
  for (const b of all("[data-history]")) { b.hidden = history.length < 2; b.addEventListener("click", () => history.back()); }
  for (const m of all(".map")) m.addEventListener("click", () => m.classList.toggle("large"));

  // --- what waits to be sent: kept on this phone until the server has it
  const store = "tankful waiting";
  const read = () => { try { return JSON.parse(localStorage.getItem(store)) || []; } catch { return []; } };
  const write = list => { try { localStorage.setItem(store, JSON.stringify(list)); } catch { say("This browser keeps nothing: write it on paper too."); } };
  const mine = () => read().filter(e => e.who === document.body.dataset.who);
  function say(text) { const s = $("#signal"); s.hidden = !text; s.textContent = text; }
  function words(e) { return [e.at, e.did, e.why, e.tank, e.reads, e.wind, e.wind_from, e.temperature, e.text].filter(Boolean).join(" "); }
  function showWaiting() {
    const box = $("#waiting"), list = mine();
    if (box) {
      const ul = box.querySelector("ul"); ul.replaceChildren();
      for (const e of list) {
        const li = make("li", (e.entry.stop ? "stop " + e.entry.stop + ": " : "") + words(e.entry) + (e.wrong ? " - not taken: " + e.wrong : ""));
        if (e.wrong) { const b = make("button", "Throw away"); b.className = "plain"; b.addEventListener("click", () => { write(read().filter(x => x.key !== e.key)); showWaiting(); }); li.append(" ", b); }
        ul.append(li);
      }
      box.hidden = list.length === 0;
    }
    if (list.length > 0) say(list.length + (list.length === 1 ? " entry waits" : " entries wait") + " to be sent.");
    else if (!navigator.onLine) say("No signal. What you enter is kept and sent later.");
    else say("");
  }
  let sending = false;
  async function send() {
    if (sending) return 0;
    sending = true;
    let sent = 0;
    try {
      for (const e of mine()) {
        if (e.wrong) continue;
        let r;
        try {
          r = await fetch("/api/plans/" + encodeURIComponent(e.plan) + "/entries", { method: "POST", headers: { "Content-Type": "application/json", "Idempotency-Key": e.key }, body: JSON.stringify(e.entry) });
        } catch { break; } // no signal: later
        if (r.ok) { sent++; write(read().filter(x => x.key !== e.key)); continue; }
        if (r.status === 401) { say("Sign in again: what you entered is kept."); break; }
        if (r.status >= 500 || r.status === 429) break;
        const p = await r.json().catch(() => ({}));
        const why = (p.problems || []).map(x => x.what + ". " + x.fix).join(" ") || p.detail || p.title || "status " + r.status;
        write(read().map(x => x.key === e.key ? { ...x, wrong: why } : x));
      }
    } finally { sending = false; showWaiting(); }
    return sent;
  }
  async function enter(plan, entry) {
    const now = new Date();
    entry.at = String(now.getHours()).padStart(2, "0") + ":" + String(now.getMinutes()).padStart(2, "0");
    const key = Array.from(crypto.getRandomValues(new Uint8Array(12)), b => b.toString(16).padStart(2, "0")).join("");
    write([...read(), { key, plan, who: document.body.dataset.who, entry }]);
    showWaiting();
    if (await send() > 0 && navigator.onLine) location.reload();
  }
  window.addEventListener("online", async () => { if (await send() > 0) location.reload(); });
  window.addEventListener("offline", showWaiting);
  if (document.body.dataset.who) { showWaiting(); send(); setInterval(() => { if (mine().length) send(); }, 20000); }

  const work = $("#work");
  if (work) {
    const base = () => ({ truck: work.dataset.truck, stop: Number(work.dataset.stop) });
    for (const b of work.querySelectorAll("button[data-did]")) b.addEventListener("click", () => { $("#state").textContent = b.dataset.did; enter(work.dataset.plan, { did: b.dataset.did, ...base() }); });
    for (const f of work.querySelectorAll("form[data-did]")) f.addEventListener("submit", ev => {
      ev.preventDefault();
      const entry = { did: f.dataset.did, ...base() };
      for (const i of f.elements) {
        if (!i.name || i.value.trim() === "") continue;
        const v = i.value.trim();
        if (i.type === "number") { if (Number(v) > 0) entry[i.name] = Number(v); } else entry[i.name] = i.dataset.unit && /^[\d.,]+$/.test(v) ? v + " " + i.dataset.unit : v;
      }
      f.reset(); f.closest("details").open = false;
      enter(work.dataset.plan, entry);
    });
    for (const b of all("[data-back]")) b.addEventListener("click", () => enter(work.dataset.plan, { did: "taken back", entry: Number(b.dataset.back), ...base() }));
  }

  // --- the crew's day is kept on the phone as soon as it is opened
  const kept = $("#kept");
  if (kept && "serviceWorker" in navigator) navigator.serviceWorker.ready.then(reg => {
    const pages = [location.pathname, ...Array.from(all(".stops a"), a => a.getAttribute("href"))];
    navigator.serviceWorker.addEventListener("message", e => { if (e.data.kept) kept.textContent = e.data.missing ? "Not all of it is kept on this phone: " + e.data.missing + " pages are missing." : "Kept on this phone, " + new Date().toTimeString().slice(0, 5) + ": works without signal."; });
    reg.active.postMessage({ keep: pages });
  });
  // boxes that are ticked on a sheet stay ticked on this phone
  for (const e of all(".sheet [data-keep]")) {
    const key = "tankful " + location.pathname + " " + e.dataset.keep;
    try { const was = localStorage.getItem(key); if (was !== null) { if (e.type === "checkbox") e.checked = was === "x"; else e.value = was; } } catch { /* nothing is kept */ }
    e.addEventListener("input", () => { try { const v = e.type === "checkbox" ? (e.checked ? "x" : "") : e.value; v ? localStorage.setItem(key, v) : localStorage.removeItem(key); } catch { /* nothing is kept */ } });
  }

  // --- the watch of a catch test: it writes seconds into the next empty walk, or into its field
  for (const b of all("[data-watch]")) {
    const name = b.dataset.watch, rest = b.textContent;
    let began = 0, tick = 0;
    b.hidden = false;
    const seconds = () => ((performance.now() - began) / 1000).toFixed(1) + " s";
    b.addEventListener("click", () => {
      if (!began) { began = performance.now(); tick = setInterval(() => { b.textContent = "Stop: " + seconds(); }, 100); return; }
      const fields = Array.from(document.getElementsByName(name)), field = fields.find(i => i.value === "") || (name === "run" ? more(name) : fields[0]);
      field.value = seconds(); began = 0; clearInterval(tick); b.textContent = rest;
    });
  }
  function more(name) {
    const last = Array.from(document.getElementsByName(name)).at(-1).closest("label"), next = last.cloneNode(true);
    next.querySelector("input").value = ""; last.after(next);
    return next.querySelector("input");
  }
  for (const b of all("[data-more]")) { b.hidden = false; b.addEventListener("click", () => more(b.dataset.more).focus()); }

  // --- a PDF goes out by what the phone or the computer sends with; where it can send no file, the file is kept and a letter is begun
  for (const b of all("[data-send]")) {
    const said = b.closest("section, main").querySelector(".sent");
    b.hidden = false;
    b.addEventListener("click", async () => {
      b.disabled = true;
      try {
        const r = await fetch(b.dataset.send);
        if (!r.ok) throw new Error(r.status);
        const file = new File([await r.blob()], b.dataset.file, { type: "application/pdf" }), what = { files: [file], title: b.dataset.about, text: b.dataset.text || b.dataset.about };
        if (navigator.canShare && navigator.canShare(what)) { await navigator.share(what); said.textContent = "Given to what you chose."; return; }
        const a = make("a"); a.href = URL.createObjectURL(file); a.download = file.name; a.click();
        setTimeout(() => URL.revokeObjectURL(a.href), 60000);
        const letter = make("a", "Begin a letter"); letter.className = "button";
        letter.href = "mailto:?subject=" + encodeURIComponent(b.dataset.about) + "&body=" + encodeURIComponent((b.dataset.text || "") + "\n");
        said.replaceChildren(file.name + " is among your downloads: attach it. ", letter);
      } catch (e) { said.textContent = e.name === "AbortError" ? "Not sent." : "The server does not answer. Try again."; } finally { b.disabled = false; }
    });
  }

  // a spreader is weighed, everything else is caught
  const tool = $("#catch select[name=applicator]");
  if (tool) {
    const show = () => {
      const spread = "spread" in (tool.selectedOptions[0]?.dataset ?? {});
      for (const e of all("[data-kind]")) e.hidden = (e.dataset.kind === "spread") !== spread;
    };
    tool.addEventListener("change", show); show();
  }

  // --- lengths by tape: the server adds them up as they are written
  const tape = $("form[data-sum]");
  if (tape) {
    const text = tape.elements.tape, out = tape.querySelector("[data-summed]");
    let timer = 0, asked = 0;
    const sum = async () => {
      const n = ++asked;
      if (!text.value.trim()) { out.replaceChildren(); return; }
      try {
        const r = await fetch(tape.dataset.sum, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ text: text.value, accuracy: tape.elements.accuracy.value.trim() }) }), x = await r.json();
        if (n !== asked) return;
        const dl = make("dl"), lines = make("ul"), wrong = make("ul");
        dl.className = "figures"; wrong.className = "problems";
        for (const f of x.figures || []) { const d = make("div"); d.append(make("dt", f.label), make("dd", f.value)); if (f.note) { const note = make("dd", f.note); note.className = "note"; d.append(note); } dl.append(d); }
        for (const l of x.lines || []) lines.append(make("li", (l.name ? l.name + ": " : "") + l.working + (l.note ? ", " + l.note : "")));
        for (const p of x.problems || []) wrong.append(problem(p));
        out.replaceChildren(dl, lines, wrong);
      } catch { /* no signal: it is added up when it is kept */ }
    };
    tape.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(sum, 400); });
    for (const b of tape.querySelectorAll("[data-line]")) b.addEventListener("click", () => {
      const was = text.value.trimEnd();
      text.value = (was ? was + "\n" : "") + b.dataset.line;
      text.focus(); text.setSelectionRange(text.value.length - b.dataset.line.length, text.value.length); sum();
    });
  }
  function problem(p) { const li = make("li"); li.className = p.severity; li.append(make("b", p.where), " " + p.what + " ", make("i", p.fix)); return li; }

  // a measuring that the map has saved is the one that the account's form changes
  document.addEventListener("tankful:saved", async e => {
    for (const i of document.getElementsByName("version")) i.value = e.detail.version;
    try { // the list of measurings has one more
      const now = new DOMParser().parseFromString(await (await fetch(location.pathname)).text(), "text/html").getElementById("measurings");
      if (now) $("#measurings").replaceWith(now);
    } catch { /* it stands there when the page is opened again */ }
  });

  // --- planning: what the server says as it goes
  async function plan(form, url, body) {
    const [bar, said, box, stop] = ["progress", ".making", ".refused", ".give-up"].map(s => form.querySelector(s)), away = new AbortController();
    bar.hidden = stop.hidden = false; box.hidden = true;
    stop.onclick = () => away.abort();
    try {
      const r = await fetch(url, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), signal: away.signal });
      if (!r.ok) { refused(box, await r.json()); return; }
      const reader = r.body.pipeThrough(new TextDecoderStream()).getReader();
      for (let text = "";;) {
        const { value, done } = await reader.read();
        if (done) break;
        text += value;
        for (let end; (end = text.indexOf("\n\n")) >= 0; text = text.slice(end + 2)) {
          const line = text.slice(0, end).split("\n").find(l => l.startsWith("data:"));
          if (!line) continue;
          const s = JSON.parse(line.slice(5));
          said.textContent = s.text + ", " + s.seconds + " s";
          if (s.refused) refused(box, s.refused);
          if (s.plan) { location.href = "/plan/" + s.plan; return; }
          if (s.week) spread(said, s.week);
        }
      }
    } catch (e) { said.textContent = e.name === "AbortError" ? "Given up." : "The server does not answer. Try again."; } finally { bar.hidden = stop.hidden = true; }
  }
  function spread(said, week) {
    said.textContent = week.minutes + " in all. " + week.bound;
    for (const d of week.days) {
      const p = make("p"), a = make(d.plan ? "a" : "span");
      if (d.plan) a.href = "/plan/" + d.plan;
      a.className = "row"; a.append(make("b", d.date), " " + d.text); p.append(a); said.append(p);
    }
    if (week.later.length) said.append(make("b", "Later than these days:"));
    for (const l of week.later) said.append(make("p", l.name + ": " + l.why + ". " + l.fix));
  }
  function refused(box, x) {
    box.replaceChildren(make("h2", x.title), make("p", x.detail || ""));
    const ul = make("ul"); ul.className = "problems";
    for (const p of x.problems || []) ul.append(problem(p));
    box.append(ul); box.hidden = false;
  }
  const day = $("#plan-day");
  if (day) {
    const stops = () => Array.from(day.querySelectorAll("input[name=stop]:checked"));
    const box = $("#otherwise"), rows = box.querySelector("div"), row = id => Array.from(rows.children).find(r => r.dataset.stop === id);
    const count = () => {
      const list = stops();
      $("#chosen").textContent = list.length + " chosen";
      box.hidden = list.length === 0;
      for (const r of Array.from(rows.children)) if (!list.some(i => i.value === r.dataset.stop)) r.remove();
      for (const i of list) if (!row(i.value)) {
        const r = box.querySelector("template").content.firstElementChild.cloneNode(true);
        r.dataset.stop = i.value; r.querySelector("legend").textContent = i.dataset.label; rows.append(r);
      }
    };
    const asked = i => {
      const stop = { property: i.value }, v = name => row(i.value).querySelector("[name=" + name + "]").value.trim();
      if (v("mix")) stop.mixes = [v("mix")];
      for (const key of ["truck", "notes"]) if (v(key)) stop[key] = v(key);
      if (v("from") || v("until")) { stop.window = {}; for (const key of ["from", "until"]) if (v(key)) stop.window[key] = v(key); }
      if (v("place")) stop[v("place")] = true;
      return stop;
    };
    day.addEventListener("change", count); count();
    for (const b of all("[data-all],[data-none]")) b.addEventListener("click", () => { for (const i of day.querySelectorAll("input[name=stop]:not(:disabled)")) i.checked = "all" in b.dataset; day.dispatchEvent(new Event("change")); });
    day.addEventListener("submit", ev => {
      ev.preventDefault();
      const date = $("input[name=date]").value, also = Array.from(day.querySelectorAll("input[name=also]:checked"), i => i.value).filter(d => d !== date);
      const ask = { stops: stops().map(asked), ...Object.fromEntries(["start", "end"].map(k => [k, day.elements[k].value]).filter(e => e[1])), off: Array.from(day.querySelectorAll("input[name=on]:not(:checked)"), i => i.value) };
      if (also.length) plan(day, "/api/weeks", { days: [date, ...also].sort(), ...ask }); else plan(day, "/api/plans", { date, ...ask });
    });
  }
  const rest = $("#plan-rest");
  if (rest) rest.addEventListener("submit", ev => { ev.preventDefault(); plan(rest, "/api/plans/" + rest.dataset.plan + "/rest", {}); });
  const order = $("#plan-order");
  if (order) {
    order.addEventListener("click", ev => {
      const b = ev.target.closest("[data-step]");
      if (!b) return;
      const li = b.closest("li"), other = b.dataset.step < 0 ? li.previousElementSibling : li.nextElementSibling;
      if (other) { if (b.dataset.step < 0) other.before(li); else other.after(li); }
      b.focus();
    });
    for (const s of order.querySelectorAll("[data-to]")) s.addEventListener("change", () => {
      const to = Array.from(order.querySelectorAll("[data-truck]")).find(f => f.dataset.truck === s.value);
      to.querySelector("ol").append(s.closest("li")); s.focus();
    });
    const send = orders => plan(order, "/api/plans/" + order.dataset.plan + "/order", { orders });
    order.addEventListener("submit", ev => { ev.preventDefault(); send(Array.from(order.querySelectorAll("[data-truck]"), f => ({ truck: f.dataset.truck, stops: Array.from(f.querySelectorAll("[data-stop]"), l => l.dataset.stop) }))); });
    const free = $("#order-free");
    if (free) free.addEventListener("click", () => send([]));
  }
  const record = $("#to-record");
  if (record) record.addEventListener("submit", async ev => {
    ev.preventDefault();
    try {
      const r = await fetch("/api/plans/" + record.dataset.plan + "/record", { method: "POST" }), x = await r.json();
      $("#recorded").textContent = r.ok ? x.length + " lines are in the record." : x.title + ". " + (x.detail || "");
    } catch { $("#recorded").textContent = "The server does not answer. Try again."; }
  });
})();
