// The story by clicks: a truck, a drive and its log, the result, the choice, the presses with a slip, the proof, the record.

import assert from "node:assert/strict";
import { join } from "node:path";
import { SHEET } from "./browser.mjs";
import { fill, send } from "./forms.mjs";

export const TRUCK = "The blue flat-bed";

/** Text of the first element that a selector finds. */
export async function text(window, selector) {
  // As it reads: a space that does not break is a space.
  return (await window.page.locator(selector).first().innerText()).replaceAll("\u00a0", " ").trim();
}

/** The stage of that name, by the navigation. */
export async function stage(window, name) {
  const link = window.page.getByRole("navigation", { name: "Stages" }).getByRole("link", { name: new RegExp(`^${name}`) });
  await Promise.all([window.page.waitForEvent("domcontentloaded"), link.click()]);
}

/** From an empty garage to a truck of our own. */
export async function sample(window) {
  await window.go("/");
  await window.look("empty-garage");
  await window.press("button", "Look at a sample truck");
  await window.look("describe");
}

/** Follows a link to a new part of the truck, wherever it stands folded. */
async function to_new(window, part) {
  const link = window.page.locator(`a[href$="/new/${part}"]`).first();
  await link.evaluate((one) => {
    for (let at = one.closest("details"); at; at = at.parentElement.closest("details")) at.open = true;
  });
  await Promise.all([window.page.waitForEvent("domcontentloaded"), link.click()]);
}

/** Fills in a form by role and name, and keeps it. */
async function keep(window, fields) {
  await fill(window, fields);
  await send(window);
}

/** A truck of our own: two answers, then what its module takes, and where its sensor sits. */
export async function add_mine(window) {
  await window.go("/");
  await window.look("empty-garage");
  await window.press("link", "Add mine");
  await window.look("add");
  await window.page.getByLabel("What do you call it?").fill(TRUCK);
  await window.page.getByLabel("Tire size on it now").fill("LT275/75R17");
  await window.press("button", "Add it");
  await window.look("describe-at-first");
  await to_new(window, "chain/-");
  await keep(window, [
    ["radio", /^Output of the transmission/],
    ["textbox", /^Counts per turn/, "22"],
    ["textbox", /^Axle ratio/, "46/11"],
  ]);
  await to_new(window, "adjuster/stepped-constant");
  await window.look("new-adjuster");
  await keep(window, [
    ["textbox", /^What it shows now/, "1,479"],
    ["textbox", /^Writes left/, "5"],
    ["textbox", /^Lowest/, "900"],
    ["textbox", /^Highest/, "2100"],
    ["textbox", /^Step/, "3"],
    ["checkbox", /Up$/],
    ["checkbox", /Down$/],
    ["textbox", /^Counts per mile for each unit/, "40"],
  ]);
  await window.look("describe");
}

/** A track and the truck's own log, dropped together; the result is read. */
export async function drop(window, data) {
  await stage(window, "Measure");
  await window.look("measure-empty");
  const files = ["drive.gpx", "drive-log.csv"].map((name) => join(data, name));
  await window.page.locator("input[type=file]").first().setInputFiles(files);
  const send = window.page.getByRole("button", { name: "Read them" });
  if (await send.isVisible()) await send.click();
  await window.page.getByText(/4\.\d+\s% slow/).first().waitFor();
  await window.look("measure");
}

/** The advice, in so many words. */
export async function choose(window) {
  await stage(window, "Choose");
  assert.match(await text(window, ".headline .says"), /^Store 1416$/);
  await window.page.locator("details").first().evaluate((one) => { one.open = true; });
  await window.look("choose");
  await window.press("button", "Keep this advice in the record");
  assert.match(await text(window, ".told"), /safe on disk/);
  await window.look("record-with-advice");
}

const now = (window) => text(window, "[data-now]");

/** Longer than two taps that count as one. */
const BOUNCE_MS = 160;

/** Counts presses until a number of them is made. */
async function tap(window, times) {
  for (let n = 0; n < times; n += 1) {
    await window.page.locator("[data-press]").click();
    await window.page.waitForTimeout(BOUNCE_MS);
  }
}

/** The steps up to the counter. */
export async function to_the_counter(window) {
  await stage(window, "Set");
  await window.look("set-all-steps");
  await window.press("link", "Begin with step 1");
  await window.look("set-step-1");
  for (let n = 0; n < 20 && (await window.page.locator(".counter").count()) === 0; n += 1) {
    await window.press("link", "Done: next");
  }
  assert.equal(await window.page.locator(".counter").count(), 1, "a step with a counter comes");
}

