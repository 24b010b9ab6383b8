// Brings the code that stands behind the # of the address, and goes to the page for the drive once it was taken.

const secret = location.hash.slice(1);
// Whoever looks at what this browser remembers finds no code.
history.replaceState(null, "", location.pathname);

const said = document.getElementById("said");
const form = document.getElementById("pair");
const button = form.querySelector("button");

if (!secret) {
  said.textContent = "There is no code in the address. Scan the one that the laptop shows.";
  button.disabled = true;
}

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  button.disabled = true;
  said.textContent = "Asking the laptop \u2026";
  try {
    const body = JSON.stringify({ secret, name: form.elements.name.value });
    const answer = await fetch("/pair", { method: "POST", headers: { "content-type": "application/json" }, body });
    const { says } = await answer.json();
    said.textContent = says;
    if (answer.ok) location.replace("/run");
    else button.disabled = false;
  } catch {
    said.textContent = "The laptop does not answer. Are both in the same network?";
    button.disabled = false;
  }
});
