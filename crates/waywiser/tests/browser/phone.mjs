// A phone in the network: this machine's root trusted as a person trusts one, a code brought, the page for the drive opened, the key
// taken away. Nothing here looks past a certificate: a browser that does so hides what a phone would refuse.

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { LAPTOP, PHONE, Window, launch } from "./browser.mjs";

/** A home for a browser, in whose store of certificates this one is trusted, where one is given. */
function home(scratch, name, root) {
  const folder = join(scratch, name);
  const store = join(folder, ".pki", "nssdb");
  mkdirSync(store, { recursive: true });
  const certutil = (...words) => {
    const ended = spawnSync("certutil", ["-d", `sql:${store}`, ...words], { encoding: "utf8" });
    assert.equal(ended.status, 0, `certutil (Debian: libnss3-tools): ${ended.error || ended.stderr}`);
  };
  certutil("-N", "--empty-password");
  if (root) certutil("-A", "-t", "C,,", "-n", "waywiser", "-i", root);
  return folder;
}

/** A phone that was let in reaches the page for the drive, until its key is taken away. */
export async function let_in({ browser, folder, scratch, another }) {
  const laptop = await another(["--lan", "--port", "0"]);
  const { origin } = laptop.network;
  const host = new URL(origin).hostname;
  const root = join(scratch, "root.crt");
  writeFileSync(root, Buffer.from(await (await fetch(`${laptop.origin}/run/root.crt`)).arrayBuffer()));
  const resolved = [`--host-resolver-rules=MAP ${host} 127.0.0.1`];
  const phones = await launch(resolved, home(scratch, "trusting", root));
  const strangers = await launch(resolved, home(scratch, "strange", null));
  try {
    const desk = await Window.open(browser, laptop.origin, folder, { size: LAPTOP });
    await desk.go("/");
    await desk.page.getByText("In the truck: how a phone reaches this").click();
    await desk.look("garage");
    await desk.press("link", "Let a phone in");
    await desk.look("phones");
    await desk.press("button", "Let a phone in");
    await desk.page.getByText("Without a camera").click();
    await desk.look("code");
    const address = await desk.page.locator("code", { hasText: "/pair#" }).innerText();
    assert.ok(address.startsWith(`${origin}/pair#`), address);

    const stranger = await (await strangers.newContext()).newPage();
    await assert.rejects(stranger.goto(address), /ERR_CERT_AUTHORITY_INVALID/);

    const phone = await Window.open(phones, origin, join(folder, "phone"), { size: PHONE });
    const night = await Window.open(phones, origin, join(folder, "night"), { size: PHONE, dark: true });
    await night.go("/pair");
    await night.look("without-a-code");
    const before = await phone.page.goto(`${origin}/run`);
    assert.equal(before.status(), 401);
    await phone.look("not-let-in");
    await phone.page.goto(address);
    assert.equal(new URL(phone.page.url()).hash, "", "the code does not stay in the address");
    assert.equal(await phone.page.evaluate(() => window.isSecureContext), true);
    await phone.look("pair");
    await phone.page.getByLabel("What the laptop calls this phone").fill("the blue one");
    const opened = phone.page.waitForResponse((answer) => new URL(answer.url()).pathname === "/run");
    await phone.page.getByRole("button", { name: "Let it in" }).click();
    await phone.page.waitForURL(`${origin}/run`);
    assert.notEqual((await opened).status(), 401, "its key opens the page for the drive");
    assert.equal((await opened).headers()["permissions-policy"].includes("geolocation=(self)"), true);
    assert.equal(await phone.page.evaluate(() => document.cookie), "", "no script reads the key");
    await phone.look("run");
    for (const path of ["/", "/record", "/devices", "/api/v1/trucks"]) {
      assert.equal((await phone.page.goto(origin + path)).status(), 404, path);
    }

    await desk.press("link", "Is it in? Look again");
    assert.match(await desk.page.locator("main").innerText(), /the blue one/);
    await desk.look("was-let-in");
    await desk.press("button", /Take its key away/);
    await desk.look("taken-away");
    assert.equal((await phone.page.goto(`${origin}/run/needs`)).status(), 401);
    // What was refused on purpose is noted by the browser.
    const meant = /40[14]/;
    const faults = [...(await phone.close()), ...(await night.close())].filter((fault) => !meant.test(fault));
    return [...faults, ...(await desk.close())];
  } finally {
    await phones.close();
    await strangers.close();
  }
}
