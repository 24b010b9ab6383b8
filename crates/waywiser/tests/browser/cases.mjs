// What is tried.

import assert from "node:assert/strict";
import { LAPTOP, PHONE, Window } from "./browser.mjs";
import * as story from "./story.mjs";

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
async function without_scripts({ browser, server, folder }) {
  const window = await Window.open(browser, server.origin, folder, { size: PHONE, scripts: false });
  await shown(window, async () => {
    await window.go("/");
    await window.press("button", "Look at a sample truck");
    await story.stage(window, "Choose");
    await window.look("choose");
    await story.to_the_counter(window);
    const display = () => window.page.locator("[data-now]").innerText();
    assert.equal(await display(), "8.76");
    await window.press("link", /then tap here/);
    assert.equal(await display(), "8.74");
    await window.press("link", "I tapped once too often: undo");
    assert.equal(await display(), "8.76");
    for (let n = 0; n < 22; n += 1) await window.press("link", /then tap here/);
    assert.equal(await display(), "8.32");
    await window.look("counted");
    await window.press("link", "It does: next");
  });
  return window.close();
}

/** Two windows on the same write: the second is told, and nothing is kept twice. */
async function two_windows({ browser, server, folder }) {
  const first = await Window.open(browser, server.origin, folder, { size: LAPTOP });
  const second = await Window.open(browser, server.origin, folder, { size: LAPTOP, context: first.context });
  await shown(second, async () => {
    await story.sample(first);
    const done = new URL(first.page.url()).pathname.replace("/describe", "/set?screen=99");
    await first.go(done);
    await second.go(done);
    await first.press("button", "It is stored: keep the write in the record");
    await second.page.getByLabel("Remark").fill("typed in the second window");
    await second.press("button", "It is stored: keep the write in the record");
    assert.match(await second.page.locator("h1").innerText(), /changed meanwhile/);
    second.faults.splice(0, second.faults.length, ...second.faults.filter((fault) => !fault.includes("409")));
    await second.look("told");
    assert.match(await second.page.locator("main").innerText(), /typed in the second window/, "nothing typed is lost");
    await second.go(done.replace(/\/set.*/, "/record"));
    const kinds = await second.page.locator(".timeline .word").allTextContents();
    assert.equal(kinds.filter((kind) => kind === "write").length, 1, "one write is in the record");
  });
  return [...first.faults, ...(await second.close())];
}

export const cases = [
  whole("phone-light", { size: PHONE }),
  whole("laptop-dark", { size: LAPTOP, dark: true }),
  { name: "without-scripts", act: without_scripts },
  { name: "two-windows", act: two_windows },
];
