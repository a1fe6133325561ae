// Shows every number in the units chosen here; what is saved and what is computed never change.
"use strict";
const FACTORS = { speed: ["kt", "mph", 1.15077945], small: ["mm", "in", 1 / 25.4], mass: ["kg", "lb", 2.20462262], length: ["m", "ft", 1 / 0.3048] };
const chosen = {};
try { Object.assign(chosen, JSON.parse(localStorage.getItem("units") || "{}")); } catch (error) { /* as delivered */ }

function inUnits(value, kind, decimals) {
  const [one, other, factor] = FACTORS[kind];
  const swapped = chosen[kind] === other;
  const places = swapped && kind === "small" ? 2 : decimals;
  const text = (swapped ? value * factor : value).toFixed(places);
  return (Number(text) === 0 ? Math.abs(Number(text)).toFixed(places) : text.replace("-", "−")) + " " + (swapped ? other : one);
}

function convertText(text) {
  const number = "([-−+]?\\d+(?:\\.\\d+)?)";
  for (const kind of ["speed", "small", "mass"]) {
    const [one, other, factor] = FACTORS[kind];
    if (chosen[kind] !== other) continue;
    const places = kind === "small" ? 2 : 1;
    const turned = (found) => (Number(found.replace("−", "-")) * factor).toFixed(places);
    const pair = new RegExp(number + "( to | and |–)" + number + " " + one + "\\b", "g");
    text = text.replace(pair, (all, low, between, high) => turned(low) + between + turned(high) + " " + other);
    text = text.replace(new RegExp(number + " " + one + "\\b", "g"), (all, found) => turned(found) + " " + other);
  }
  return text;
}

function showUnits() {
  for (const button of document.querySelectorAll("[data-unit]")) {
    button.textContent = chosen[button.dataset.unit] || button.dataset.one;
  }
  for (const place of document.querySelectorAll(".q")) {
    place.textContent = inUnits(Number(place.dataset.value), place.dataset.kind, Number(place.dataset.decimals));
  }
  for (const root of document.querySelectorAll(".convert")) {
    const walker = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
      const node = walker.currentNode;
      if (node.parentElement.closest(".q")) continue;
      if (node.original === undefined) node.original = node.textContent;
      node.textContent = convertText(node.original);
    }
  }
  document.dispatchEvent(new Event("units"));
}

for (const button of document.querySelectorAll("[data-unit]")) {
  button.addEventListener("click", () => {
    const kind = button.dataset.unit;
    chosen[kind] = chosen[kind] === button.dataset.other ? button.dataset.one : button.dataset.other;
    localStorage.setItem("units", JSON.stringify(chosen));
    showUnits();
  });
}
showUnits();
