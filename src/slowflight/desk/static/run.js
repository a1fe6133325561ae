// Follows the run beside this page, and looks at the size of a file before it is sent.
"use strict";
const panel = document.getElementById("run");
if (["starting", "running"].includes(panel.dataset.state)) {
  const source = new EventSource("/events");
  source.onmessage = (event) => {
    const state = JSON.parse(event.data);
    if (!["starting", "running"].includes(state.state)) {
      source.close();
      // A half-filled form is never thrown away: then the page only says that there is news.
      if (document.querySelector("form.touched")) {
        document.getElementById("run-words").textContent = state.state + ". " + (state.message || "") + " Save, then reload to see it.";
      } else {
        location.reload();
      }
      return;
    }
    const left = state.left_s === null ? "" : state.left_s > 90 ? `, about ${Math.round(state.left_s / 60)} min left` : `, about ${Math.round(state.left_s)} s left`;
    const count = state.total ? `: ${state.done} of ${state.total}${left}` : "";
    document.getElementById("run-words").textContent = state.what + count;
    const bar = document.getElementById("run-bar");
    bar.max = state.total || 1;
    bar.value = state.done;
  };
  source.onerror = () => {
    document.getElementById("run-words").textContent = "the desk does not answer; the run goes on. Start the desk again and open its new address.";
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