/** Counts with a slip, an undo, a reload, and a display that shows something else. */
export async function press(window) {
  await to_the_counter(window);
  assert.equal(await now(window), "1479");
  await window.look("set-counter");
  await tap(window, 5);
  assert.equal(await now(window), "1464");
  // A tap that was no press.
  await tap(window, 1);
  await window.page.getByText("I tapped once too often: undo").click();
  assert.equal(await now(window), "1464");
  await window.page.locator("[data-press]").dblclick();
  assert.equal(await now(window), "1461", "two taps within 150 ms count once");
  await window.page.getByText("I tapped once too often: undo").click();
  await window.page.reload();
  assert.match(await text(window, "[data-resumed]"), /^Counted before: 5 of 21\. The display should show 1464\. Does it\?/);
  assert.equal(await window.page.locator("[data-press]").isVisible(), false, "no tap before the display was looked at");
  await window.look("set-resumed");
  await window.page.getByText("It does: go on").click();
  assert.equal(await now(window), "1464", "the count survives a reload");
  // The display shows one more than was counted: a press that was not tapped.
  await window.page.getByText("The display shows something else").first().click();
  await window.page.getByLabel("The display shows").fill("1461");
  await window.look("set-something-else");
  await window.press("button", "Plan again from there");
  assert.equal(await now(window), "1461");
  assert.match(await text(window, "[data-press] .counted"), /of 15/);
  assert.match(await text(window, ".told"), /Planned again.*15 presses are left/);
  await tap(window, 15);
  assert.equal(await now(window), "1416");
  await window.page.locator(".stop").waitFor();
  assert.equal(await window.page.locator("[data-press]").isVisible(), false, "nothing more can be pressed");
  await window.page.getByText("It does: next").click();
  assert.equal(await now(window), "1416", "one tap too many does not pass by the look at the display");
  await window.page.waitForTimeout(1000);
  await window.look("set-counted");
  await window.press("link", "It does: next");
}

/** The rest of the steps, what the module shows then, and the write into the record. */
export async function store(window) {
  const question = window.page.getByLabel("What does it show now?");
  for (let n = 0; n < 20 && (await question.count()) === 0; n += 1) {
    if (await window.page.locator(".step.final").count()) await window.look("set-cannot-be-undone");
    await window.press("link", /^(Done|It is stored): next$/);
  }
  await window.look("set-what-does-it-show");
  await question.fill("1416");
  await window.page.getByLabel("Writes left, as the module says").fill("4");
  await window.press("button", "That is what it shows");
  assert.match(await text(window, ".headline .says"), /^1416 is stored, one write spent, 4 left: it would read .*Keep this\?$/);
  await window.page.getByLabel("Odometer, with its unit").fill("128411.0 mi");
  await window.look("set-done");
  await window.press("button", "Yes: keep the write in the record");
  await window.look("record-with-write");
  assert.match(await text(window, ".headline .says"), /1416 is stored/);
  assert.match(await text(window, ".headline .says"), /4 writes left/);
}

/** Another drive, judged. */
export async function prove(window, data) {
  await stage(window, "Prove");
  await window.look("prove-empty");
  await window.page.getByLabel("The track: GPX, NMEA, CSV, JSON, KML, TCX, FIT, IGC or subtitles").setInputFiles(join(data, "after.gpx"));
  await window.page.getByLabel("The truck's own log of that drive").setInputFiles(join(data, "after-log.csv"));
  await window.page.locator("form[enctype] select[name=rule]").selectOption("us-393.82");
  await window.press("button", "Judge this drive");
  assert.match(await text(window, ".headline .says"), /^Conforms$/);
  await window.look("prove");
  await window.press("button", "Keep this proof in the record");
}

/** The record: what stands in it, the check, an entry by hand, the files. */
export async function record(window) {
  const kinds = await window.page.locator(".timeline .word").allTextContents();
  for (const kind of ["vehicle", "estimate", "choice", "write", "proof"]) assert.ok(kinds.includes(kind), `${kind} in ${kinds}`);
  await window.page.locator("select[name=kind]").selectOption("note");
  await window.page.locator("form.asks input[name=text]").first().fill("<b>a quiet road</b> & \"more\"");
  await window.press("button", "Add it to the record");
  assert.match(await text(window, ".timeline .gist"), /<b>a quiet road<\/b> & "more"/, "markup stays text");
  await window.press("link", "Check every entry now");
  assert.match(await text(window, ".verdict"), /^Whole\./);
  await window.look("record");
  const [download] = await Promise.all([
    window.page.waitForEvent("download"),
    window.page.getByRole("link", { name: "Whole record as JSON Lines" }).click(),
  ]);
  const stream = await download.createReadStream();
  let lines = "";
  for await (const piece of stream) lines += piece;
  assert.equal(lines.trim().split("\n").length, kinds.length + 1, "the file holds every entry");
}

