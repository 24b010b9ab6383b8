// What is kept here until the laptop has it: drives and their records. A record counts once its own transaction has reached the
// disk; then it is there again after the page, the browser or the device was ended.
"use strict";
const DATABASE = "waywiser-run";
/** The first numbers of all records of a drive, as keys go. */
const span = (key, first = 0, end = Infinity) => IDBKeyRange.bound([key, first], [key, end], false, true);
const asked = (request) => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

class Store {
  static async open() {
    const store = new Store();
    store.database = await new Promise((resolve, reject) => {
      const request = indexedDB.open(DATABASE, 1);
      request.onupgradeneeded = () => {
        request.result.createObjectStore("runs", { keyPath: "key", autoIncrement: true });
        request.result.createObjectStore("records");
        request.result.createObjectStore("needs", { keyPath: "truck" });
        request.result.createObjectStore("tries");
      };
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
    return store;
  }

  /** Does all of it or nothing, and comes back once it is on the disk. */
  write(names, act) {
    return new Promise((resolve, reject) => {
      const all = this.database.transaction(names, "readwrite", { durability: "strict" });
      let given;
      all.oncomplete = () => resolve(given?.result);
      all.onabort = () => reject(all.error || new Error("It was not kept."));
      given = act(...names.map((name) => all.objectStore(name)));
    });
  }

  read(name, act) {
    return asked(act(this.database.transaction(name).objectStore(name)));
  }

  /** Writes something that is of no matter, and takes it away again. */
  async try_out() {
    await this.write(["tries"], (tries) => tries.put(Date.now(), 1));
    await this.write(["tries"], (tries) => tries.clear());
  }

  runs() { return this.read("runs", (runs) => runs.getAll()); }
  keep_run(run) { return this.write(["runs"], (runs) => runs.put(run)); }
  count(key) { return this.read("records", (records) => records.count(span(key))); }
  records(key, first, end) { return this.read("records", (records) => records.getAll(span(key, first, end))); }
  needs(truck) { return this.read("needs", (needs) => needs.get(truck)); }
  keep_needs(needs) { return this.write(["needs"], (all) => all.put(needs)); }

  async new_run(run) {
    run.key = await this.write(["runs"], (runs) => runs.add(run));
    return run;
  }

  delete_run(key) {
    return this.write(["runs", "records"], (runs, records) => { records.delete(span(key)); runs.delete(key); });
  }
}

/** The records of one drive, in the order in which they came about: each kept by itself, and a hole never left. */
class Records {
  constructor(store, run, count, changed) {
    Object.assign(this, { store, run, count, changed, waiting: [], busy: null, failed: null });
  }

  add(record) {
    this.waiting.push(JSON.stringify(record));
    return this.flush();
  }

  /** Writes what waits. Where the device refuses, it waits on and is tried again with the next. */
  flush() {
    this.busy ??= this.write().finally(() => { this.busy = null; });
    return this.busy;
  }

  async write() {
    while (this.waiting.length) {
      const [line, place] = [this.waiting[0], this.count];
      try {
        await this.store.write(["records"], (records) => records.add(line, [this.run.key, place]));
      } catch (error) {
        this.failed = error;
        return this.changed();
      }
      this.failed = null;
      this.count += 1;
      this.waiting.shift();
      this.changed();
    }
  }

  /** Puts words in the place of a mark that was taken back. What was handed over is not touched. */
  replace(place, record) {
    return this.store.write(["records"], (records) => records.put(JSON.stringify(record), [this.run.key, place]));
  }
}
