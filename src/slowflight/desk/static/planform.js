// The half wing from above follows the slider: red is skin past its own maximum, as saved at the nearest angle.
"use strict";
(async () => {
  const data = await (await fetch("/planform")).json();
  const slider = document.getElementById("live-angle"), flap = document.getElementById("live-flap");
  const place = document.getElementById("planform");
  if (!data || !data.settings.some((one) => one.clean) || !slider) return;
  place.hidden = false;
  const WIDE = 460, LEFT = 14, TOP = 26;
  const last = data.stations[data.stations.length - 1];
  const stations = last[0] < data.semi_span - 1e-6 ? [...data.stations, [data.semi_span, last[1]]] : data.stations;
  const scale = (WIDE - 2 * LEFT) / data.semi_span, most = Math.max(...stations.map((one) => one[1]));
  const chordAt = (y) => {
    let k = 1;
    while (k < stations.length - 1 && stations[k][0] < y) k += 1;
    const [[a, c], [b, d]] = [stations[k - 1] ?? stations[0], stations[k] ?? stations[0]];
    return b > a ? c + ((d - c) * Math.min(1, Math.max(0, (y - a) / (b - a)))) : c;
  };
  // Quarter-chord line straight: no sweep is known. The nose is up.
  const at = (y, share) => [LEFT + y * scale, TOP + 0.25 * most * scale + (share - 0.25) * chordAt(y) * scale];
  const stretch = (from, to, fore, aft) => "M" + [...[from, to].map((y) => at(y, fore)), ...[to, from].map((y) => at(y, aft))].map((p) => p.map((v) => v.toFixed(1)).join(" ")).join("L") + "Z";
  function svg(view, name, attributes, text) {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    if (text !== undefined) made.textContent = text;
    view.appendChild(made);
  }
  function draw(side, setting, angle) {
    const view = document.getElementById(`planform-${side}`), words = document.getElementById(`planform-${side}-words`);
    view.replaceChildren();
    view.setAttribute("viewBox", `0 0 ${WIDE} ${(TOP + most * scale + 30).toFixed(0)}`);
    for (let k = 1; k < stations.length; k += 1) svg(view, "path", { class: "half " + side, d: stretch(stations[k - 1][0], stations[k][0], 0, 1) });
    const found = setting[side];
    if (!found) { words.textContent = "How its stall spreads is not computed."; return; }
    const rows = found.rows, near = rows.reduce((best, row) => (best === null || Math.abs(row.wing_angle_deg - angle) < Math.abs(best.wing_angle_deg - angle) ? row : best), null);
    const none = !near || angle < rows[0].wing_angle_deg - 0.5;
    const beyond = near && angle > rows[rows.length - 1].wing_angle_deg + 0.5;
    const stretches = none || beyond ? [] : near.stalled_m;
    for (const [from, to] of stretches) svg(view, "path", { class: "let-go", d: stretch(from, to, 0, 1) });
    if (side === "vanes" && setting.station !== null) {
      const [from, to] = [data.row[0], Math.min(data.row[1], data.semi_span)].map((y) => at(y, setting.station));
      svg(view, "line", { class: "vane", x1: from[0], y1: from[1], x2: to[0], y2: to[1] });
    }
    svg(view, "text", { x: LEFT, y: 17 }, "centerline");
    svg(view, "text", { x: WIDE - LEFT, y: 17, "text-anchor": "end" }, "tip");
    const share = stretches.reduce((sum, [from, to]) => sum + to - from, 0) / data.semi_span;
    words.textContent = beyond ? `Not computed beyond ${rows[rows.length - 1].wing_angle_deg.toFixed(0)}° wing angle.`
      : none ? "No part of the span is past its own maximum here."
      : `${Math.round(100 * share)} % of the span is past its own maximum, from ${stretches[0][0] < 0.01 ? "the centerline" : inUnits(stretches[0][0], "length", 1)} to ${inUnits(stretches[stretches.length - 1][1], "length", 1)}; computed at ${near.wing_angle_deg.toFixed(0)}° wing angle, the nearest saved.`;
  }
  function show() {
    const setting = data.settings[Number(flap.value)] ?? data.settings[0], angle = Number(slider.value) + data.incidence_deg;
    for (const side of ["clean", "vanes"]) draw(side, setting, angle);
  }
  for (const one of [slider, flap]) one.addEventListener("input", show);
  document.addEventListener("units", show);
  show();
  document.body.dataset.planform = "ready";
})();
