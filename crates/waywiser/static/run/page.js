// The page: before the drive, and while it runs.

const at = (id) => document.getElementById(id);
/** Held for so long (ms) a button asks what to correct. */
const PRESSED_MS = 600;
/** A drive whose last record is older than this (s) is not gone on with by itself. */
const GOES_ON_S = 600;
/** No drive starts from a place that came longer ago (s). */
const OLD_S = 15;
/** Why nothing was recorded, in the words of the format and of a person. */
const REASONS = {
  "page-closed": "this page was closed or loaded again",
  "stopped": "the drive was stopped",
  "page-hidden": "this page was not in front (the screen locked, a map, a call)",
  "not-allowed": "this page may no longer know the place",
  "no-place": "the device found no place",
  "clock-moved": "the device slept, or its clock was put",
  "no-fix": "no place came",
};

const app = { state: "before", metres: 0, needle: 45, holds: [], parted: null, why: null, hold: null };
const speed_text = (value) => `${value} ${app.needs.speed_unit}`;
/** What belongs on one line. */
const joined = (text) => text.replaceAll(" ", "\u00a0");
const now_s = () => app.receiver.now_s();

function tell(text, is_alarm) {
  at("told").textContent = text;
  at("told").className = text && (is_alarm ? "alarm" : "said");
}

function show(name) {
  app.state = name;
  for (const id of ["before", "running", "review"]) at(id).hidden = id !== name;
  scrollTo(0, 0);
}

function line(list, text, ...buttons) {
  const item = document.createElement("li");
  item.append(text, " ");
  for (const [name, act] of buttons) {
    const button = document.createElement("button");
    button.textContent = name;
    button.onclick = act;
    item.append(button);
  }
  list.append(item);
}

function ask_for(says, value, mode = "decimal") {
  const dialog = at("asked");
  at("asks").textContent = says;
  [at("typed").value, at("typed").inputMode] = [value, mode];
  dialog.returnValue = "no";
  dialog.showModal();
  at("typed").select();
  return new Promise((resolve) => {
    dialog.onclose = () => resolve(dialog.returnValue === "yes" ? at("typed").value.trim() : null);
  });
}

// Before the drive.

async function needs_of(truck) {
  try {
    const answer = await fetch(`/run/needs?truck=${encodeURIComponent(truck)}`, { cache: "no-store" });
    if (answer.ok) {
      const needs = await answer.json();
      await app.store.keep_needs(needs);
      return needs;
    }
    tell((await answer.json()).says, true);
  } catch { /* No network: what was taken along is used. */ }
  return app.store.needs(truck);
}

async function choose_truck() {
  const truck = new URLSearchParams(location.search).get("truck");
  if (truck) return set_up(truck);
  const asked = fetch("/run/needs").then((answer) => answer.json());
  const trucks = await asked.then((said) => said.trucks, () => app.store.read("needs", (needs) => needs.getAll()));
  if (trucks.length === 0) tell("There is no truck yet: add one in the garage.", true);
  for (const one of trucks) line(at("trucks"), "", [one.name, () => { location.search = `?truck=${one.truck}`; }]);
}

async function set_up(truck) {
  if (app.needs) return;
  app.needs = await needs_of(truck);
  if (!app.needs) return tell("The laptop does not answer, and nothing was taken along for this truck. Open this page once where it does.", true);
  at("truck").textContent = app.needs.name;
  const [held, dark] = [app.needs.held_back_by, app.needs.held_back_in_the_dark_by];
  at("held").hidden = held.length === 0;
  at("held").textContent = `No test drive while this is open: ${held.join(", ")}. Repair it, and say so in the truck's file.`;
  at("dark").hidden = dark.length === 0;
  at("dark").textContent = `Not in the dark while this is open: ${dark.join(", ")}.`;
  at("set-up").hidden = false;
  for (const speed of app.needs.speeds) {
    const chip = document.createElement("button");
    chip.textContent = speed;
    chip.setAttribute("aria-label", `Needle at ${speed_text(speed)}`);
    chip.onclick = () => set_needle(speed);
    at("speeds").append(chip);
  }
  at("speed-unit").textContent = app.needs.speed_unit;
  app.needle = app.needs.speeds[Math.floor(app.needs.speeds.length / 3)];
  app.odometer = new Odometer(app.needs.road_unit_m);
  watch();
  await app.gate.kept(app.store);
  await app.gate.awake();
  weigh();
}

