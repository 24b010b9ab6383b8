// Handing a drive over: the laptop says which record it awaits, and each is sent until it says that it has it. A laptop that does not
// answer is asked again, for hours if it must be.

/** Records and letters of one body at most. */
const AT_ONCE = 500;
const LONGEST_BODY = 200000;
/** An answer that takes longer (ms) is none. */
const LONGEST_MS = 30000;
/** Between two tries (s): longer each time, up to the last. */
const AGAIN_S = [1, 2, 4, 8, 15, 30];

class Refused extends Error {}

/** Asks the laptop; what it says, or a reason to stop. What is no answer of ours is tried again. */
async function ask(address, body) {
  const sent = body === undefined ? {} : { method: "POST", headers: { "content-type": "application/json" }, body };
  if (body && self.CompressionStream) {
    sent.body = await new Response(new Blob([body]).stream().pipeThrough(new CompressionStream("gzip"))).arrayBuffer();
    sent.headers["content-encoding"] = "gzip";
  }
  const answer = await fetch(address, { ...sent, cache: "no-store", redirect: "error", signal: AbortSignal.timeout(LONGEST_MS) });
  const said = await answer.json().catch(() => ({}));
  if (answer.ok) return said;
  if (answer.status === 409 && said.goes_on) return { next: said.next };
  const says = said.says || `The laptop answered with ${answer.status}.`;
  if (answer.status >= 500 || answer.status === 408 || answer.status === 429) throw new Error(says);
  throw new Refused(says);
}

/** As many records from `first` on as fit into one body. */
function body_of(run, first, lines) {
  let letters = 0;
  const fits = lines.findIndex((line) => (letters += line.length + 1) > LONGEST_BODY);
  const some = fits > 0 ? lines.slice(0, fits) : lines;
  return `{"truck":${JSON.stringify(run.truck)},"first":${first},"records":[${some.join(",")}]}`;
}

/** Hands the first `count` records of a drive over; `stopped` ends it, `tell` is told how far it is. The name of its file there. */
async function hand_over(store, run, count, tell, stopped) {
  const address = `/run/records/${run.id}`;
  let [next, tries] = [null, 0];
  while (!stopped()) {
    try {
      next ??= (await ask(address)).next;
      while (next < count && !stopped()) {
        tell({ next });
        const body = body_of(run, next, await store.records(run.key, next, Math.min(count, next + AT_ONCE)));
        next = (await ask(address, body)).next;
        tries = 0;
      }
      if (stopped()) return null;
      const ended = await ask(`${address}/end`, JSON.stringify({ truck: run.truck, count }));
      if (ended.file) return ended;
      next = ended.next;
    } catch (error) {
      if (error instanceof Refused) throw error;
      const wait_s = AGAIN_S[Math.min(tries, AGAIN_S.length - 1)];
      tries += 1;
      // What became of the last records is not known: the laptop is asked again where it stands.
      next = null;
      tell({ wait_s, says: error.message });
      await new Promise((resolve) => { setTimeout(resolve, wait_s * 1000); });
    }
  }
  return null;
}

/** All records as a file, which needs no network. */
async function save_file(store, run, waiting = []) {
  const lines = [...await store.records(run.key, 0), ...waiting];
  const file = new Blob([lines.map((line) => `${line}\n`).join("")], { type: "application/jsonl" });
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = `drive-${run.began.slice(0, 16).replace(/[:T]/g, "-")}.jsonl`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}
