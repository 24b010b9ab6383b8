// The program under test, serving a garage of its own.

import { spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

/** Starts the server on a free port, with more words where they are given; tells its origins, how to stop it, and how to kill and
 *  start it again at the same address. */
export async function serve(program, more = []) {
  const scratch = mkdtempSync(join(tmpdir(), "waywiser-browser-"));
  const garage = join(scratch, "garage");
  let child = null;
  const start = async (address) => {
    const options = ["serve", "--address", address, "--no-browser", "--garage", garage, ...more];
    child = spawn(program, options, { stdio: ["ignore", "pipe", "inherit"] });
    return addresses_of(child, more.includes("--lan"));
  };
  const kill = async () => {
    child.removeAllListeners("exit");
    const over = new Promise((resolve) => child.once("exit", resolve));
    child.kill("SIGKILL");
    await over;
  };
  const [origin, network] = await start("127.0.0.1:0");
  const restart = async () => {
    await kill();
    await start(new URL(origin).host);
  };
  const stop = async () => {
    await kill();
    rmSync(scratch, { recursive: true, force: true });
  };
  return { origin, network, garage, scratch, program, restart, stop };
}

/** The addresses that a program says it answers at: this machine's, and the network's where it has one. */
function addresses_of(child, wants_network) {
  return new Promise((resolve, reject) => {
    let said = "";
    const late = setTimeout(() => reject(new Error(`no address within 20 s: ${said}`)), 20000);
    child.on("exit", (code) => reject(new Error(`the server ended with ${code}: ${said}`)));
    child.stdout.on("data", (bytes) => {
      said += bytes;
      const found = said.match(/http:\/\/127\.0\.0\.1:\d+/);
      const named = said.match(/https:\/\/waywiser-\w+\.local:\d+/);
      if (found && (named || !wants_network)) {
        clearTimeout(late);
        resolve([found[0], { origin: named?.[0] }]);
      }
    });
  });
}