/** The job sheet, and the record as it comes out of a printer. */
export async function print(window) {
  await window.page.emulateMedia({ media: "print" });
  await window.look("record-on-paper");
  await window.page.emulateMedia({ media: null });
  await window.press("link", "Job sheet, to print");
  assert.match(await text(window, "h1"), new RegExp(TRUCK));
  await window.look("sheet");
}

/** Each stage once, with everything opened where it opens: the pages that are looked at most. */
export async function each_stage(window, truck) {
  const pages = [
    ["measure", "/measure"],
    ["drive", "/evidence/1"],
    ["choose", "/choose"],
    ["set", "/set"],
    ["counter", "/set?screen=7&pressed=5#step"],
    ["prove", "/prove?track=after.gpx&vehicle_log=after-log.csv&rule=us-393.82"],
    ["record", "/record"],
  ];
  for (const [name, path] of pages) {
    await window.go(truck + path);
    await window.page.evaluate(() => document.querySelectorAll("details").forEach((one) => { one.open = true; }));
    await window.look(name);
    if (name === "choose") await window.press("button", "Keep this advice in the record");
  }
  await window.press("link", "Garage");
  await window.look("garage");
}

/** Opens everything that opens. */
export async function open_all(window) {
  if (window.scripts) await window.page.evaluate(() => document.querySelectorAll("details").forEach((one) => { one.open = true; }));
}

/** Opens everything that opens, and looks. */
export async function look_opened(window, name) {
  await open_all(window);
  await window.look(name);
}

/** Every paper is read on the page, on the screen and on paper. */
export async function papers(window, truck) {
  for (const paper of ["job-sheet", "measuring-sheet", "proof-sheet", "speed-card", "tires", "history", "door-frame", "sale-sheet"]) {
    await window.go(`${truck}/papers/${paper}`);
    await window.look(`paper-${paper}`);
    const screen = window.page.viewportSize();
    await window.page.emulateMedia({ media: "print" });
    await window.page.setViewportSize(SHEET);
    await window.look(`paper-${paper}-printed`);
    await window.page.emulateMedia({ media: null });
    await window.page.setViewportSize(screen);
  }
  await window.go(`${truck}/prove`);
  await open_all(window);
  const card = window.page.locator("form", { has: window.page.getByLabel("Gear ratios, for engine speeds on the card") });
  await card.getByLabel("Which paper").selectOption("speed-card");
  await card.getByLabel("Gear ratios, for engine speeds on the card").fill("2.50, 1.00");
  await card.locator("button[name=as][value=page]").click();
  await window.page.waitForURL(/as=page/);
  assert.match(await text(window, "main"), /Engine turns per minute/);
}

/** An entry that rests on a file: its name and hash are kept. */
export async function rests_on(window, truck) {
  await window.go(`${truck}/record`);
  await open_all(window);
  await window.page.locator("select[name=kind]").selectOption("note");
  await window.page.getByLabel("What", { exact: true }).fill("paid");
  const receipt = { name: "receipt.txt", mimeType: "text/plain", buffer: Buffer.from("abc") };
  await window.page.getByLabel("A receipt, a photo, a log").setInputFiles(receipt);
  await window.page.getByLabel("Other fields, one a line").fill("by=second look");
  await window.press("button", "Add it to the record");
  await open_all(window);
  const noted = await text(window, ".timeline");
  assert.match(noted, /receipt\.txt/);
  assert.match(noted, /ba7816bf/);
  await window.look("record-with-file");
}

/** Fuel, a service and readings: each figure of the record opens to how it came about. */
export async function figures(window, truck) {
  await window.go(`${truck}/record`);
  const add = async (kind, what, value, odometer) => {
    await window.page.locator("select[name=kind]").selectOption(kind);
    await window.page.getByLabel("Odometer, with its unit").fill(odometer);
    await window.page.getByLabel("What", { exact: true }).fill(what);
    await window.page.getByLabel("Value", { exact: true }).fill(value);
    await window.press("button", "Add it to the record");
  };
  await add("service", "engine oil", "5000 mi", "128500.0 mi");
  await add("fuel", "", "20 gal", "128500.0 mi");
  await add("fuel", "", "20 gal", "128785.0 mi");
  const opened = window.page.locator("summary", { hasText: "Fuel of entry" });
  assert.equal(await opened.count(), 1);
  assert.equal(await window.page.locator("summary", { hasText: "engine oil, true distance left" }).count(), 1);
  await look_opened(window, "record-figures");
}

/** The forms that few need, opened. */
export async function unusual(window, truck) {
  await window.go(`${truck}/new/evidence/drive`);
  await window.look("new-drive");
  await look_opened(window, "new-drive-opened");
  await window.go(`${truck}/prove`);
  await look_opened(window, "prove-opened");
}
