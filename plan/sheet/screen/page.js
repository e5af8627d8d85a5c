"use strict";
// Keeps ticks and entries on this phone, by plan. It reckons nothing.
(() => {
  const plan = document.body.dataset.plan, key = n => "tankful " + plan + " " + n;
  const load = n => { try { return localStorage.getItem(key(n)); } catch { return null; } };
  const save = (n, v) => { try { v ? localStorage.setItem(key(n), v) : localStorage.removeItem(key(n)); } catch { /* private window: nothing is kept */ } };
  const kept = document.querySelectorAll("[data-keep]");
  for (const e of kept) {
    const was = load(e.dataset.keep);
    if (was !== null) { if (e.type === "checkbox") e.checked = was === "x"; else e.value = was; }
    e.addEventListener("input", () => save(e.dataset.keep, e.type === "checkbox" ? (e.checked ? "x" : "") : e.value));
  }
  for (const m of document.querySelectorAll(".map")) m.addEventListener("click", () => m.classList.toggle("large"));
  for (const a of document.querySelectorAll("nav a")) a.addEventListener("click", () => { document.querySelector("nav details").open = false; });
  document.getElementById("copy").addEventListener("click", async () => {
    let text = document.title + ", plan " + plan + "\n", head = "";
    for (const e of kept) {
      const on = e.type === "checkbox" ? e.checked : e.value.trim() !== "";
      if (!on) continue;
      const h = e.closest("section").querySelector("h1").textContent;
      if (h !== head) { head = h; text += "\n" + h + "\n"; }
      text += e.dataset.name.trim() + ": " + (e.type === "checkbox" ? "done" : e.value.trim()) + "\n";
    }
    const said = document.getElementById("said");
    try {
      if (navigator.share) await navigator.share({ text }); else await navigator.clipboard.writeText(text);
      said.textContent = "Copied.";
    } catch { said.textContent = "This browser does not let a file copy."; }
  });
})();
