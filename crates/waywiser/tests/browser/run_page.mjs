// The run page with a receiver and clocks of our own: a passenger's hand, kills, a bad network, a full device.
//
// The page's clocks stand still between two fixes and are put by whoever feeds it, so an hour passes in seconds and each drive is
// the same each time. IndexedDB, locks, the worker, the screen's lock and the network are the browser's own.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { PHONE, Window } from "./browser.mjs";

const START_MS = Date.parse("2026-05-02T14:59:30Z");
/** How late a fix is delivered (ms). */
const LATE_MS = 300;

/** Clocks that stand until they are put, and a receiver that delivers what it is given. */
function instruments(start_ms) {
  const clocks = { steady_ms: 0, wall_ms: start_ms };
  const real = performance.now.bind(performance);
  const watching = new Map();
  performance.now = () => clocks.steady_ms;
  Date.now = () => clocks.wall_ms;
  const put = (wall_ms) => {
    clocks.steady_ms += Math.max(0, wall_ms - clocks.wall_ms);
    clocks.wall_ms = Math.max(wall_ms, clocks.wall_ms);
  };
  Object.defineProperty(navigator, "geolocation", {
    value: {
      watchPosition: (came, failed) => { watching.set(watching.size + 1, { came, failed }); return watching.size; },
      clearWatch: (id) => watching.delete(id),
    },
  });
  const deliver = (fix, timestamp) => {
    const coords = { accuracy: 4, altitude: null, speed: null, ...fix, time_ms: undefined };
    for (const { came } of watching.values()) came({ timestamp, coords });
  };
  window.instruments = {
    clocks, real, put, deliver,
    fail: (code) => { for (const { failed } of watching.values()) failed({ code, message: "" }); },
    /** Delivers fixes one after the other, each when its time has come; hold and turn as a hand does at these times. */
    async feed(fixes, late_ms, taps = []) {
      for (const fix of fixes) {
        put(fix.time_ms + late_ms);
        deliver(fix, fix.time_ms);
        for (const tap of taps.filter((one) => one.at_ms === fix.time_ms)) document.getElementById(tap.id).click();
        // As a device does: each is kept before the next comes.
        await new Promise((resolve) => { setTimeout(resolve, 0); });
        await app.records?.busy;
      }
    },
  };
}

/** The fixes of a GPX file. */
export function fixes_of(file) {
  const points = readFileSync(file, "utf8").matchAll(/<trkpt lat="([^"]+)" lon="([^"]+)"><time>([^<]+)<\/time><extensions><speed>([^<]+)</g);
  return [...points].map(([, latitude, longitude, time, speed]) => ({
    latitude: Number(latitude), longitude: Number(longitude), speed: Number(speed), time_ms: Date.parse(time),
  }));
}

/** A straight road at these speeds (m/s), a second each. */
function straight(speeds, start_ms) {
  let metres = 0;
  return speeds.map((speed, second) => {
    metres += speed;
    return { latitude: 45 + metres / 111131.8, longitude: 9.5, speed, altitude: 210.3, time_ms: start_ms + 1000 * second };
  });
}

export const steady = (seconds, start_ms = START_MS + 60000) => straight(Array(seconds).fill(20), start_ms);

/** A truck in the garage, by its page. */
export async function a_truck(window) {
  await window.go("/");
  await window.press("button", "Look at a sample truck");
  return new URL(window.page.url()).pathname.split("/")[2];
}

/** Opens the run page with its instruments. */
export async function open_run(page, origin, truck, start_ms = START_MS) {
  await page.addInitScript(instruments, start_ms);
  await page.goto(`${origin}/run?truck=${truck}`);
}

/** Through the gate: what a passenger ticks, a first fix or two, the odometer, and start. */
export async function start(page, { odometer = "", fix = { latitude: 45, longitude: 9.5, speed: 0 } } = {}) {
  await page.locator("#set-up").waitFor();
  for (const tick of await page.locator("[name=check]").all()) await tick.check();
  await page.locator("#gate-kept.met").waitFor();
  await page.locator("#gate-alone.met").waitFor();
  await page.evaluate((fix) => instruments.deliver(fix, instruments.clocks.wall_ms - 300), fix);
  await page.locator("#gate-awake.met").waitFor();
  if (odometer) await page.locator("#odometer").fill(odometer);
  await page.locator("#start:enabled").click();
  await page.locator("#running").waitFor();
}

export const feed = (page, fixes, taps = []) =>
  page.evaluate(([fixes, late, taps]) => instruments.feed(fixes, late, taps), [fixes, LATE_MS, taps]);

/** The records of the drive that the page holds. */
export const lines_in = (page) => page.evaluate(() => app.store.records(app.run.key, 0));
export const parsed = (lines) => lines.map((line) => JSON.parse(line));
export const told = (page) => page.locator("#told").innerText();

export async function stop(page) {
  await page.locator("#stop").click();
  await page.locator("#review").waitFor();
}

export async function hand_over(page) {
  await page.locator("#hand").click();
  await page.locator("#delete").waitFor({ timeout: 120000 });
}

/** The files that came in for a truck. */
export function files_in(server, truck) {
  const folder = join(server.garage, "trucks", truck);
  return readdirSync(folder).filter((name) => name.startsWith("run-")).map((name) => join(folder, name));
}

