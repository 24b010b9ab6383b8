// Every screen at three widths in both schemes, and narrow as at 400 % zoom: looked at, and laid out on one sheet.

import { mkdirSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { Window } from "./browser.mjs";

/** A window of 1280 px at 400 % is 320 px wide. */
const NARROW = { width: 320, height: 640 };
const SIZES = [
  [NARROW, false],
  ...[360, 768, 1280].flatMap((width) => [false, true].map((dark) => [{ width, height: width < 700 ? 800 : 900 }, dark])),
];

/** A truck that is told to check something first, and one with two sets of tires to come. */
const TRUCKS = {
  "check-first": `name = "The one to check"
[adjuster]
kind = "stepped-constant"
min = "4.00"
max = "12.00"
step = "0.01"
buttons = ["up", "down"]
present = "8.20"
writes_left = 3
[[evidence]]
kind = "odometer-distance"
setting = "8.20"
indicated = "10.00 mi"
true = "16.10 mi +/- 0.01"
resolution = "0.01 mi"
`,
  winter: `name = "The one with two sets"
[[tire]]
name = "summer"
size = "LT275/75R17"
[[tire]]
name = "winter"
size = "LT245/75R17"
[chain]
sensor_at = "transmission-output"
counts_per_turn = 22
axle_ratio = "46/11"
[adjuster]
kind = "stepped-constant"
counts_per_mile_per_unit = 40
min = "900"
max = "2100"
step = "3"
buttons = ["up", "down"]
present = "1479"
writes_left = 2
[[evidence]]
kind = "odometer-distance"
setting = "1479"
tires = "summer"
indicated = "47.8 mi"
true = "50.00 mi +/- 0.02"
resolution = "0.1 mi"
[[plan]]
tires = "winter"
miles = 8000
[[plan]]
tires = "summer"
miles = 500
`,
  held: `name = "The one with bad brakes"
[tire]
size = "LT275/75R17"
[adjuster]
kind = "free-constant"
unit = "pulses-per-mile"
min = 1000
max = 99999
present = 8000
[[fault]]
touches = "brakes"
note = "pedal soft"
`,
};

/** Lays the trucks into the garage, as their owner would lay the files there. */
function lay(garage) {
  for (const [slug, text] of Object.entries(TRUCKS)) {
    const folder = join(garage, "trucks", slug);
    mkdirSync(folder, { recursive: true });
    writeFileSync(join(folder, "truck.toml"), text);
  }
}

const SAMPLE = "/trucks/sample-truck";
const PAGES = [
  ["garage", "/"],
  ["add", "/add"],
  ["describe", `${SAMPLE}/describe`],
  ["measure", `${SAMPLE}/measure`],
  ["choose", `${SAMPLE}/choose`],
  ["set", `${SAMPLE}/set`],
  ["set-worse-than-now", `${SAMPLE}/set?to=1680`],
  ["prove", `${SAMPLE}/prove?track=after.gpx&vehicle_log=after-log.csv&rule=us-393.82`],
  ["prove-empty", `${SAMPLE}/prove`],
  ["record", `${SAMPLE}/record`],
  ["drive", `${SAMPLE}/evidence/1`],
  ["tape", `${SAMPLE}/new/evidence/rollout`],
  ["check-first-choose", "/trucks/check-first/choose"],
  ["check-first-set", "/trucks/check-first/set"],
  ["winter-choose", "/trucks/winter/choose"],
  ["held-measure", "/trucks/held/measure"],
  ["tire", "/tire?size=LT275/75R17"],
];

/** Loads a page until nothing is being read any more. */
async function settled(window, path) {
  while ((await window.page.locator("meta[http-equiv=refresh]").count()) > 0) {
    await window.page.waitForTimeout(300);
    await window.go(path);
  }
}

export async function every_size({ browser, server, folder }) {
  const faults = [];
  let first = true;
  for (const [size, dark] of SIZES) {
    const window = await Window.open(browser, server.origin, join(folder, `${size.width}-${dark ? "dark" : "light"}`), { size, dark });
    if (first) {
      await window.go("/");
      await window.press("button", "Look at a sample truck");
      lay(server.garage);
      first = false;
    }
    for (const [name, path] of PAGES) {
      await window.go(path);
      await settled(window, path);
      await window.look(name);
    }
    faults.push(...(await window.close()));
  }
  return faults;
}

/** One sheet with all pictures, row by row: made to be looked at by a person. */
export async function contact_sheet(browser, pictures) {
  const folders = (under) =>
    readdirSync(under, { withFileTypes: true }).flatMap((one) =>
      one.isDirectory() ? [join(under, one.name), ...folders(join(under, one.name))] : [],
    );
  const of = (folder) => readdirSync(folder).filter((name) => name.endsWith(".png")).sort();
  const row = (folder) =>
    `<h2>${folder.slice(pictures.length + 1)}</h2><div>${of(folder)
      .map((name) => `<figure><img src="${pathToFileURL(join(folder, name))}"><figcaption>${name}</figcaption></figure>`)
      .join("")}</div>`;
  const rows = folders(pictures).filter((folder) => of(folder).length > 0).map(row).join("");
  const style =
    "body{font:13px sans-serif;margin:8px;background:#bbb}div{display:flex;flex-wrap:wrap;gap:8px}figure{margin:0;width:230px}img{width:230px;max-height:620px;object-fit:cover;object-position:top;border:1px solid #444}";
  const sheet = join(pictures, "contact.html");
  writeFileSync(sheet, `<!doctype html><meta charset="utf-8"><title>Contact sheet</title><style>${style}</style>${rows}`);
  const page = await browser.newPage({ viewport: { width: 1680, height: 900 } });
  await page.goto(pathToFileURL(sheet).href);
  await page.screenshot({ path: join(pictures, "contact.png"), fullPage: true });
  await page.close();
}
