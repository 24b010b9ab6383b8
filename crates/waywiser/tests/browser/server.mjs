// The program under test, serving a garage of its own.

import { spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

/** Starts the server on a free port, with more words where they are given; tells its origins and how to stop it. */
export async function serve(program, more = []) {
  const scratch = mkdtempSync(join(tmpdir(), "waywiser-browser-"));
  const garage = join(scratch, "garage");
  const options = ["serve", "--address", "127.0.0.1:0", "--no-browser", "--garage", garage, ...more];
  const child = spawn(program, options, { stdio: ["ignore", "pipe", "inherit"] });
  const [origin, network] = await new Promise((resolve, reject) => {
    let said = "";
    const late = setTimeout(() => reject(new Error(`no address within 20 s: ${said}`)), 20000);
    child.on("exit", (code) => reject(new Error(`the server ended with ${code}: ${said}`)));
    child.stdout.on("data", (bytes) => {
      said += bytes;
      const found = said.match(/http:\/\/127\.0\.0\.1:\d+/);
      const named = said.match(/https:\/\/waywiser-\w+\.local:\d+/);
      if (found && (named || !more.includes("--lan"))) {
        clearTimeout(late);
        resolve([found[0], { origin: named?.[0] }]);
      }
    });
  });
  const stop = async () => {
    const ended = new Promise((resolve) => child.on("exit", resolve));
    child.removeAllListeners("exit");
    child.on("exit", () => {});
    const over = new Promise((resolve) => child.once("exit", resolve));
    child.kill("SIGKILL");
    await Promise.race([over, ended]);
    rmSync(scratch, { recursive: true, force: true });
  };
  return { origin, network, garage, scratch, stop };
}
