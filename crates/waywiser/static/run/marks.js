// What a passenger marks: the dial from one moment to another, and the odometer as it turns; and what is still missing.

/** A hold under this (s) says nothing, and one that is shorter than the next is no whole one. */
const SHORTEST_S = 3;
const WHOLE_S = 8;

/** "128412.7" to its number and the decimals that count; nothing where it is none. */
function digits(text) {
  const plain = text.trim().replace(/[\s']/g, "").replace(/,(?=\d{3}(\D|$))/g, "").replace(",", ".");
  if (!/^\d{1,7}(\.\d{1,2})?$/.test(plain)) return null;
  const decimals = (plain.split(".")[1] || "").length;
  return { value: Number(plain), decimals };
}

class Odometer {
  constructor(unit_m) { Object.assign(this, { unit_m, decimals: 1, next: null, last: null, first: null, metres: 0 }); }

  step() { return 10 ** -this.decimals; }
  text() { return this.next === null ? "" : this.next.toFixed(this.decimals); }

  set(text) {
    const typed = digits(text);
    if (!typed) return false;
    [this.next, this.decimals] = [typed.value, typed.decimals];
    return true;
  }

  shift(steps) { this.next = Math.max(0, this.next + steps * this.step()); }

  /** The truck went on: the digits that come next, by what it counted so far. */
  went(metres) {
    this.metres += metres;
    if (!this.last) return;
    const counted = ((this.metres - this.last.metres) / this.unit_m) * this.ratio();
    const next = this.last.value + (Math.floor(counted / this.step() + 1e-6) + 1) * this.step();
    if (next > this.next + this.step() / 2) this.next = next;
  }

  ratio() {
    const way = this.first && this.last ? (this.last.metres - this.first.metres) / this.unit_m : 0;
    const ratio = way > 0 ? (this.last.value - this.first.value) / way : 1;
    return ratio > 0.5 && ratio < 2 ? ratio : 1;
  }

  turned() {
    const mark = { value: this.next, metres: this.metres };
    this.first ??= mark;
    this.last = mark;
    const text = this.text();
    this.shift(1);
    return text;
  }

  /** Nothing is joined across a gap: marks before it are no ends of a way after it. */
  parted() { [this.first, this.last] = [null, null]; }
  way() { return this.first && this.last ? (this.last.metres - this.first.metres) / this.unit_m : 0; }
}

const many = (number, one, more) => `${number} ${number === 1 ? one : more}`;

/** "The dial: 2 more holds of 20 s, about 2 minutes." */
function missing_of_dial(needs, holds) {
  const goal = needs.needle_goal;
  if (!goal) return "";
  const whole = holds.filter((hold) => hold.seconds >= WHOLE_S);
  const rows = needs.needle.filter((row) => row.seconds === goal.seconds);
  const now = rows[Math.min(whole.length, rows.length) - 1];
  const more = goal.holds - whole.length;
  if (more <= 0) return now.half_width_percent <= needs.target_percent
    ? `The dial: enough, about ± ${now.half_width_percent} %.`
    : `The dial: about ± ${now.half_width_percent} %. More holds, at other speeds, make it surer.`;
  const minutes = Math.max(1, Math.round((more * (goal.seconds + needs.between_holds_s)) / 60));
  return `The dial: ${many(more, "more hold", "more holds")} of ${goal.seconds} s, about ${many(minutes, "minute", "minutes")}, for ± ${goal.half_width_percent} %.`;
}

function missing_of_odometer(needs, odometer, speed_m_per_s) {
  if (odometer.next === null) return "";
  const goal = needs.odometer_goals.find((one) => Math.abs(one.last_digit - odometer.step()) < 1e-9) || needs.odometer_goals[0];
  if (!goal) return "";
  if (!odometer.last) return "The odometer: mark it as it turns, early and late.";
  const went = (odometer.metres - odometer.first.metres) / odometer.unit_m;
  if (odometer.way() >= goal.way) return `The odometer: enough, over ${odometer.way().toFixed(1)} ${needs.road_unit}. Later marks make it surer.`;
  const left = goal.way - went;
  if (left <= 0) return "The odometer: mark it once more as it turns.";
  const minutes = speed_m_per_s > 3 ? `, about ${many(Math.ceil((left * odometer.unit_m) / speed_m_per_s / 60), "minute", "minutes")}` : "";
  return `The odometer: mark it again after ${left.toFixed(1)} ${needs.road_unit} more${minutes}, for ± ${goal.half_width_percent} %.`;
}
