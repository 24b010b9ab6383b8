// The counter of presses. Without it every tap is a link; with it a tap counts at once, and the count survives a reload.
"use strict";

(function () {
  const KEPT_FOR_MS = 12 * 60 * 60 * 1000;
  const SIGNALS = "waywiser.signals";
  // Nobody presses and taps twice so fast: a second tap within it is a bounce of the finger (judgement).
  const BOUNCE_MS = 150;
  // One press too many lands on the way on, which comes where the button was: it counts only after the display was looked at (judgement).
  const LOOK_MS = 1000;

  function kept(name) {
    try { return JSON.parse(localStorage.getItem(name)); } catch { return null; }
  }

  function keep(name, value) {
    try { localStorage.setItem(name, JSON.stringify(value)); } catch { /* private windows keep nothing */ }
  }

  function start(counter) {
    const find = (name) => counter.querySelector(`[data-${name}]`);
    const shows = Array.from(counter.querySelectorAll("[data-shows] > li"), (item) => item.textContent);
    const total = shows.length - 1;
    const name = "waywiser.presses." + counter.dataset.counter;
    const button = find("press");
    const signals = kept(SIGNALS) || {};
    let sound = null;

    const before = kept(name);
    const is_fresh = before && Date.now() - before.at < KEPT_FOR_MS && before.pressed <= total;
    const asked = Number(counter.dataset.pressed);
    // A count from before is not taken for granted: the display is asked for first.
    let asks_to_resume = Boolean(is_fresh && asked === 0 && before.pressed > 0);
    let pressed = asks_to_resume ? before.pressed : asked;
    let tapped_at = -Infinity;

    function show(said) {
      const done = pressed >= total;
      find("now").textContent = shows[pressed];
      find("next").textContent = done ? "stop" : shows[pressed + 1];
      button.querySelector("[data-count]").textContent = pressed;
      find("resumed").hidden = !asks_to_resume;
      find("pressing").hidden = done || asks_to_resume;
      find("finished").hidden = !done || asks_to_resume;
      find("undo").toggleAttribute("aria-disabled", pressed === 0);
      if (said) find("said").textContent = said;
      keep(name, { pressed, at: Date.now() });
    }

    function signal(times) {
      if (signals.vibrate && navigator.vibrate) navigator.vibrate(times > 1 ? [60, 60, 60] : 30);
      if (signals.sound && sound) {
        for (let n = 0; n < times; n += 1) {
          const tone = sound.createOscillator();
          tone.frequency.value = times > 1 ? 880 : 440;
          tone.connect(sound.destination);
          tone.start(sound.currentTime + 0.15 * n);
          tone.stop(sound.currentTime + 0.15 * n + 0.06);
        }
      }
    }

    function press() {
      const now = performance.now();
      if (pressed >= total || now - tapped_at < BOUNCE_MS) return;
      tapped_at = now;
      if (signals.sound && !sound && window.AudioContext) sound = new AudioContext();
      pressed += 1;
      const done = pressed === total;
      show(done ? `Stop. It must show ${shows[pressed]}.` : `${pressed}, shows ${shows[pressed]}`);
      signal(done ? 2 : 1);
      if (done) find("finished").querySelector("a").focus();
    }

    function back_to(count, said) {
      asks_to_resume = false;
      pressed = Math.max(0, count);
      show(said);
      if (pressed < total) button.focus();
    }

    find("finished").addEventListener("click", (event) => {
      if (performance.now() - tapped_at < LOOK_MS) event.preventDefault();
    });
    button.hidden = false;
    find("press-link").hidden = true;
    button.addEventListener("click", press);
    // A key that is held down would count by itself.
    button.addEventListener("keydown", (event) => { if (event.repeat) event.preventDefault(); });
    find("undo").addEventListener("click", (event) => {
      event.preventDefault();
      back_to(pressed - 1, `Undone. ${Math.max(0, pressed - 1)}, shows ${shows[Math.max(0, pressed - 1)]}`);
    });
    find("restart").addEventListener("click", (event) => {
      event.preventDefault();
      back_to(0, `From the start: shows ${shows[0]}`);
    });

    find("resumed-count").textContent = pressed;
    find("resumed-shows").textContent = shows[pressed];
    find("go-on").addEventListener("click", () => back_to(pressed, `Going on: ${pressed}, shows ${shows[pressed]}`));
    find("from-start").addEventListener("click", () => back_to(0, `From the start: shows ${shows[0]}`));

    find("signals").hidden = false;
    for (const kind of ["vibrate", "sound"]) {
      const box = find(kind);
      box.checked = Boolean(signals[kind]);
      box.addEventListener("change", () => {
        signals[kind] = box.checked;
        keep(SIGNALS, signals);
      });
    }
    show("");
  }

  document.querySelectorAll("[data-counter]").forEach(start);
})();
