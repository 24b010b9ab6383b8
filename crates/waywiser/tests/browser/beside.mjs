// What belongs to no truck, by clicks: one drive, one recording, many drives, a bench signal, what is looked up, the whole record.

import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { look_opened, open_all, stage, text } from "./story.mjs";

/** What belongs to no truck is reached from the garage. */
async function beside(window, name) {
  await window.go("/");
  await window.press("link", new RegExp(`^${name}`));
}

/** Many drives: a good pair, a track alone, a broken file and a photo; the table, and the table as a file. */
export async function many_drives(window, data, scratch) {
  await beside(window, "Many drives at once");
  await look_opened(window, "many-drives");
  const broken = join(scratch, "broken.csv");
  writeFileSync(broken, Buffer.from([0x1f, 0x8b, 0, 0, 1]));
  const photo = join(scratch, "photo.jpg");
  writeFileSync(photo, Buffer.from([0xff, 0xd8]));
  const files = ["drive.gpx", "drive-log.csv", "after.gpx"].map((name) => join(data, name));
  await window.page.locator("#files").setInputFiles([...files, broken, photo]);
  await window.page.getByRole("button", { name: "Measure them" }).click();
  await window.page.getByRole("link", { name: "Download the table (CSV)" }).waitFor();
  assert.match(await text(window, ".lead"), /^3 drives were found; 1 of them says/);
  assert.match(await text(window, "table"), /reads 4\.[1-4]\d % slow/);
  await look_opened(window, "many-drives-table");
  const lines = await downloaded(window, "Download the table (CSV)");
  assert.equal(lines.toString().trim().split("\n").length, 4, "a head and a row for each drive");
  await window.press("link", "Back to the garage");
}

/** What a link gives as a file. */
async function downloaded(window, name) {
  const [download] = await Promise.all([
    window.page.waitForEvent("download"),
    window.page.getByRole("link", { name }).first().click(),
  ]);
  const pieces = [];
  for await (const piece of await download.createReadStream()) pieces.push(piece);
  return Buffer.concat(pieces);
}

/** One drive, and one recording beside a distance: each answer has an address of its own, and nothing is kept. */
export async function look_at(window, data) {
  await beside(window, "One drive");
  await look_opened(window, "one-drive");
  await window.page.getByLabel("The track: GPX, NMEA, CSV, JSON, KML, TCX, FIT, IGC or subtitles").setInputFiles(join(data, "drive.gpx"));
  await window.page.getByLabel("The truck's own log of that drive").setInputFiles(join(data, "drive-log.csv"));
  await window.page.getByRole("button", { name: "Look at this drive" }).click();
  await window.page.getByText("Look at another drive").waitFor();
  assert.match(await text(window, "main"), /reads 4\.[1-4]\d % slow/);
  await look_opened(window, "one-drive-answered");
  await window.page.reload();
  assert.match(await text(window, "main"), /reads 4\.[1-4]\d % slow/, "the answer can be loaded again");
  await beside(window, "One recording");
  await look_opened(window, "one-recording");
  const query = "counts_per_mile=8000&speed=60mph&lasting=3s&ring_teeth=36&missing_tooth=12";
  const wire = await (await fetch(`${window.origin}/api/v1/bench/signal.wav?${query}`)).arrayBuffer();
  const file = { name: "wire.wav", mimeType: "audio/wav", buffer: Buffer.from(wire) };
  await window.page.locator("#file").setInputFiles(file);
  await open_all(window);
  await window.page.getByLabel("Distance travelled meanwhile").fill("0.05 mi");
  await window.page.getByLabel("Channel", { exact: true }).fill("1");
  await window.page.getByRole("button", { name: "Listen to it" }).click();
  await window.page.getByText("Listen to another recording").waitFor();
  assert.match(await text(window, "main"), /counts per mile/);
  await look_opened(window, "one-recording-answered");
  await window.press("link", "Back to the garage");
}

/** A signal for the bench: refused without counts, then made and downloaded. */
export async function bench(window) {
  await beside(window, "A signal for the bench");
  await look_opened(window, "bench");
  await window.page.getByLabel("Counts that the module is to be fed").fill("8000");
  await window.page.getByLabel("Speed, or several one after the other").fill("20, 40, 60 mph");
  await window.page.getByLabel("How long each lasts").fill("2 s");
  await window.press("button", "Make the signal");
  assert.match(await text(window, "#made"), /533 pulses/);
  await look_opened(window, "bench-made");
  const wav = await downloaded(window, "Download it as sound (WAV)");
  assert.equal(wav.subarray(0, 4).toString(), "RIFF");
}

/** The whole record: a copy, an export, and the same taken in by another garage. */
export async function whole_record(window, scratch) {
  await beside(window, "The whole record");
  await look_opened(window, "whole-record");
  const copy = await downloaded(window, "A copy of its file");
  assert.equal(copy.subarray(0, 15).toString(), "SQLite format 3");
  const lines = await downloaded(window, "JSON Lines");
  const file = join(scratch, "exported.jsonl");
  writeFileSync(file, lines);
  await window.page.getByLabel("The exported file").setInputFiles(file);
  await window.page.getByRole("button", { name: "Take it in" }).click();
  await window.page.locator(".told").waitFor();
  assert.match(await text(window, ".told"), /are here already/);
  await window.page.getByText("Read what is left of it").click();
  await window.press("button", "Set a copy aside and read it");
  assert.match(await text(window, "main"), /entries could be read/);
  await window.look("rescued");
  return file;
}

/** A record that comes into an empty garage, and a truck that comes out of it. */
export async function take_in(window, file) {
  await beside(window, "The whole record");
  await window.look("whole-record-empty");
  await window.page.getByLabel("The exported file").setInputFiles(file);
  await window.page.getByRole("button", { name: "Take it in" }).click();
  await window.page.locator(".told").waitFor();
  assert.match(await text(window, ".told"), /were added/);
  await window.look("whole-record-taken-in");
  await window.press("button", /^Add it to this garage/);
  await stage(window, "Record");
  await window.look("record-of-the-truck");
}

/** A size of tire and the rules. */
export async function look_up(window) {
  await beside(window, "A size of tire");
  await window.page.getByLabel("Size as printed on the sidewall").fill("LT275/75R17");
  await window.press("button", "Look it up");
  await window.look("tire");
  await beside(window, "The rules");
  await window.look("rules");
}