export function the_file(server, truck) {
  const files = files_in(server, truck);
  assert.equal(files.length, 1, `one file of the drive: ${files}`);
  return files[0];
}

export function measured(program, ...options) {
  return JSON.parse(execFileSync(program, ["measure", "drive", "--json", ...options], { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] }));
}

/** The demo's drive through the page: the same numbers as by its own track. */
async function the_demo({ browser, server, folder, data, scratch }, wishes) {
  const window = await Window.open(browser, server.origin, folder, wishes);
  const truck = await a_truck(window);
  const { page } = window;
  await open_run(page, server.origin, truck);
  await page.locator("#gate").waitFor();
  await window.look("before");
  await start(page, { odometer: "128406.3" });
  await feed(page, fixes_of(join(data, "drive.gpx")).slice(0, 120));
  await window.look("running");
  await feed(page, fixes_of(join(data, "drive.gpx")).slice(120));
  await stop(page);
  await window.look("review");
  const shown = await lines_in(page);
  const [saved] = await Promise.all([page.waitForEvent("download"), page.locator("#save").click()]);
  await hand_over(page);
  await window.look("handed-over");
  const file = the_file(server, truck);
  assert.equal(readFileSync(file, "utf8"), shown.map((line) => `${line}\n`).join(""), "handed over as it was kept");
  const aside = join(scratch, "saved.jsonl");
  await saved.saveAs(aside);
  assert.equal(readFileSync(aside, "utf8"), readFileSync(file, "utf8"), "saved as it was handed over");
  const log = join(data, "drive-log.csv");
  const [own, by_page] = [join(data, "drive.gpx"), file].map((track) => measured(server.program, "--track", track, "--vehicle-log", log));
  delete own.problems;
  delete by_page.problems;
  assert.equal(JSON.stringify(by_page), JSON.stringify(own), "the same numbers as by its own track");
  assert.ok(own.reading_ratio.value < 1, "there are numbers");
  return window.close();
}

/** A passenger's hand: holds, odometer, a note; what the page then tells, one tap from being evidence. */
async function with_marks({ browser, server, folder }, wishes) {
  const window = await Window.open(browser, server.origin, folder, wishes);
  const truck = await a_truck(window);
  const { page } = window;
  await open_run(page, server.origin, truck);
  await start(page, { odometer: "1000.0" });
  const began = START_MS + 60000;
  // 5 % fast: 45 mph shown are 19.159 m/s true, and a tenth of a mile shown is 153.2 m.
  const fixes = straight(Array(900).fill(19.159), began);
  const tap = (id, second) => ({ id, at_ms: began + 1000 * second });
  await page.locator("#speeds button", { hasText: /^45$/ }).click();
  await page.locator("#turned", { hasText: /1000\.0.mi/ }).waitFor();
  const tenth_s = 160.9344 / 1.05 / 19.159;
  const taps = [20, 60, 100, 140, 180, 220].flatMap((at) => [tap("hold", at), tap("hold", at + 24)]);
  // The page expects a true odometer until two marks say otherwise: the passenger corrects what it expects.
  const [early, late] = [5, 100].map((tenths) => Math.round(10 + tenths * tenth_s));
  const turns = [tap("turned", early), ...Array(4).fill(tap("on", late)), tap("turned", late)];
  await feed(page, fixes.slice(0, 30), taps);
  await window.look("holding");
  await feed(page, fixes.slice(30), [...taps, ...turns]);
  assert.match(await page.locator("#missing").innerText(), /The dial: .*The odometer: /s);
  const marks = parsed(await lines_in(page));
  const holds = marks.filter((one) => one.run === "hold");
  assert.deepEqual(holds.map((one) => [one.shown, Math.round(one.end - one.start)]), Array(6).fill(["45 mph", 24]));
  assert.deepEqual(marks.filter((one) => one.run === "odometer").map((one) => one.shown), ["1000.0 mi", "1009.5 mi"]);
  await window.look("marked");
  await stop(page);
  // One hold too many is taken back, in words that stay.
  await page.getByRole("button", { name: "Take back" }).first().click();
  await page.locator("#marks", { hasText: "taken back: Needle at 45 mph for 24 s" }).waitFor();
  assert.equal(parsed(await lines_in(page)).filter((one) => one.run === "hold").length, 5);
  await window.look("taken-back");
  await hand_over(page);
  const said = measured(server.program, "--track", the_file(server, truck));
  assert.equal(said.reads, "needle");
  assert.equal(said.holds.length, 5);
  assert.ok(Math.abs(said.reading_ratio.value - 1.05) < 0.01, `the dial: ${said.reading_ratio.value}`);
  assert.ok(Math.abs(said.by_odometer.value - 1.05) < 0.01, `the odometer: ${said.by_odometer.value}`);
  await window.go(`/trucks/${truck}/measure?came=${the_file(server, truck).split("/").pop()}`);
  await page.getByText("A drive recorded with marks came in").waitFor();
  assert.match(await page.locator(".came").innerText(), /The dial reads 5\.\d+\s%\sfast/);
  await window.look("came-in");
  await window.press("button", "Add what the dial showed");
  assert.match(await page.locator(".came").innerText(), /came in and counts/);
  return window.close();
}

export const cases = [
  { name: "run-demo-phone-light", act: (given) => the_demo(given, { size: PHONE }) },
  { name: "run-marks-phone-dark", act: (given) => with_marks(given, { size: PHONE, dark: true }) },
];
