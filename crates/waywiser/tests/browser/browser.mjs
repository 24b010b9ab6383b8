// A real browser, what it asked the network for, what it looks like, and what axe says of each page.

import { readFileSync, mkdirSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { chromium } from "playwright-core";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
/** WCAG 2.2 level AA and everything it includes. */
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];
/** Least height of what is pressed with a thumb, CSS pixels; inline links in sentences apart. */
const THUMB_PX = 48;

export const PHONE = { width: 360, height: 800 };
export const LAPTOP = { width: 1280, height: 900 };
/** A sheet of A4 without its margins of 15 mm, the narrower of the usual two: 180 mm at 96 pixels an inch. */
export const SHEET = { width: 680, height: 1009 };

/** Debian's Chromium, or the one that CHROMIUM names; with more words, and with a home of its own, where they are given. */
export async function launch(more = [], home = null) {
  const executablePath = process.env.CHROMIUM || "/usr/bin/chromium";
  const args = ["--no-sandbox", "--disable-background-networking", "--disable-component-update"];
  const env = home ? { ...process.env, HOME: home } : process.env;
  return chromium.launch({ executablePath, args: [...args, ...more], env });
}

/** One window onto the page, as a person with this screen and these wishes has it. */
export class Window {
  constructor(context, page, origin, folder, faults) {
    Object.assign(this, { context, page, origin, folder, faults, shots: 0, asked: [] });
  }

  static async open(browser, origin, folder, { size, dark = false, scripts = true, context = null }) {
    mkdirSync(folder, { recursive: true });
    const wishes = {
      viewport: size,
      colorScheme: dark ? "dark" : "light",
      javaScriptEnabled: scripts,
      acceptDownloads: true,
      reducedMotion: "reduce",
      hasTouch: size === PHONE,
    };
    const own = context || (await browser.newContext(wishes));
    const page = await own.newPage();
    page.setDefaultTimeout(20000);
    const window = new Window(own, page, origin, folder, []);
    window.scripts = scripts;
    page.on("request", (request) => window.asked.push(request.url()));
    page.on("pageerror", (error) => window.faults.push(`script: ${error.message}`));
    page.on("console", (line) => {
      if (line.type() === "error") window.faults.push(`console: ${line.text()}`);
    });
    return window;
  }

  async go(path) {
    await this.page.goto(this.origin + path);
  }

  /** Follows the link or presses the button with this name, and waits for the page it leads to. */
  async press(role, name) {
    const target = this.page.getByRole(role, { name }).first();
    await Promise.all([this.page.waitForEvent("domcontentloaded"), target.click()]);
  }

  /** Takes a picture, and looks for what a person would stumble over. */
  async look(name) {
    this.shots += 1;
    const file = `${String(this.shots).padStart(2, "0")}-${name}.png`;
    await this.page.screenshot({ path: join(this.folder, file), fullPage: true });
    if (this.scripts) {
      await this.axe(name);
      await this.measure(name);
    }
  }

  async axe(name) {
    await this.page.evaluate(axe);
    const found = await this.page.evaluate(async (tags) => {
      const rules = { "target-size": { enabled: true } };
      const result = await window.axe.run(document, { runOnly: { type: "tag", values: tags }, rules });
      return result.violations.map((one) => ({
        id: one.id,
        help: one.help,
        where: one.nodes.slice(0, 3).map((node) => `${node.target.join(" ")} ${node.failureSummary}`),
      }));
    }, TAGS);
    for (const { id, help, where } of found) this.faults.push(`${name}: axe ${id}: ${help}: ${where.join(" | ")}`);
  }

  async measure(name) {
    const said = await this.page.evaluate((thumb) => {
      const said = [];
      const root = document.documentElement;
      if (root.scrollWidth > root.clientWidth) {
        const wide = [...document.querySelectorAll("body *")].filter((one) => one.getBoundingClientRect().right > root.clientWidth + 1);
        const first = wide.slice(0, 3).map((one) => `${one.tagName}.${one.className}`);
        said.push(`wider than the screen: ${root.scrollWidth} > ${root.clientWidth}: ${first.join(", ")}`);
      }
      const pressed = "button, a.button, summary, select, textarea, .tile, .kinds a, .stages a, .truck, footer a, input:not([type=hidden], [type=checkbox], [type=radio])";
      // Nothing is pressed on paper.
      const onPaper = matchMedia("print").matches;
      for (const one of onPaper ? [] : document.querySelectorAll(pressed)) {
        const box = one.getBoundingClientRect();
        if (box.width > 0 && box.height > 0 && box.height < thumb - 0.5) {
          said.push(`${one.tagName} "${(one.textContent || one.name).trim().slice(0, 30)}" is ${box.height.toFixed(0)} px high`);
        }
      }
      return said;
    }, THUMB_PX);
    for (const one of said) this.faults.push(`${name}: ${one}`);
  }

  /** What was wrong, with every request that went anywhere but to the server. */
  async close() {
    const away = this.asked.filter((url) => !url.startsWith(this.origin + "/") && !url.startsWith("data:"));
    for (const url of away) this.faults.push(`asked ${url}`);
    if (this.asked.length === 0) this.faults.push("the network log is empty, so it proves nothing");
    await this.context.close();
    return this.faults;
  }
}
