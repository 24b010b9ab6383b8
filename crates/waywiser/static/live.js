// What a form comes to shows while somebody types. The mathematics is the server's; without this script the form says it
// once it was sent.
"use strict";
const REST_MS = 300;

for (const place of document.querySelectorAll("[data-preview]")) {
  const form = place.closest("form");
  const names = place.dataset.fields.split(" ");
  let rest = 0;
  let asked = 0;

  async function ask() {
    const query = new URLSearchParams();
    for (const [name, value] of new FormData(form)) if (names.includes(name) && value) query.append(name, value);
    const number = ++asked;
    let says = "";
    try {
      if (names.every((name) => query.has(name))) {
        const answer = await fetch(`${place.dataset.preview}?${query}`);
        if (answer.ok) says = (await answer.json()).says || "";
      }
    } catch { /* shown once it is sent */ }
    if (number === asked) place.textContent = says;
  }

  form.addEventListener("input", (event) => {
    if (!names.includes(event.target.name)) return;
    clearTimeout(rest);
    rest = setTimeout(ask, REST_MS);
  });
  ask();
}
