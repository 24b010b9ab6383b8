// From "Add mine" to the advice, by somebody with one thumb: every tap and every field is counted, and more than the page
// promises is a fault.

import assert from "node:assert/strict";
import { join } from "node:path";
import { text } from "./story.mjs";

/** Most taps with two files, and with a tape or an odometer; most fields with two files. */
export const MOST_TAPS_WITH_FILES = 8;
export const MOST_TAPS_BY_HAND = 10;
export const MOST_FIELDS_WITH_FILES = 6;

/** A hand on a window: what it taps and what it fills in is found by role and name, and counted. */
class Hand {
  constructor(window) {
    Object.assign(this, { window, page: window.page, taps: 0, fields: 0 });
  }

  async tap(role, name) {
    this.taps += 1;
    const target = this.page.locator("main").getByRole(role, { name }).first();
    await Promise.all([this.page.waitForEvent("domcontentloaded"), target.click()]);
  }

  async fill(label, value) {
    this.fields += 1;
    await this.page.getByLabel(label).first().fill(value);
  }

  async mark(name) {
    this.fields += 1;
    await this.page.getByRole("radio", { name }).first().check();
  }

  async tick(name) {
    this.fields += 1;
    await this.page.getByRole("checkbox", { name }).first().check();
  }

  /** One tap opens the chooser; with the files it goes on by itself. */
  async choose(files) {
    this.taps += 1;
    await this.page.locator("input[type=file]").first().setInputFiles(files);
    await this.page.waitForURL(/came=/);
  }

  /** The advice is there, and the way was no longer than it may be. */
  async ends(advice, taps, fields) {
    assert.match(await text(this.window, ".headline .says"), advice);
    console.log(`  ${new URL(this.page.url()).pathname}: ${this.taps} taps, ${this.fields} fields`);
    assert.ok(this.taps <= taps, `${this.taps} taps, at most ${taps}`);
    assert.ok(this.fields <= fields, `${this.fields} fields, at most ${fields}`);
  }
}

/** A truck whose module shows one number: what it shows, from where to where in what steps, and its one button. */
async function named(hand, name) {
  await hand.window.go("/");
  if ((await hand.page.getByRole("link", { name: "Add mine" }).count()) > 0) await hand.tap("link", "Add mine");
  else await hand.tap("link", "Add a truck");
  await hand.fill("What do you call it?", name);
  await hand.tap("button", "Add it");
  await hand.tap("link", /^A number that buttons step through/);
  await hand.fill(/^Lowest/, "900");
  await hand.fill(/^Highest/, "2100");
  await hand.fill(/^Step/, "3");
  await hand.fill(/^What it shows now/, "1479");
  await hand.tick(/Down$/);
  await hand.tap("button", "Add");
}

/** Two files of one drive. */
export async function with_files(window, data) {
  const hand = new Hand(window);
  await named(hand, "By two files");
  await hand.tap("link", "Measure it");
  await hand.choose(["drive.gpx", "drive-log.csv"].map((name) => join(data, name)));
  assert.match(await text(window, ".came"), /It counts as taken with 1479 stored/);
  await hand.tap("link", "What to store");
  await hand.ends(/^Store 14\d\d$/, MOST_TAPS_WITH_FILES, MOST_FIELDS_WITH_FILES);
}

/** Two readings of the odometer beside a known distance. */
export async function by_odometer(window) {
  const hand = new Hand(window);
  await named(hand, "By the odometer");
  await hand.tap("link", "Measure it");
  await hand.tap("link", /^Two odometer readings/);
  await hand.fill(/^Odometer at the start/, "128,406.3");
  await hand.fill(/^Odometer at the end/, "128,435.0");
  await hand.fill(/^How far it truly was/, "30.00 mi +/- 0.02");
  await hand.tap("button", "Add");
  await hand.tap("link", "What to store");
  await hand.ends(/^Store 14\d\d$/, MOST_TAPS_BY_HAND, Infinity);
}

/** Chalk and tape, where it is known from where the sensor takes its turns. */
export async function by_tape(window) {
  const hand = new Hand(window);
  await hand.window.go("/");
  await hand.tap("link", /^Add/);
  await hand.fill("What do you call it?", "By tape");
  await hand.tap("button", "Add it");
  await hand.tap("link", /^A number that buttons step through/);
  await hand.fill(/^Counts per mile for each unit/, "40");
  await hand.fill(/^Lowest/, "900");
  await hand.fill(/^Highest/, "2100");
  await hand.fill(/^Step/, "3");
  await hand.fill(/^What it shows now/, "1479");
  await hand.tick(/Down$/);
  await hand.tap("button", "Add");
  await hand.tap("link", /^Everything between tire and wire/);
  await hand.mark(/^Output of the transmission/);
  await hand.fill(/^Counts per turn/, "22");
  await hand.fill(/^Axle ratio/, "46/11");
  await hand.tap("button", "Add");
  await hand.tap("link", "Measure it");
  await hand.tap("link", /^Tape on the ground/);
  await hand.fill(/^Turns of the wheel/, "5");
  await hand.fill(/^First try/, "42 ft 10 3/4 in");
  await hand.tap("button", "Add");
  await hand.tap("link", "What to store");
  await hand.ends(/^Store 14\d\d$/, MOST_TAPS_BY_HAND, Infinity);
}

/** A track alone says what it gave and what is missing, there. */
export async function track_alone(window, data) {
  const hand = new Hand(window);
  await named(hand, "By a track");
  await hand.tap("link", "Measure it");
  await hand.choose([join(data, "drive.gpx")]);
  const said = await text(window, ".came");
  assert.match(said, /It gives a true length of [\d.]+ ± [\d.]+ miles over \d+ minutes/);
  assert.match(said, /Missing is what the truck showed/);
  await window.look("track-alone");
  await hand.tap("link", "Type what the truck showed");
}
