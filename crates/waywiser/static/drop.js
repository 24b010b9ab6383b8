// Files may be dropped on a form, and what has been sent and is being read shows. Without this script the form works as it
// stands: the page that follows waits until the files are read.
"use strict";
const LARGEST = 512 * 1024 * 1024;
const LOOK_AGAIN_MS = 500;
const SECOND_MS = 1000;

/** "2 files, 20.3 MB" */
function amount(files) {
  const bytes = files.reduce((sum, file) => sum + file.size, 0);
  const size = bytes < 1e5 ? `${Math.ceil(bytes / 1e3)} KB` : `${(bytes / 1e6).toFixed(1)} MB`;
  return `${files.length === 1 ? "1 file" : `${files.length} files`}, ${size}`;
}

function parsed(text) {
  return new DOMParser().parseFromString(text, "text/html");
}

for (const form of document.querySelectorAll("form.sends")) {
  const inputs = [...form.querySelectorAll("input[type=file]")];
  const bar = form.querySelector("progress");
  const status = form.querySelector(".status");
  const elapsed = form.querySelector(".elapsed");
  const say = (text) => { status.textContent = text; };
  let clock = 0;

  function rest(text) {
    clearInterval(clock);
    elapsed.textContent = "";
    bar.hidden = true;
    say(text);
  }

  // How long it takes is not known beforehand: the bar runs without an end, and the seconds are counted.
  function reading(files) {
    if (clock) return;
    const since = Date.now();
    bar.removeAttribute("value");
    say(`Sent. Reading ${amount(files)} …`);
    clock = setInterval(() => { elapsed.textContent = `${Math.round((Date.now() - since) / SECOND_MS)} s so far`; }, SECOND_MS);
  }

  /** Goes on to the page that follows once it no longer waits for files that are being read. */
  async function follow(address, text) {
    for (let page = parsed(text); page.querySelector(".waiting");) {
      await new Promise((resolve) => { setTimeout(resolve, LOOK_AGAIN_MS); });
      say(page.querySelector(".waiting").textContent);
      try {
        page = parsed(await (await fetch(address)).text());
      } catch {
        break;
      }
    }
    location.assign(address);
  }

  if (form.classList.contains("drop")) {
    if (form.classList.contains("at-once")) {
      // Nothing else is asked here, so what is chosen is sent: the button is for where there is no script.
      form.querySelector("button").hidden = true;
      inputs[0].addEventListener("change", () => { if (inputs[0].files.length) form.requestSubmit(); });
    }
    const over = (event, is) => { event.preventDefault(); form.classList.toggle("over", is); };
    form.addEventListener("dragenter", (event) => over(event, true));
    form.addEventListener("dragover", (event) => over(event, true));
    form.addEventListener("dragleave", (event) => over(event, false));
    form.addEventListener("drop", (event) => {
      over(event, false);
      if (event.dataTransfer.files.length === 0) return;
      inputs[0].files = event.dataTransfer.files;
      form.requestSubmit();
    });
  }

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const files = inputs.flatMap((input) => [...input.files]);
    if (files.reduce((sum, file) => sum + file.size, 0) > LARGEST) {
      say("Together these files are too large: at most 512 MB are taken at once. Pack them, or send fewer.");
      return;
    }
    const request = new XMLHttpRequest();
    bar.value = 0;
    bar.hidden = false;
    say(`Sending ${amount(files)} …`);
    request.upload.addEventListener("progress", (sent) => {
      if (sent.lengthComputable) bar.value = Math.round((100 * sent.loaded) / sent.total);
    });
    request.upload.addEventListener("load", () => reading(files));
    request.addEventListener("load", () => {
      if (request.status < 400) follow(request.responseURL, request.responseText);
      else rest(parsed(request.responseText).querySelector("main")?.innerText ?? "That did not work. Nothing was changed.");
    });
    request.addEventListener("error", () => rest("The connection broke off. Send it again."));
    request.open("POST", form.action);
    request.send(new FormData(form));
  });
}