function waits_for() {
  if (app.needs.held_back_by.length) return "An open fault holds the drive back.";
  const ticks = [...document.querySelectorAll("[name=check]")];
  if (!ticks.every((tick) => tick.checked)) return "Tick what is so first.";
  if (!app.gate.is_open()) return "The phone is not ready: see above.";
  return "";
}

/** Whether it may start. */
function weigh() {
  if (app.state !== "before" || !app.needs) return;
  const waits = waits_for();
  at("start").disabled = waits !== "";
  at("waits").textContent = waits;
}

async function start() {
  const { last } = app.receiver;
  if (now_s() - last.delivered > OLD_S) return app.gate.set("fix", false, "The last place is old. Wait under the open sky.");
  if (at("odometer").value.trim() && !app.odometer.set(at("odometer").value)) {
    tell("The odometer is typed in digits: 128412.7", true);
    return at("odometer").focus();
  }
  at("start").disabled = true;
  const id = [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  const { truck, name } = app.needs;
  app.run = await app.store.new_run({ id, truck, name, began: new Date().toISOString(), state: "recording" });
  await open_records();
  app.records.add({ run: "start", version: 1 });
  begin();
}

async function open_records() {
  app.records = new Records(app.store, app.run, await app.store.count(app.run.key), kept);
}

function begin() {
  app.records.add({ run: "segment" });
  app.receiver.last = null;
  show("running");
  draw();
}

/** Goes on with a drive that was not stopped: what was recorded stays, and what follows is a part of its own. */
async function go_on(run) {
  app.run = run;
  await set_up(run.truck);
  if (!app.needs) return;
  const lines = await app.store.records(run.key, 0);
  const records = lines.map((one) => JSON.parse(one));
  const last = records.findLast((one) => one.run === "fix");
  app.holds = records.filter((one) => one.run === "hold").map((one) => ({ seconds: one.end - one.start }));
  const turned = records.findLast((one) => one.run === "odometer");
  if (turned) { app.odometer.set(turned.shown.split(" ")[0]); app.odometer.shift(1); }
  app.metres = summed(records);
  if (last) {
    app.parted = { delivered: last.delivered, time_s: Date.parse(last.time) / 1000 };
    app.receiver.carry_on(last.delivered - app.parted.time_s);
  }
  app.why = run.state === "stopped" ? "stopped" : "page-closed";
  run.state = "recording";
  await app.store.keep_run(run).catch(() => {});
  // What still waits to be kept waits on.
  if (app.records?.run !== run) await open_records();
  tell(`This drive goes on: ${app.records.count} kept.`);
  begin();
}

function summed(records) {
  let [metres, last] = [0, null];
  for (const one of records) {
    if (one.run === "segment") last = null;
    if (one.run !== "fix") continue;
    if (last) metres += metres_between(last, one);
    last = one;
  }
  return metres;
}

// While it runs.

function watch() {
  if (app.watching !== undefined) navigator.geolocation.clearWatch(app.watching);
  const wishes = { enableHighAccuracy: true, maximumAge: 0, timeout: 20000 };
  app.watching = navigator.geolocation.watchPosition(came, failed, wishes);
}

function came(position) {
  const verdict = app.receiver.judge(position);
  if (verdict.is === "again") return;
  if (app.state !== "running") {
    const since_s = verdict.is === "fresh" ? app.receiver.fix(position).since_s : 0;
    return app.gate.fix(position, verdict.is, since_s);
  }
  if (verdict.is === "old") return;
  const before = app.receiver.last || app.parted;
  if (verdict.moved) { app.records.add({ run: "segment" }); app.why ??= "clock-moved"; }
  const { record, since_s, metres, last } = app.receiver.fix(position);
  const gap_s = before ? app.receiver.last.time_s - before.time_s : 0;
  if (before && (gap_s > GAP_S || verdict.moved || !last)) gap(before, record, gap_s);
  else if (document.visibilityState === "visible") app.why = null;
  app.parted = null;
  if (last && since_s <= GAP_S && !verdict.moved) { app.metres += metres; app.odometer.went(metres); }
  app.records.add(record);
  if (position.coords.accuracy > 1000) tell(approximate(position.coords.accuracy), true);
  draw();
}

function gap(before, record, gap_s) {
  const reason = app.why || "no-fix";
  app.why = null;
  if (app.hold) end_hold(before.delivered);
  app.odometer.parted();
  app.records.add({ run: "gap", reason, start: before.delivered, end: record.delivered });
  tell(`Nothing was recorded for ${lasted(gap_s)}: ${REASONS[reason]}.`, true);
}

function failed(error) {
  if (app.state !== "running") return app.gate.no_fix(error);
  app.why = { 1: "not-allowed", 2: "no-place" }[error.code] || app.why;
  tell(place_words(error), true);
}

const lasted = (seconds) => (seconds < 90 ? `${Math.round(seconds)} s` : `${Math.round(seconds / 60)} min`);

function kept() {
  const { failed: wrong, waiting, count } = app.records;
  if (wrong) tell(`${storage_words(wrong)} ${waiting.length} records wait in this page: do not close it, save the drive as a file.`, true);
  else if (app.had_failed) tell("Everything is kept again.");
  app.had_failed = Boolean(wrong);
  at("count").textContent = `${count} kept`;
}

function draw() {
  const { last } = app.receiver;
  const speed = last ? (last.speed ?? last.by_places ?? 0) : 0;
  const silent_s = last ? app.receiver.now_s() - last.delivered : 0;
  at("speed").textContent = last && silent_s <= GAP_S ? (speed / app.needs.speed_unit_m_per_s).toFixed(1) : "–";
  at("distance").textContent = `${(app.metres / app.needs.road_unit_m).toFixed(2)} ${app.needs.road_unit}`;
  at("quality").textContent = !last ? "waiting for a place" : silent_s > GAP_S ? `no place for ${lasted(silent_s)}` : `± ${Math.round(last.accuracy)} m`;
  at("count").textContent = `${app.records.count} kept`;
  draw_marks();
  at("missing").textContent = [missing_of_dial(app.needs, app.holds), missing_of_odometer(app.needs, app.odometer, speed)].filter(Boolean).join(" ");
}

function draw_marks() {
  const needle = joined(speed_text(app.needle));
  const held = app.hold && `Holding ${needle}, ${Math.floor(now_s() - app.hold.start)} s: tap when it moves`;
  at("hold").textContent = held || `Needle steady at ${needle}`;
  at("hold").setAttribute("aria-pressed", String(Boolean(app.hold)));
  const next = app.odometer.text();
  at("turned").textContent = next ? `It turned: ${joined(`${next} ${app.needs.road_unit}`)}` : "Odometer: type what comes next";
  for (const id of ["back", "on", "correct"]) at(id).disabled = !next;
}

function set_needle(value) {
  if (!(value > 0 && value < 200)) return;
  app.needle = rounded(value, 1);
  if (app.hold) app.hold.shown = app.needle;
  draw_marks();
}

function hold_or_let_go() {
  if (app.hold) end_hold(now_s());
  else { app.hold = { shown: app.needle, start: now_s() }; tell(""); }
  draw_marks();
}

function end_hold(end) {
  const { shown, start } = app.hold;
  app.hold = null;
  const seconds = end - start;
  if (seconds < SHORTEST_S) return tell("Too short to count. Hold it for 20 seconds.");
  app.records.add({ run: "hold", shown: speed_text(shown), start, end });
  app.holds.push({ seconds });
  at("last").textContent = `Last: ${speed_text(shown)} for ${Math.round(seconds)} s.`;
}

async function turned() {
  if (app.odometer.next === null) return correct_digits();
  const moment = now_s();
  const shown = `${app.odometer.turned()} ${app.needs.road_unit}`;
  app.records.add({ run: "odometer", shown, at: moment });
  at("last").textContent = `Last: ${shown}.`;
  draw();
}

async function correct_digits() {
  const typed = await ask_for(`The odometer turns next to, in ${app.needs.road_unit}`, app.odometer.text());
  if (typed !== null && !app.odometer.set(typed)) tell("The odometer is typed in digits: 128412.7", true);
  draw_marks();
}

async function correct_needle() {
  const typed = await ask_for(`The needle stands at, in ${app.needs.speed_unit}`, app.needle);
  const value = typed === null ? null : digits(typed);
  if (value) set_needle(value.value);
}

async function note() {
  const moment = now_s();
  const text = await ask_for("Note", "", "text");
  if (text) app.records.add({ run: "note", text: text.slice(0, 500), at: moment });
}

async function stop() {
  if (app.hold) end_hold(now_s());
  await app.records.flush();
  app.run.state = "stopped";
  await app.store.keep_run(app.run).catch(() => {});
  await review();
}

// What happens to the page.

document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") app.gate.awake();
  else if (app.state === "running") {
    app.why = "page-hidden";
    if (app.hold) { end_hold(now_s()); draw_marks(); }
  }
});

