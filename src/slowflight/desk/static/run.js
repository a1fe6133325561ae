// Follows the runs beside this page, and looks at the size of a file before it is sent.
"use strict";
const GOING = ["starting", "running"];
const watched = [...document.querySelectorAll("section.run")].filter((panel) => GOING.includes(panel.dataset.state));
const say = (panel, words) => { panel.querySelector(".run-words").textContent = words; };
function follow(panel, state) {
  const left = state.left_s === null ? "" : state.left_s > 90 ? `, about ${Math.round(state.left_s / 60)} min left` : `, about ${Math.round(state.left_s)} s left`;
  say(panel, state.what + (state.total ? `: ${state.done} of ${state.total}${left}` : ""));
  const bar = panel.querySelector(".run-bar");
  bar.max = state.total || 1;
  bar.value = state.done;
}
if (watched.length) {
  const source = new EventSource("/events");
  source.onmessage = (event) => {
    const states = JSON.parse(event.data);
    let ended = false;
    for (const panel of watched) {
      const state = states[panel.dataset.lane];
      if (GOING.includes(state.state)) {
        follow(panel, state);
      } else {
        ended = true;
        say(panel, `${state.state}. ${state.message || ""} Save, then reload to see it.`);
      }
    }
    // A half-filled form is never thrown away: then the page only says that there is news.
    if (ended && !document.querySelector("form.touched")) {
      source.close();
      location.reload();
    } else if (ended && watched.every((panel) => !GOING.includes(states[panel.dataset.lane].state))) {
      source.close();
    }
  };
  source.onerror = () => {
    for (const panel of watched) say(panel, "the desk does not answer; the run goes on. Start the desk again and open its new address.");
  };
}
for (const form of document.querySelectorAll("form")) {
  form.addEventListener("input", () => form.classList.add("touched"));
  form.addEventListener("submit", (event) => {
    const file = form.querySelector("input[type=file]");
    if (!file) return;
    const size = [...file.files].reduce((sum, one) => sum + one.size, 0);
    if (size > Number(file.dataset.most) * 1048576) {
      event.preventDefault();
      file.setCustomValidity(`That is ${Math.round(size / 1048576)} MB; the desk takes ${file.dataset.most} MB at a time. Cut the log to the flight.`);
      file.reportValidity();
      file.addEventListener("change", () => file.setCustomValidity(""), { once: true });
    }
  });
}
