// Takes what was clicked in the picture's page, which is shut off from the desk, into the form that keeps it.
"use strict";
const frame = document.getElementById("tuft-frame");
window.addEventListener("message", (event) => {
  if (event.source !== frame.contentWindow || typeof event.data !== "string") return;
  document.getElementById("tuft-table").value = event.data.slice(0, 900000);
  document.getElementById("tuft-keep").classList.add("touched");
  const count = event.data.trim().split("\n").length - 1;
  document.getElementById("tuft-words").textContent = `${count} line${count === 1 ? "" : "s"}, not kept yet.`;
});
