// Files may be dropped on the form, and what has been sent shows. Without this script the form works as it stands.
"use strict";
for (const form of document.querySelectorAll("form.drop")) {
  const input = form.querySelector("input[type=file]");
  const bar = form.querySelector("progress");
  const status = form.querySelector(".status");
  const say = (text) => { status.textContent = text; };
  const LARGEST = 512 * 1024 * 1024;

  const over = (event, is) => { event.preventDefault(); form.classList.toggle("over", is); };
  form.addEventListener("dragenter", (event) => over(event, true));
  form.addEventListener("dragover", (event) => over(event, true));
  form.addEventListener("dragleave", (event) => over(event, false));
  form.addEventListener("drop", (event) => {
    over(event, false);
    if (event.dataTransfer.files.length === 0) return;
    input.files = event.dataTransfer.files;
    form.requestSubmit();
  });

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const size = [...input.files].reduce((sum, file) => sum + file.size, 0);
    if (size > LARGEST) {
      say("Together these files are too large: at most 512 MB are taken at once. Pack them, or send fewer.");
      return;
    }
    const request = new XMLHttpRequest();
    bar.hidden = false;
    say("Sending …");
    request.upload.addEventListener("progress", (sent) => {
      if (!sent.lengthComputable) return;
      bar.value = Math.round((100 * sent.loaded) / sent.total);
      say(sent.loaded < sent.total ? `Sent ${bar.value} %` : "Sent. Reading …");
    });
    request.addEventListener("load", () => {
      if (request.status < 400) {
        location.assign(request.responseURL);
      } else {
        const answer = new DOMParser().parseFromString(request.responseText, "text/html");
        say(answer.querySelector("main")?.innerText ?? "That did not work. Nothing was changed.");
        bar.hidden = true;
      }
    });
    request.addEventListener("error", () => { say("The connection broke off. Send it again."); bar.hidden = true; });
    request.open("POST", form.action);
    request.send(new FormData(form));
  });
}
