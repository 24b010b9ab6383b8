// The forms made by hand: every field found by its role and its name, three mistakes each in the tests of the page, one of
// them here with the focus where it belongs, and what a form would come to before it is sent.

import assert from "node:assert/strict";

/** The field of a name in the first form of the page, by the role that its kind has. */
export function field(window, role, name) {
  return window.page.locator("main form").first().getByRole(role, { name }).first();
}

/** Opens what is folded, so that a field in it can be filled in. */
export async function unfold(window) {
  if (!window.scripts) return;
  await window.page.locator("main form").first().evaluate((one) => {
    one.querySelectorAll("details").forEach((details) => { details.open = true; });
  });
}

/** Fills in fields by role and name: text is typed, a tick or a pick is set, a list chosen from. */
export async function fill(window, fields) {
  await unfold(window);
  for (const [role, name, value] of fields) {
    const one = field(window, role, name);
    if (role === "radio" || role === "checkbox") await one.check();
    else if (role === "combobox") await one.selectOption(value);
    else await one.fill(value);
  }
}

/** Sends the form. */
export async function send(window) {
  const button = window.page.locator("main form").first().locator("button").first();
  await Promise.all([window.page.waitForEvent("domcontentloaded"), button.click()]);
}

/** What the module held then: asked for, as it counts its writes. */
const STORED = ["textbox", /^What was stored then/, "8.20"];

/** What each form asks first, with one honest mistake: the form, its fields, the one that is wrong, and what is right. */
const FORMS = [
  ["adjuster/stepped-constant", [
    ["textbox", /^What it shows now/, "8.21"], ["textbox", /^Writes left/, "4"], ["textbox", /^Lowest/, "4.00"],
    ["textbox", /^Highest/, "12.00"], ["textbox", /^Step/, "0.02"], ["checkbox", /Up$/], ["checkbox", /^It wraps/],
  ], ["textbox", /^What it shows now/, "8.20"]],
  ["chain/-", [
    ["radio", /^Output of the transmission/], ["textbox", /^Counts per turn/, "22"], ["textbox", /^Axle ratio/, "46-11"],
  ], ["textbox", /^Axle ratio/, "46/11"]],
  ["tire/-", [
    ["textbox", /^Size on the sidewall/, "LT255/85"], ["textbox", /^Tread depth now/, "10"],
  ], ["textbox", /^Size on the sidewall/, "LT255/85R16"]],
  ["evidence/rollout", [
    ["textbox", /^Turns of the wheel/, "5"], ["textbox", /^First try/, "495 lb"], ["textbox", /^Second try/, "41'2.5\""],
  ], ["textbox", /^First try/, "495"]],
  ["evidence/timed-mile", [
    ["textbox", /^Speed the dial held/, "60"], ["textbox", /^First try/, "1:72"], STORED,
  ], ["textbox", /^First try/, "1:02.4"]],
  ["evidence/hold", [
    ["textbox", /^Speed the dial held/, "60"], ["textbox", /^True speed/, "63 psi"], ["radio", /^Before the dial/], STORED,
  ], ["textbox", /^True speed/, "63"]],
  ["evidence/odometer-distance", [
    ["textbox", /^Odometer at the start/, "128411.0"], ["textbox", /^Odometer at the end/, "128401.0"],
    ["textbox", /^How far it truly was/, "10.0"], STORED,
  ], ["textbox", /^Odometer at the end/, "128420.6"]],
];

/** Every form with its mistake, and then without. */
export async function all(window, truck) {
  for (const [part, fields, right] of FORMS) {
    const name = part.replace(/\W+/g, "-");
    await window.go(`${truck}/new/${part}`);
    await window.look(`form-${name}`);
    await fill(window, fields);
    await send(window);
    const wrong = field(window, right[0], right[1]);
    await wrong.waitFor();
    assert.equal(await wrong.evaluate((one) => one === document.activeElement), true, `${part}: the focus is on the mistake`);
    assert.equal(await wrong.getAttribute("aria-invalid"), "true");
    const message = (await wrong.getAttribute("aria-describedby")).split(" ")[0];
    assert.notEqual((await window.page.locator(`#${message}`).innerText()).trim(), "", `${part}: the message describes the field`);
    for (const [role, label, value] of fields) {
      const one = field(window, role, label);
      if (value === undefined) assert.equal(await one.isChecked(), true, `${part} ${label}`);
      else assert.equal(await one.inputValue(), value, `${part} ${label}`);
    }
    await window.look(`form-${name}-mistake`);
    await fill(window, [right]);
    await send(window);
    assert.match(new URL(window.page.url()).pathname, /\/(describe|measure)$/, `${part} went in`);
  }
}

/** What a form would come to stands under it while it is filled in. */
export async function previews(window, truck) {
  await window.go("/add");
  await window.page.getByRole("textbox", { name: "Tire size on it now" }).fill("LT275/75R17");
  await window.page.getByText(/LT275\/75R17, radial: \d+.*revolutions per mile/).waitFor();
  await window.look("add-with-a-first-figure");
  await window.go(`${truck}/new/evidence/rollout`);
  await fill(window, [["textbox", /^Turns of the wheel/, "5"], ["textbox", /^First try/, "495"]]);
  await window.page.getByText(/revolutions per mile as rolled\. The size says/).waitFor();
  await window.look("rollout-with-a-first-figure");
}
