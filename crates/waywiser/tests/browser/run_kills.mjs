// The run page where things go wrong: tabs and browsers that are killed, a network that loses requests and answers, a laptop that
// is started again, a device without room, clocks that are put, a place that may not be known.

import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { appendFileSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { chromium } from "playwright-core";
import { PHONE, Window } from "./browser.mjs";
import {
  a_truck, feed, hand_over, lines_in, measured, open_run, parsed, start, steady, stop, the_file, told,
} from "./run_page.mjs";

const TAB_KILLS = 20;
const BROWSER_KILLS = 3;
/** At these requests the laptop's program is killed. */
const KILLED_AT = [2, 3, 5, 6, 8];
const FAILING = 0.3;
/** Fixes between two kills. */
const BETWEEN = 25;
const HOUR_S = 3600;
/** What an hour may take, in bytes. */
const MOST_SENT = 600_000;
const MOST_STORED = 5_000_000;
/** Room on a device that has little left, in bytes. */
const LITTLE_ROOM = 150_000;
/** The first page with script and style at most, in bytes. */
const MOST_FIRST = 40 * 1024;

/** The same numbers each time (a linear congruential generator, Numerical Recipes' constants). */
function chance(seed) {
  let state = seed;
  return () => { state = (Math.imul(state, 1664525) + 1013904223) >>> 0; return state / 2 ** 32; };
}

const lines_of = (file) => readFileSync(file, "utf8").trimEnd().split("\n");

/** Begins to deliver, and comes back in the middle of it with what was confirmed until then. */
async function in_the_middle(page, fixes) {
  await page.evaluate(([fixes]) => { instruments.feed(fixes, 300).catch(() => {}); }, [fixes]);
  const enough = await page.evaluate(() => app.records.count + 5);
  await page.waitForFunction((enough) => app.records.count >= enough, enough);
  return page.evaluate(async () => {
    // What is confirmed is what the page shows, and what lies before that in the store.
    const shown = Number.parseInt(document.getElementById("count").textContent, 10);
    return app.store.records(app.run.key, 0, shown);
  });
}

/** What was confirmed is there, the drive is the same, and the page goes on with it by itself. */
async function goes_on(page, before, id) {
  await page.locator("#running").waitFor();
  assert.equal(await page.evaluate(() => app.run.id), id, "the same drive");
  const now = await lines_in(page);
  assert.deepEqual(now.slice(0, before.length), before, "what was confirmed is there as it was");
}

/** Tabs killed while the drive is recorded and no network is there. */
async function tab_kills({ browser, server, folder }) {
  const window = await Window.open(browser, server.origin, folder, { size: PHONE });
  const truck = await a_truck(window);
  let { page } = window;
  await open_run(page, server.origin, truck);
  await page.waitForFunction(() => navigator.serviceWorker.ready.then((worker) => Boolean(worker.active)));
  await start(page);
  const id = await page.evaluate(() => app.run.id);
  const fixes = steady((TAB_KILLS + 1) * BETWEEN);
  await window.context.setOffline(true);
  for (let kill = 0; kill < TAB_KILLS; kill += 1) {
    const confirmed = await in_the_middle(page, fixes.slice(kill * BETWEEN, (kill + 1) * BETWEEN));
    const crash = await window.context.newCDPSession(page);
    const crashed = new Promise((resolve) => { page.once("crash", resolve); });
    crash.send("Page.crash").catch(() => {});
    await crashed;
    await page.close();
    page = await window.context.newPage();
    await open_run(page, server.origin, truck, fixes[(kill + 1) * BETWEEN - 1].time_ms + 400);
    await goes_on(page, confirmed, id);
  }
  await feed(page, fixes.slice(TAB_KILLS * BETWEEN, -10));
  await page.reload();
  await page.locator("#running").waitFor();
  await feed(page, fixes.slice(-10));
  const records = parsed(await lines_in(page));
  const count = (kind) => records.filter((one) => one.run === kind).length;
  assert.equal(count("segment"), TAB_KILLS + 2, "every start of the page is a part of its own");
  assert.equal(count("gap"), TAB_KILLS + 1, "and what lies between is a gap");
  assert.equal(records.find((one) => one.run === "gap").reason, "page-closed");
  await stop(page);
  await window.context.setOffline(false);
  const kept = await lines_in(page);
  await hand_over(page);
  assert.deepEqual(lines_of(the_file(server, truck)), kept);
  const said = measured(server.program, "--track", the_file(server, truck));
  assert.ok(said.points.rejected === 0, "no fix of any part is taken for an old one");
  // A page that is killed breaks off what it asked for; the browser notes it.
  return (await window.close()).filter((fault) => !/ERR_INTERNET_DISCONNECTED|Failed to fetch/.test(fault));
}

/** A browser of our own, which can be killed as a device kills it. */
async function own_browser(folder) {
  const options = [
    "--headless=new", "--no-sandbox", "--remote-debugging-port=0", `--user-data-dir=${folder}`,
    "--disable-background-networking", "--no-first-run", "about:blank",
  ];
  const child = spawn(process.env.CHROMIUM || "/usr/bin/chromium", options, { stdio: ["ignore", "ignore", "pipe"], detached: true });
  const address = await new Promise((resolve, reject) => {
    let said = "";
    child.on("exit", () => reject(new Error(`the browser ended: ${said}`)));
    child.stderr.on("data", (bytes) => {
      said += bytes;
      const found = said.match(/ws:\/\/\S+/);
      if (found) resolve(found[0]);
    });
  });
  const browser = await chromium.connectOverCDP(address);
  const kill = async () => {
    child.removeAllListeners("exit");
    const over = new Promise((resolve) => { child.once("exit", resolve); });
    // With all of its own processes, at once.
    process.kill(-child.pid, "SIGKILL");
    await over;
  };
  return { context: browser.contexts()[0], kill };
}

/** The whole browser killed. */
async function browser_kills({ browser, server, folder, scratch }) {
  const window = await Window.open(browser, server.origin, folder, { size: PHONE });
  const truck = await a_truck(window);
  const profile = join(scratch, "profile");
  const fixes = steady((BROWSER_KILLS + 1) * BETWEEN);
  let [own, id, confirmed] = [await own_browser(profile), null, []];
  let page = await own.context.newPage();
  await open_run(page, server.origin, truck);
  await start(page);
  id = await page.evaluate(() => app.run.id);
  for (let kill = 0; kill < BROWSER_KILLS; kill += 1) {
    confirmed = await in_the_middle(page, fixes.slice(kill * BETWEEN, (kill + 1) * BETWEEN));
    await own.kill();
    own = await own_browser(profile);
    page = await own.context.newPage();
    await open_run(page, server.origin, truck, fixes[(kill + 1) * BETWEEN - 1].time_ms + 400);
    await goes_on(page, confirmed, id);
  }
  await feed(page, fixes.slice(BROWSER_KILLS * BETWEEN));
  await stop(page);
  const kept = await lines_in(page);
  await hand_over(page);
  await own.kill();
  assert.deepEqual(lines_of(the_file(server, truck)), kept);
  return window.close();
}

/** An hour, handed over where requests and answers are lost and the laptop's program is killed, from two tabs. */
async function bad_network({ browser, server, folder }) {
  const window = await Window.open(browser, server.origin, folder, { size: PHONE });
  const truck = await a_truck(window);
  const { page, context } = window;
  await open_run(page, server.origin, truck);
  await start(page);
  await page.evaluate(() => {
    window.took_ms = [];
    const write = app.store.write.bind(app.store);
    app.store.write = async (...given) => {
      const began = instruments.real();
      const done = await write(...given);
      took_ms.push(instruments.real() - began);
      return done;
    };
  });
  // With as many digits as a receiver gives, far west, and stamps between two seconds.
  const with_digits = (fix, place) => ({
    ...fix, longitude: -108.8619827 + (place % 7) * 1e-7, latitude: fix.latitude + 0.0000001, speed: 19.87, accuracy: 12.345,
    time_ms: fix.time_ms + 123,
  });
  const hour = steady(HOUR_S).map(with_digits);
  await feed(page, hour);
  const took_ms = (await page.evaluate(() => took_ms)).sort((a, b) => a - b);
  const stored = await page.evaluate(async () => (await navigator.storage.estimate()).usageDetails?.indexedDB);
  await stop(page);
  const kept = await lines_in(page);
  assert.equal(parsed(kept).filter((one) => one.run === "fix").length, HOUR_S, "every fix is kept once");
  let [kills, requests, sent] = [0, 0, 0];
  const next = chance(7);
  await context.route("**/run/records/**", async (route) => {
    requests += 1;
    sent += route.request().postDataBuffer()?.length || 0;
    const [before, after] = [next() < FAILING / 2, next() < FAILING / 2];
    if (KILLED_AT.includes(requests)) {
      kills += 1;
      // Killed before it has answered, as often as after it had taken what was sent.
      if (kills % 2) await route.fetch().catch(() => {});
      await server.restart();
      return route.abort("connectionreset");
    }
    if (before) return route.abort("connectionfailed");
    const answer = await route.fetch().catch(() => null);
    return answer && !after ? route.fulfill({ response: answer }) : route.abort("connectionreset");
  });
  await page.locator("#hand").click();
  await page.waitForFunction(() => document.getElementById("sent").value > 0, null, { timeout: 120000 });
  const other = await context.newPage();
  await other.goto(`${server.origin}/run`);
  await other.getByText("Another tab has this page open").first().waitFor();
  const crash = await context.newCDPSession(page);
  const crashed = new Promise((resolve) => { page.once("crash", resolve); });
  crash.send("Page.crash").catch(() => {});
  await crashed;
  // The other goes on with it by itself.
  await other.locator("#delete").waitFor({ timeout: 120000 });
  assert.equal(kills, KILLED_AT.length, `killed ${kills} times`);
  assert.deepEqual(lines_of(the_file(server, truck)), kept, "every record once, as it was kept");
  const whole = kept.reduce((sum, line) => sum + line.length + 1, 0);
  const p99 = took_ms[Math.floor(took_ms.length * 0.99)];
  console.log(`  an hour at 1 Hz: ${(whole / 1e6).toFixed(3)} MB of records, ${(stored / 1e6).toFixed(2)} MB stored; ${requests} requests, ${(sent / 1e6).toFixed(3)} MB with all that was sent again`);
  console.log(`  a write: median ${took_ms[took_ms.length >> 1].toFixed(1)} ms, 99th percentile ${p99.toFixed(1)} ms, longest ${took_ms.at(-1).toFixed(1)} ms of ${took_ms.length}`);
  assert.ok(sent > 0 && sent < MOST_SENT, `${sent} bytes sent`);
  assert.ok(stored > 0 && stored < MOST_STORED, `${stored} bytes stored`);
  // The owner says so, twice: then it is gone from here, and the laptop keeps it.
  await other.locator("#delete").click();
  await other.locator("#delete").click();
  await other.waitForURL(/truck=/);
  await other.locator("#gate").waitFor();
  assert.equal(await other.evaluate(() => app.store.runs().then((runs) => runs.length)), 0);
  const faults = await window.close();
  return faults.filter((fault) => !/ERR_CONNECTION|Failed to load resource/.test(fault));
}

/** No room on the device: it is said, nothing is forgotten, and it goes on once there is room. */
async function no_room({ browser, server, folder, scratch }) {
  const window = await Window.open(browser, server.origin, folder, { size: PHONE });
  const truck = await a_truck(window);
  const { page, context } = window;
  // The browser looks again after the room it knew of is used up, so there is little of it from the start.
  const device = await context.newCDPSession(page);
  await device.send("Storage.overrideQuotaForOrigin", { origin: server.origin, quotaSize: LITTLE_ROOM });
  await open_run(page, server.origin, truck);
  await start(page);
  const fixes = steady(4000);
  let fed = 0;
  while (fed < 3900 && (await page.evaluate(() => app.records.waiting.length)) === 0) {
    await feed(page, fixes.slice(fed, fed + 100));
    fed += 100;
  }
  // The write that was refused is told once the browser has said so.
  await page.waitForFunction(() => /storage of this device is full/.test(document.querySelector("#told").textContent));
  assert.match(await told(page), /storage of this device is full.*\d+ records wait in this page/s);
  await window.look("no-room");
  // What waits is in the file all the same.
  await stop(page);
  const [saved] = await Promise.all([page.waitForEvent("download"), page.locator("#save").click()]);
  const aside = join(scratch, "saved.jsonl");
  await saved.saveAs(aside);
  assert.equal(parsed(lines_of(aside)).filter((one) => one.run === "fix").length, fed, "every fix is in the file");
  await device.send("Storage.overrideQuotaForOrigin", { origin: server.origin });
  await page.locator("#again").click();
  await page.locator("#running").waitFor();
  await feed(page, fixes.slice(fed, fed + 20));
  await page.waitForFunction(() => app.records.waiting.length === 0);
  assert.equal(parsed(await lines_in(page)).filter((one) => one.run === "fix").length, fed + 20, "none was forgotten");
  return window.close();
}

/** Clocks that are put, a device that sleeps, an old first fix, a page that is not in front. */
async function clocks({ browser, server, folder }) {
  const window = await Window.open(browser, server.origin, folder, { size: PHONE });
  const truck = await a_truck(window);
  const { page } = window;
  await open_run(page, server.origin, truck);
  await page.locator("#set-up").waitFor();
  // An hour old, kept by the device: it is no start.
  await page.evaluate(() => instruments.deliver({ latitude: 45, longitude: 9 }, instruments.clocks.wall_ms - 3600000));
  assert.match(await page.locator("#gate-fix").innerText(), /not yet.*from before/s);
  assert.equal(await page.locator("#start").isEnabled(), false);
  await start(page);
  const fixes = steady(200);
  const count = (kind) => lines_in(page).then((lines) => parsed(lines).filter((one) => one.run === kind));
  await feed(page, fixes.slice(0, 50));
  // The calendar is put an hour ahead: neither receiver nor steady clock know of it.
  await page.evaluate(() => { instruments.clocks.wall_ms += 3600000; instruments.clocks.apart_ms = 3600000; });
  await page.evaluate(async (fixes) => {
    for (const fix of fixes) {
      instruments.clocks.steady_ms += 1000;
      instruments.deliver(fix, fix.time_ms);
      await app.records.flush();
    }
  }, fixes.slice(50, 100));
  assert.equal((await count("fix")).length, 100, "a calendar that was put loses no fix");
  assert.equal((await count("gap")).length, 0);
  // The device sleeps for 40 s, and its steady clock with it.
  const awake = fixes.slice(140);
  await page.evaluate(async (fixes) => {
    instruments.clocks.steady_ms += 500;
    for (const fix of fixes) {
      instruments.clocks.steady_ms += 1000;
      instruments.deliver(fix, fix.time_ms);
      await app.records.flush();
    }
  }, awake.slice(0, 30));
  assert.match(await told(page), /Nothing was recorded for 4\d s: the device slept/);
  // Not in front for 20 s.
  const front = (state) => page.evaluate((state) => {
    Object.defineProperty(document, "visibilityState", { value: state, configurable: true });
    document.dispatchEvent(new Event("visibilitychange"));
  }, state);
  await front("hidden");
  await page.evaluate(() => { instruments.clocks.steady_ms += 19000; });
  await front("visible");
  await page.evaluate(async (fixes) => {
    for (const fix of fixes) {
      instruments.clocks.steady_ms += 1000;
      instruments.deliver(fix, fix.time_ms);
      await app.records.flush();
    }
  }, awake.slice(49));
  assert.match(await told(page), /Nothing was recorded for 20 s: this page was not in front/);
  await window.look("after-a-gap");
  const gaps = await count("gap");
  assert.deepEqual(gaps.map((one) => one.reason), ["clock-moved", "page-hidden"]);
  // Every fix is as late as the others on the clock that goes on.
  const late_s = (await count("fix")).map((one) => one.delivered - Date.parse(one.time) / 1000);
  assert.ok(Math.max(...late_s) - Math.min(...late_s) < 1, "one steady clock");
  return window.close();
}

/** No permission, and only an approximate place. */
async function no_place({ browser, server, folder }) {
  const window = await Window.open(browser, server.origin, folder, { size: PHONE });
  const truck = await a_truck(window);
  const { page } = window;
  await open_run(page, server.origin, truck);
  await page.locator("#set-up").waitFor();
  await page.evaluate(() => instruments.fail(1));
  assert.match(await page.locator("#gate-fix").innerText(), /may not know the place\. Allow it/);
  await window.look("not-allowed");
  const deliver = (fix) => page.evaluate((fix) => instruments.deliver(fix, instruments.clocks.wall_ms), fix);
  await deliver({ latitude: 45, longitude: 9, accuracy: 3000 });
  assert.match(await page.locator("#gate-fix").innerText(), /Only an approximate place is allowed/);
  await window.look("approximate");
  await page.evaluate(() => instruments.put(instruments.clocks.wall_ms + 6000));
  await deliver({ latitude: 45, longitude: 9, accuracy: 45 });
  assert.match(await page.locator("#gate-fix").innerText(), /sure to 45 m, and 20 m is needed/);
  assert.equal(await page.locator("#start").isEnabled(), false);
  return window.close();
}

/** An open fault holds the drive back; the first page is small, and nothing is asked of anybody else. */
async function held_back({ browser, server, folder }) {
  const window = await Window.open(browser, server.origin, folder, { size: PHONE });
  const truck = await a_truck(window);
  const { page } = window;
  appendFileSync(join(server.garage, "trucks", truck, "truck.toml"), "\n[[fault]]\ntouches = \"brakes\"\nnote = \"pedal soft\"\n");
  let bytes = 0;
  const sizes = [];
  page.on("response", (answer) => {
    if (/\/run($|\?|\/app.js|\/run.css)/.test(answer.url())) sizes.push(answer.body().then((body) => { bytes += body.length; }));
  });
  await open_run(page, server.origin, truck);
  await page.locator("#held").waitFor();
  await Promise.all(sizes);
  console.log(`  the first page with script and style: ${(bytes / 1024).toFixed(1)} KB`);
  assert.ok(sizes.length === 3 && bytes <= MOST_FIRST, `${sizes.length} files, ${bytes} bytes`);
  for (const tick of await page.locator("[name=check]").all()) await tick.check();
  await page.evaluate(() => instruments.deliver({ latitude: 45, longitude: 9, speed: 1 }, instruments.clocks.wall_ms));
  assert.match(await page.locator("#waits").innerText(), /open fault/);
  assert.equal(await page.locator("#start").isEnabled(), false);
  await window.look("held-back");
  return window.close();
}

export const cases = [
  { name: "run-tab-kills", act: tab_kills },
  { name: "run-browser-kills", act: browser_kills },
  { name: "run-bad-network", act: bad_network },
  { name: "run-no-room", act: no_room },
  { name: "run-clocks", act: clocks },
  { name: "run-no-place", act: no_place },
  { name: "run-held-back", act: held_back },
];
