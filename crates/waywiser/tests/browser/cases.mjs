// What is tried.

import assert from "node:assert/strict";
import { truncateSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { LAPTOP, PHONE, Window } from "./browser.mjs";
import * as beside from "./beside.mjs";
import * as forms from "./forms.mjs";
import * as phone from "./phone.mjs";
import * as run_kills from "./run_kills.mjs";
import * as run_page from "./run_page.mjs";
import { every_size } from "./screens.mjs";
import * as story from "./story.mjs";
import * as taps from "./taps.mjs";

/** 512 MB are taken; a file with a hole in it costs no disk. */
const MORE_THAN_IS_TAKEN_BYTES = 513 * 1024 * 1024;

/** The whole story on one screen. */
function whole(name, wishes) {
  const act = async ({ browser, server, folder, data }) => {
    const window = await Window.open(browser, server.origin, folder, wishes);
    await shown(window, async () => {
      await story.add_mine(window);
      await story.drop(window, data);
      await story.choose(window);
      await story.press(window);
      await story.store(window);
      await story.prove(window, data);
      await story.record(window);
      await story.print(window);
    });
    return window.close();
  };
  return { name, act };
}

/** Every stage of a sample truck, on one more screen. */
function stages(name, wishes) {
  const act = async ({ browser, server, folder }) => {
    const window = await Window.open(browser, server.origin, folder, wishes);
    await shown(window, async () => {
      await story.sample(window);
      const truck = new URL(window.page.url()).pathname.replace("/describe", "");
      await story.each_stage(window, truck);
    });
    return window.close();
  };
  return { name, act };
}

/** The forms made by hand, each with a mistake, on one screen. */
function filled_in(name, wishes) {
  const act = async ({ browser, server, folder }) => {
    const window = await Window.open(browser, server.origin, folder, wishes);
    await shown(window, async () => {
      await window.go("/add");
      await window.page.getByRole("textbox", { name: "What do you call it?" }).fill(story.TRUCK);
      await window.page.getByRole("textbox", { name: "Tire size on it now" }).fill("LT285/75R16");
      await window.press("button", "Add it");
      const truck = new URL(window.page.url()).pathname.replace("/describe", "");
      await forms.previews(window, truck);
      await forms.all(window, truck);
    });
    // A mistake is answered as one: the browser notes the status.
    return without(await window.close(), /422/);
  };
  return { name, act };
}

/** What belongs to no truck, on one screen; the record goes into another garage at the end. */
function without_a_truck(name, wishes) {
  const act = async ({ browser, server, folder, data, scratch, another }) => {
    const window = await Window.open(browser, server.origin, folder, wishes);
    const faults = [];
    await shown(window, async () => {
      await story.sample(window);
      const truck = new URL(window.page.url()).pathname.replace("/describe", "");
      await window.go(`${truck}/choose`);
      await window.press("button", "Keep this advice in the record");
      await story.figures(window, truck);
      await story.unusual(window, truck);
      await story.rests_on(window, truck);
      await story.papers(window, truck);
      await window.go("/");
      await window.look("garage");
      await beside.many_drives(window, data, scratch);
      await beside.look_at(window, data);
      await beside.bench(window);
      await beside.look_up(window);
      const file = await beside.whole_record(window, scratch);
      const other = await another();
      const elsewhere = await Window.open(browser, other.origin, `${folder}/elsewhere`, wishes);
      await shown(elsewhere, () => beside.take_in(elsewhere, file));
      faults.push(...(await elsewhere.close()));
    });
    return [...faults, ...(await window.close())];
  };
  return { name, act };
}

/** Takes a last picture where something goes wrong. */
async function shown(window, act) {
  try {
    await act();
  } catch (error) {
    await window.page.screenshot({ path: `${window.folder}/where-it-failed.png`, fullPage: true });
    throw error;
  }
}

/** Without scripts the story still reaches a setting. */
async function without_scripts({ browser, server, folder, data, scratch }) {
  const window = await Window.open(browser, server.origin, folder, { size: PHONE, scripts: false });
  await shown(window, async () => {
    await window.go("/");
    await window.press("button", "Look at a sample truck");
    await story.stage(window, "Choose");
    await window.look("choose");
    await window.press("button", "Keep this advice in the record");
    await story.to_the_counter(window);
    const display = () => window.page.locator("[data-now]").innerText();
    assert.equal(await display(), "1479");
    await window.press("link", /then tap here/);
    assert.equal(await display(), "1476");
    await window.press("link", "I tapped once too often: undo");
    assert.equal(await display(), "1479");
    for (let n = 0; n < 21; n += 1) await window.press("link", /then tap here/);
    assert.equal(await display(), "1416");
    await window.look("counted");
    await window.press("link", "It does: next");
    await beside.many_drives(window, data, scratch);
    await beside.bench(window);
    await beside.whole_record(window, scratch);
  });
  return window.close();
}

/** More than is taken, without scripts: a page that says so, and not a connection that breaks. */
async function too_much({ browser, server, folder, scratch }) {
  const window = await Window.open(browser, server.origin, folder, { size: PHONE, scripts: false });
  await shown(window, async () => {
    await window.go("/");
    await window.press("button", "Look at a sample truck");
    await story.stage(window, "Measure");
    const large = join(scratch, "hours-of-wire.wav");
    writeFileSync(large, "");
    truncateSync(large, MORE_THAN_IS_TAKEN_BYTES);
    await window.page.locator("input[type=file]").first().setInputFiles(large);
    await window.press("button", "Read them");
    assert.match(await window.page.locator("h1").innerText(), /too large/);
    assert.match(await window.page.locator("main").innerText(), /512\sMB/);
    await window.look("too-large");
    await window.press("link", "To the garage");
  });
  return without(await window.close(), /413/);
}

/** The faults but for those that were meant to come. */
function without(faults, meant) {
  return faults.filter((fault) => !meant.test(fault));
}

/** Two windows on the same write: the second is told, and nothing is kept twice. */
async function two_windows({ browser, server, folder }) {
  const first = await Window.open(browser, server.origin, folder, { size: LAPTOP });
  const second = await Window.open(browser, server.origin, folder, { size: LAPTOP, context: first.context });
  await shown(second, async () => {
    await story.sample(first);
    const done = new URL(first.page.url()).pathname.replace("/describe", "/set?screen=99&stored=1416");
    await first.go(done);
    await second.go(done);
    await first.press("button", "Yes: keep the write in the record");
    await second.page.getByLabel("Remark").fill("typed in the second window");
    await second.press("button", "Yes: keep the write in the record");
    assert.match(await second.page.locator("h1").innerText(), /changed meanwhile/);
    await second.look("told");
    assert.match(await second.page.locator("main").innerText(), /typed in the second window/, "nothing typed is lost");
    await second.go(done.replace(/\/set.*/, "/record"));
    const kinds = await second.page.locator(".timeline .word").allTextContents();
    assert.equal(kinds.filter((kind) => kind === "write").length, 1, "one write is in the record");
  });
  return [...first.faults, ...without(await second.close(), /409/)];
}

/** The way to the advice, counted. */
function counted(name, wishes) {
  const act = async ({ browser, server, folder, data }) => {
    const window = await Window.open(browser, server.origin, folder, wishes);
    await shown(window, async () => {
      await taps.with_files(window, data);
      await window.look("with-files");
      await taps.by_odometer(window);
      await window.look("by-odometer");
      await taps.by_tape(window);
      await window.look("by-tape");
      await taps.track_alone(window, data);
    });
    return window.close();
  };
  return { name, act };
}

export const cases = [
  counted("taps-phone", { size: PHONE }),
  counted("taps-laptop", { size: LAPTOP }),
  { name: "screens", act: every_size },
  { name: "phone-let-in", act: phone.let_in },
  whole("phone-light", { size: PHONE }),
  whole("laptop-dark", { size: LAPTOP, dark: true }),
  stages("phone-dark", { size: PHONE, dark: true }),
  stages("laptop-light", { size: LAPTOP }),
  without_a_truck("beside-phone-light", { size: PHONE }),
  without_a_truck("beside-laptop-dark", { size: LAPTOP, dark: true }),
  filled_in("forms-phone-light", { size: PHONE }),
  filled_in("forms-laptop-dark", { size: LAPTOP, dark: true }),
  { name: "without-scripts", act: without_scripts },
  { name: "two-windows", act: two_windows },
  { name: "too-much", act: too_much },
  ...run_page.cases,
  ...run_kills.cases,
];
