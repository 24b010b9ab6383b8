// Runs every case, two at a time, each in a garage of its own; says what was wrong, and keeps pictures.
//
// Called by the Rust test `browser`: node run.mjs PROGRAM DATA PICTURES

import { join } from "node:path";
import { launch } from "./browser.mjs";
import { cases } from "./cases.mjs";
import { contact_sheet } from "./screens.mjs";
import { serve } from "./server.mjs";

const [program, data, pictures] = process.argv.slice(2);
const only = process.env.ONLY;

async function run(browser, { name, act }) {
  const server = await serve(program);
  const folder = join(pictures, name);
  const began = Date.now();
  const faults = [];
  const others = [];
  /** Another garage, for what goes from one to the other. */
  const another = async (more) => {
    others.push(await serve(program, more));
    return others.at(-1);
  };
  try {
    faults.push(...(await act({ browser, server, folder, data, scratch: server.scratch, another })));
  } catch (error) {
    faults.push(error.stack || String(error));
  } finally {
    for (const one of [server, ...others]) await one.stop();
  }
  const took = ((Date.now() - began) / 1000).toFixed(1);
  console.log(`${faults.length ? "FAILED" : "ok"} ${name}, ${took} s`);
  for (const fault of faults) console.log(`  ${fault}`);
  return faults.length;
}

const browser = await launch();
const waiting = cases.filter((one) => !only || one.name.includes(only));
let faults = 0;
async function work() {
  for (let one = waiting.shift(); one; one = waiting.shift()) {
    // Not `faults += await ...`: that adds to what the count was before the other worker's case had ended.
    const found = await run(browser, one);
    faults += found;
  }
}
await Promise.all([work(), work()]);
await contact_sheet(browser, pictures);
await browser.close();
console.log(`${faults} faults; pictures in ${pictures}`);
process.exit(faults ? 1 : 0);
