"use strict";
// Keeps the pages of a crew's day, so that they open without signal. It never answers anything but GET, and asks the network first.
const name = "tankful BUILD";
const mayKeep = path => path.startsWith("/plan/") || path.startsWith("/web/");
self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", e => e.waitUntil((async () => {
  for (const k of await caches.keys()) if (k !== name && k.startsWith("tankful ")) {
    const old = await caches.open(k), now = await caches.open(name);
    for (const r of await old.keys()) if (new URL(r.url).pathname.startsWith("/plan/")) await now.put(r, await old.match(r)); // a day in hand is not lost over a new version
    await caches.delete(k);
  }
  await self.clients.claim();
})()));
self.addEventListener("fetch", e => {
  const url = new URL(e.request.url);
  if (e.request.method !== "GET" || url.origin !== location.origin || !mayKeep(url.pathname) || url.pathname.endsWith(".pdf") || url.pathname.endsWith(".html")) return;
  e.respondWith((async () => {
    try {
      const r = await fetch(e.request);
      if (r.ok && !r.redirected) (await caches.open(name)).put(e.request, r.clone());
      return r;
    } catch {
      return await caches.match(e.request) || new Response("<!doctype html><meta charset=utf-8><meta name=viewport content='width=device-width'><title>No signal</title><h1>No signal</h1><p>This page was not opened before. Go back, or try again with signal.</p>", { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
    }
  })());
});
self.addEventListener("message", e => {
  if (!e.data.keep) return;
  e.waitUntil((async () => {
    const c = await caches.open(name);
    let missing = 0;
    for (const page of e.data.keep) {
      try {
        const r = await fetch(page);
        if (!r.ok || r.redirected) throw new Error(r.status);
        const text = await r.clone().text();
        await c.put(page, r);
        for (const m of text.matchAll(/(?:href|src)="(\/web\/[^"]+)"/g)) if (!await c.match(m[1])) await c.add(m[1]);
      } catch { missing++; }
    }
    e.source.postMessage({ kept: true, missing });
  })());
});
