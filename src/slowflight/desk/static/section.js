// The section with its vane, to scale: wheel, two fingers, buttons or keys zoom it, down to the millimeter.
"use strict";
(async () => {
  const view = document.getElementById("section-view");
  const data = await (await fetch("/section")).json();
  const words = document.getElementById("section-words");
  if (!data) { words.textContent = "The section cannot be drawn: lay out again."; return; }
  const WIDE = 1000, TALL = 460, CLOSEST = 12, MOST = 40; // of the drawing; millimeters across at most zoom; ticks' reach
  const row = data.rows[0], whole = data.chord_mm * 1.06;
  let across = whole, middle = [data.chord_mm * 0.5, 0.03 * data.chord_mm]; // millimeters shown, and where
  const clamp = (value, low, high) => Math.min(high, Math.max(low, value));
  const scale = () => WIDE / across;
  const at = ([x, y]) => [WIDE / 2 + (x - middle[0]) * scale(), TALL / 2 - (y - middle[1]) * scale()];
  const line = (points, close) => "M" + points.map((point) => at(point).map((v) => v.toFixed(1)).join(" ")).join("L") + (close ? "Z" : "");
  function svg(name, attributes, text) {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    if (text !== undefined) made.textContent = text;
    view.appendChild(made);
    return made;
  }
  const inside = ([x, y], room) => x > -room && x < WIDE + room && y > -room && y < TALL + room;

  function drawTape(one) {
    // A mark each millimeter where they stand apart, else each five or ten; numbers where there is room for them.
    const apart = scale(), step = apart >= 5 ? 1 : apart >= 1.4 ? 5 : apart >= 0.7 ? 10 : 0;
    if (!step) return;
    const numbered = apart >= 22 ? 1 : apart >= 6 ? 5 : 10;
    for (const [mm, x, y, nx, ny] of one.ticks) {
      if (mm % step) continue;
      const from = at([x, y]);
      if (!inside(from, MOST)) continue;
      const reach = mm % 10 === 0 ? 16 : mm % 5 === 0 ? 12 : 7;
      // Into the section: outside it stands the vane.
      svg("line", { class: "tape", x1: from[0], y1: from[1], x2: from[0] - nx * reach, y2: from[1] + ny * reach });
      if (mm % numbered === 0) svg("text", { class: "tape", x: from[0] - nx * 32, y: from[1] + ny * 32 + 5, "text-anchor": "middle" }, String(mm));
    }
  }

  function drawBar() {
    const inches = typeof chosen === "object" && chosen.small === "in";
    const one = inches ? 25.4 : 1; // millimeters to the unit of the bar
    const sizes = inches ? [1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 5, 10, 20] : [1, 2, 5, 10, 20, 50, 100, 200, 500];
    const size = sizes.filter((each) => each * one * scale() <= 260).pop() ?? sizes[0];
    const long = size * one * scale(), y = TALL - 24;
    svg("rect", { class: "bar-back", x: 8, y: y - 18, width: long + 130, height: 36 });
    svg("path", { class: "bar-line", d: `M20 ${y - 8}V${y + 8}M20 ${y}H${20 + long}M${20 + long} ${y - 8}V${y + 8}` });
    const name = inches ? (size < 1 ? `1/${Math.round(1 / size)} in` : `${size} in`) : `${size} mm`;
    svg("text", { class: "bar-words", x: 30 + long, y: y + 5 }, name);
    return name;
  }

  function show() {
    across = clamp(across, CLOSEST, whole);
    const half = across / 2;
    middle = [clamp(middle[0], Math.min(half - 0.03 * data.chord_mm, data.chord_mm / 2), Math.max(data.chord_mm * 1.03 - half, data.chord_mm / 2)), clamp(middle[1], -0.3 * data.chord_mm, 0.3 * data.chord_mm)];
    view.style.touchAction = across >= whole * 0.999 ? "pan-y" : "none"; // a finger scrolls the page while all is shown
    view.replaceChildren();
    svg("path", { class: "wing clean", d: line(data.outline, true) });
    for (const one of data.rows) {
      svg("path", { class: "fin", d: line(one.vane, true) });
      drawTape(one);
    }
    const bar = drawBar();
    const times = whole / across;
    words.textContent = `${times < 1.05 ? "The whole section" : `${times.toFixed(times < 10 ? 1 : 0)} times larger`}; the bar is ${bar}.`;
    document.getElementById("section-in").disabled = across <= CLOSEST * 1.001;
    document.getElementById("section-out").disabled = across >= whole * 0.999;
  }

  function zoom(by, spot) {
    // What is under the pointer stays there.
    const place = spot ?? [WIDE / 2, TALL / 2];
    const held = [middle[0] + (place[0] - WIDE / 2) / scale(), middle[1] - (place[1] - TALL / 2) / scale()];
    across = clamp(across / by, CLOSEST, whole);
    middle = [held[0] - (place[0] - WIDE / 2) / scale(), held[1] + (place[1] - TALL / 2) / scale()];
    show();
  }
  function move(dx, dy) { middle = [middle[0] - dx / scale(), middle[1] + dy / scale()]; show(); }
  function toVane() {
    const xs = row.vane.map((p) => p[0]), ys = row.vane.map((p) => p[1]);
    middle = [(Math.min(...xs) + Math.max(...xs)) / 2, (Math.min(...ys) + Math.max(...ys)) / 2];
    across = clamp(3 * (Math.max(...xs) - Math.min(...xs)), CLOSEST, whole);
    show();
  }
  function all() { across = whole; middle = [data.chord_mm * 0.5, 0.03 * data.chord_mm]; show(); }

  const spotOf = (event) => { const box = view.getBoundingClientRect(); return [((event.clientX - box.left) / box.width) * WIDE, ((event.clientY - box.top) / box.height) * TALL]; };
  view.addEventListener("wheel", (event) => {
    // Whoever only scrolls the page past it shall not zoom it.
    if (!event.ctrlKey && document.activeElement !== view) return;
    event.preventDefault();
    zoom(Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : 0.0015)), spotOf(event));
  }, { passive: false });
  const fingers = new Map();
  view.addEventListener("pointerdown", (event) => { view.setPointerCapture(event.pointerId); fingers.set(event.pointerId, spotOf(event)); });
  view.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    const now = spotOf(event), other = [...fingers].find(([id]) => id !== event.pointerId);
    if (other) {
      const far = (a, b) => Math.max(8, Math.hypot(a[0] - b[0], a[1] - b[1]));
      zoom(far(now, other[1]) / far(before, other[1]), [(now[0] + other[1][0]) / 2, (now[1] + other[1][1]) / 2]);
      move((now[0] - before[0]) / 2, (now[1] - before[1]) / 2);
    } else move(now[0] - before[0], now[1] - before[1]);
    fingers.set(event.pointerId, now);
  });
  for (const end of ["pointerup", "pointercancel"]) view.addEventListener(end, (event) => fingers.delete(event.pointerId));
  view.addEventListener("dblclick", (event) => zoom(2, spotOf(event)));
  const keys = { "+": () => zoom(1.4), "=": () => zoom(1.4), "-": () => zoom(1 / 1.4), ArrowLeft: () => move(80, 0), ArrowRight: () => move(-80, 0), ArrowUp: () => move(0, 80), ArrowDown: () => move(0, -80), v: toVane, 0: all };
  view.addEventListener("keydown", (event) => {
    const act = event.ctrlKey || event.metaKey || event.altKey ? undefined : keys[event.key];
    if (act) { event.preventDefault(); act(); }
  });
  document.getElementById("section-in").addEventListener("click", () => zoom(2));
  document.getElementById("section-out").addEventListener("click", () => zoom(0.5));
  document.getElementById("section-vane").addEventListener("click", toVane);
  document.getElementById("section-all").addEventListener("click", all);
  document.addEventListener("units", show);
  all();
  document.body.dataset.section = "ready";
})();
