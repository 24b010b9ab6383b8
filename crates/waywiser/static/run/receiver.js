// From what the device delivers to fixes of a drive: fresh ones alone, on one steady clock, with gaps where there were none.

/** A fix that is farther than this from the device's calendar (s) is taken only once the next one goes on from it. */
const FRESH_S = 5;
/** A place less sure than this (m) is none to start with. */
const PRECISE_M = 20;
/** No fix for longer than this (s) is a gap. */
const GAP_S = 5;
/** So much later than usual (s) a fix may be delivered; the reader of a drive leaves out what is later by five seconds. */
const LATE_S = 4.5;
/** A steady clock that differs from the receiver's by more than before (s) has stood still or was put. */
const JUMP_S = 2;
const EARTH_M = 6371000;
const rounded = (number, decimals) => Number(number.toFixed(decimals));
const is_number = (value) => typeof value === "number" && Number.isFinite(value);
const stamp = (ms) => new Date(ms).toISOString().replace(/\.?0*Z$/, "Z");

function metres_between(a, b) {
  const rad = (degrees) => (degrees * Math.PI) / 180;
  const [north, east] = [rad(b.latitude - a.latitude), rad(b.longitude - a.longitude)];
  const part = Math.sin(north / 2) ** 2 + Math.cos(rad(a.latitude)) * Math.cos(rad(b.latitude)) * Math.sin(east / 2) ** 2;
  return 2 * EARTH_M * Math.asin(Math.min(1, Math.sqrt(part)));
}

class Receiver {
  constructor() {
    Object.assign(this, { base_s: 0, usual_s: null, raw_s: null, before: null, last: null });
  }

  /** By how much the steady clock was ahead of the receiver's before this page was loaded: so it stays. */
  carry_on(usual_s) {
    this.usual_s = usual_s;
    if (this.raw_s !== null) this.base_s = usual_s - this.raw_s;
  }

  now_s() { return rounded(performance.now() / 1000 + this.base_s, 2); }

  /** What a delivery is: `fresh`, `again` or `old`; with `moved` where the clock was set right by it. */
  judge(position) {
    const [time_s, steady_s, before] = [position.timestamp / 1000, performance.now() / 1000, this.before];
    this.before = { time_s, steady_s };
    if (this.last && time_s <= this.last.time_s && this.last.time_s - time_s < FRESH_S) return { is: "again" };
    const late_s = steady_s - time_s;
    const off_s = this.raw_s === null ? Infinity : late_s - this.raw_s;
    if (-JUMP_S < off_s && off_s < LATE_S) return { is: "fresh" };
    const since_s = before ? time_s - before.time_s : 0;
    const goes_on = since_s > 0.05 && Math.abs(since_s - (steady_s - before.steady_s)) < 1;
    const is_now = this.raw_s === null && Math.abs(Date.now() / 1000 - time_s) < FRESH_S;
    if (!goes_on && !is_now) return { is: "old" };
    const moved = this.raw_s !== null;
    this.raw_s = late_s;
    // The steady clock begins again with the page: it goes on so that fixes are as late as they were.
    if (this.usual_s === null) this.usual_s = late_s + this.base_s;
    else this.base_s = this.usual_s - late_s;
    return { is: "fresh", moved };
  }

  /** The record of a fresh fix, and how far it is from the one before. */
  fix(position) {
    const { latitude, longitude, accuracy, altitude, speed } = position.coords;
    const record = {
      run: "fix", time: stamp(position.timestamp), delivered: this.now_s(),
      latitude: rounded(latitude, 7), longitude: rounded(longitude, 7), accuracy_m: Math.ceil(accuracy),
    };
    if (is_number(speed)) record.speed_m_per_s = rounded(speed, 2);
    if (is_number(altitude)) record.height_m = rounded(altitude, 1);
    const time_s = position.timestamp / 1000;
    const last = this.last;
    this.last = { time_s, delivered: record.delivered, latitude, longitude, accuracy, speed: is_number(speed) ? speed : null };
    const since_s = last ? time_s - last.time_s : 0;
    const metres = last ? metres_between(last, this.last) : 0;
    if (this.last.speed === null && since_s > 0) this.last.by_places = metres / since_s;
    return { record, since_s, metres, last };
  }
}
