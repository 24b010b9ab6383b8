// Keeps the run page, so that it opens again where there is no network. Everything else goes its way.
"use strict";
const KEPT = "waywiser-run-VERSION";
const PAGE = "/run";
const FILES = [PAGE, "/run/app.js", "/run/run.css"];

self.addEventListener("install", (event) => {
  const fresh = FILES.map((file) => new Request(file, { cache: "reload" }));
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll(fresh)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const older = (names) => names.filter((name) => name.startsWith("waywiser-run-") && name !== KEPT);
  event.waitUntil(caches.keys().then((names) => Promise.all(older(names).map((name) => caches.delete(name)))).then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const { method, url } = event.request;
  const path = new URL(url).pathname;
  if (method !== "GET" || !FILES.includes(path)) return;
  event.respondWith(caches.open(KEPT).then((kept) => kept.match(path)).then((found) => found || fetch(event.request)));
});
