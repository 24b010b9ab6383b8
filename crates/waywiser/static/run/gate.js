// What must be so before a drive starts: each is shown as met or not, with what to do.

class Gate {
  constructor(changed) {
    Object.assign(this, { changed, met: {}, lock: null });
  }

  set(name, is_met, says) {
    this.met[name] = is_met;
    const line = at(`gate-${name}`);
    line.className = is_met ? "met" : "not";
    line.querySelector(".stands").textContent = is_met ? "✓" : "not yet:";
    line.querySelector("p").textContent = says;
    this.changed();
  }

  is_open() { return ["fix", "speed", "awake", "kept", "alone"].every((name) => this.met[name]); }

  /** One page at a time records; another one waits until this one is closed. */
  alone() {
    return new Promise((resolve) => {
      const hold = () => new Promise(() => { this.set("alone", true, "No other tab has it open."); tell(""); resolve(); });
      navigator.locks.request("waywiser-run", { ifAvailable: true }, (lock) => {
        if (lock) return hold();
        this.set("alone", false, "");
        tell("Another tab has this page open. Close it there; then this one goes on by itself.", true);
        navigator.locks.request("waywiser-run", hold);
        return null;
      });
    });
  }

  async kept(store) {
    try {
      await store.try_out();
      this.set("kept", true, "A test reached the disk.");
      await navigator.storage?.persist?.();
    } catch (error) {
      this.set("kept", false, storage_words(error));
    }
  }

  async awake() {
    if (this.lock && !this.lock.released) return;
    if (document.visibilityState !== "visible") return;
    try {
      this.lock = await navigator.wakeLock.request("screen");
      this.lock.addEventListener("release", () => {
        this.set("awake", false, "It may turn off. Touch this page.");
      });
      this.set("awake", true, "It stays on while this page is in front.");
    } catch {
      this.set("awake", false, "This browser lets it turn off. Charge the device, end its power saving.");
    }
  }

  /** A fix that may be one to start with. */
  fix(position, verdict, since_s) {
    const { accuracy, speed } = position.coords;
    const is_fresh = verdict === "fresh";
    if (!is_fresh) this.set("fix", false, "What came is from before, kept by the device. Wait under the open sky.");
    else if (accuracy > 1000) this.set("fix", false, approximate(accuracy));
    else if (accuracy > PRECISE_M) this.set("fix", false, `It is sure to ${Math.round(accuracy)} m, and ${PRECISE_M} m is needed. Wait under the open sky.`);
    else this.set("fix", true, `Sure to ${Math.round(accuracy)} m.`);
    if (is_number(speed)) this.set("speed", true, "The device gives its own.");
    else if (is_fresh && since_s > 0) this.set("speed", true, "The device gives none: the places tell it.");
  }

  no_fix(error) { this.set("fix", false, place_words(error)); }
}

const approximate = (accuracy) => `Only an approximate place is allowed (sure to ${(accuracy / 1000).toFixed(1)} km). Allow the precise one in the device's settings; load this page again.`;

function place_words(error) {
  if (error.code === 1) return "This page may not know the place. Allow it in the settings of browser and device; load this page again.";
  if (error.code === 2) return "The device finds no place. Switch its location on; go under the open sky.";
  return "No place came yet. Wait under the open sky.";
}

function storage_words(error) {
  if (error?.name === "QuotaExceededError") return "The storage of this device is full: nothing more can be kept. Free some.";
  return "This browser keeps nothing, as in a private window. Use an ordinary one.";
}
