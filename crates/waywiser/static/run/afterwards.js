// After the drive: what is there, what was a slip, handing it over, and letting it go.

async function review() {
  show("review");
  at("truck").textContent = app.run.name;
  if (!app.records) await open_records();
  const lines = await app.store.records(app.run.key, 0);
  const records = lines.map((one) => JSON.parse(one));
  const fixes = records.filter((one) => one.run === "fix");
  const [first, last] = [fixes[0], fixes.at(-1)];
  const minutes = first ? ((Date.parse(last.time) - Date.parse(first.time)) / 60000).toFixed(0) : 0;
  const waiting = app.records.waiting.length ? ` ${app.records.waiting.length} more wait to be kept.` : "";
  at("sums").textContent = `${many(lines.length, "record", "records")}: ${many(fixes.length, "place", "places")} over ${minutes} minutes.${waiting}`;
  at("marks").replaceChildren();
  records.forEach((one, place) => {
    const text = mark_text(one);
    if (!text) return;
    const is_mark = ["hold", "odometer"].includes(one.run) && !app.run.sending;
    line(at("marks"), text, ...(is_mark ? [["Take back", () => take_back(place, one)]] : []));
  });
  const { done } = app.run;
  at("delete").hidden = !done;
  at("hand").hidden = at("again").hidden = Boolean(done);
  if (done) at("handing").textContent = `The laptop has all ${done.records} records, as ${done.file}. Its Measure page asks what they tell.`;
}

function mark_text(one) {
  const seconds = Math.round(one.end - one.start);
  if (one.run === "hold") return `Needle at ${one.shown} for ${seconds} s`;
  if (one.run === "odometer") return `Odometer turned to ${one.shown}`;
  if (one.run === "gap") return `Nothing for ${lasted(seconds)}: ${REASONS[one.reason] || one.reason}`;
  return one.run === "note" ? one.text : "";
}

async function take_back(place, mark) {
  await app.records.replace(place, { run: "note", text: `taken back: ${mark_text(mark)}`, at: mark.at ?? mark.start });
  await review();
}

async function hand() {
  app.run.sending = true;
  await app.records.flush();
  await app.store.keep_run(app.run).catch(() => {});
  await review();
  at("hand").disabled = at("again").disabled = true;
  const { count } = app.records;
  [at("sent").hidden, at("sent").max] = [false, count];
  const told = ({ next, wait_s, says }) => {
    if (next !== undefined) at("sent").value = next;
    at("handing").textContent = next === undefined
      ? `No answer of the laptop (${says}). Tried again in ${wait_s} s; keep this page open.`
      : `The laptop has ${next} of ${count} records.`;
  };
  const run = app.run;
  try {
    const done = await hand_over(app.store, run, count, told, () => app.run !== run);
    if (!done) return;
    run.done = done;
    await app.store.keep_run(run);
    at("sent").value = count;
  } catch (error) {
    at("handing").textContent = error.message;
  }
  at("hand").disabled = at("again").disabled = false;
  await review();
}

async function delete_run() {
  if (!app.sure) {
    app.sure = true;
    at("delete").textContent = "Really delete it here? The laptop keeps it.";
    return;
  }
  await app.store.delete_run(app.run.key);
  leave();
}

function leave() {
  if (app.records.waiting.length && !app.sure) {
    app.sure = true;
    return tell("Some of it is in this page alone: save it first. Tap again to lose it.", true);
  }
  const { truck } = app.run;
  app.run = null;
  location.assign(`/run?truck=${truck}`);
}

async function list_earlier(runs) {
  for (const run of runs) {
    const stands = run.done ? "the laptop has it" : "not handed over";
    const text = `${run.began.slice(0, 16).replace("T", " ")} UTC, ${run.name}: ${await app.store.count(run.key)} records, ${stands}.`;
    line(at("earlier"), text, ["Open", () => { app.run = run; app.records = null; review(); }]);
  }
}