function on_press(id, tap, held) {
  let [timer, was_held] = [0, false];
  const over = () => clearTimeout(timer);
  at(id).addEventListener("pointerdown", () => {
    was_held = false;
    timer = setTimeout(() => { was_held = true; held(); }, PRESSED_MS);
  });
  for (const end of ["pointerup", "pointerleave", "pointercancel"]) at(id).addEventListener(end, over);
  at(id).addEventListener("contextmenu", (event) => event.preventDefault());
  at(id).addEventListener("click", () => { if (!was_held) tap(); was_held = false; });
}

async function open() {
  navigator.serviceWorker?.register("/run/worker.js", { scope: "/run" }).catch(() => {});
  app.receiver = new Receiver();
  app.gate = new Gate(weigh);
  show("before");
  try {
    app.store = await Store.open();
  } catch (error) {
    return tell(storage_words(error), true);
  }
  await app.gate.alone();
  const runs = await app.store.runs();
  const open_run = runs.find((run) => run.state === "recording");
  const sending = runs.find((run) => run.sending && !run.done);
  if (open_run) return resume(open_run);
  await list_earlier(runs);
  if (sending && !location.search) { app.run = sending; await open_records(); return hand(); }
  await choose_truck();
}

/** A drive that was cut off a moment ago goes on by itself; one of another day is asked about. */
async function resume(run) {
  const count = await app.store.count(run.key);
  const latest = (await app.store.records(run.key, Math.max(0, count - 20))).map((one) => JSON.parse(one));
  const age_s = (Date.now() - Date.parse(latest.findLast((one) => one.time)?.time || run.began)) / 1000;
  if (Math.abs(age_s) < GOES_ON_S) return go_on(run);
  app.run = run;
  tell("This drive was not stopped. Go on with it, or hand it over as it is.", true);
  return review();
}

on_press("hold", hold_or_let_go, correct_needle);
on_press("turned", turned, correct_digits);
const TAPS = {
  start, stop, note, hand, leave,
  less: () => set_needle(app.needle - 1), more: () => set_needle(app.needle + 1),
  back: () => { app.odometer.shift(-1); draw_marks(); }, on: () => { app.odometer.shift(1); draw_marks(); },
  correct: correct_digits, again: () => go_on(app.run), delete: delete_run,
  save: () => save_file(app.store, app.run, app.records?.waiting),
};
for (const [id, act] of Object.entries(TAPS)) at(id).addEventListener("click", act);
for (const tick of document.querySelectorAll("[name=check]")) tick.addEventListener("change", weigh);
setInterval(() => { if (app.state === "running") { draw(); app.records.flush(); } }, 1000);
open();
