// What is folded is on paper too. Browsers that know ::details-content need no script for it.
"use strict";
let opened = [];
addEventListener("beforeprint", () => {
  opened = [...document.querySelectorAll("details:not([open])")];
  for (const details of opened) details.open = true;
});
addEventListener("afterprint", () => {
  for (const details of opened) details.open = false;
  opened = [];
});
