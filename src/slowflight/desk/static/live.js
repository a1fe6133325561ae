// The slider and the row on the nose: reads saved curves between their computed points, and draws.
"use strict";
(async () => {
  const answer = await fetch("/live");
  const data = await answer.json();
  if (!data || !data.settings.length) return;
  const $ = (id) => document.getElementById(id);
  const speed = (kt) => inUnits(kt, "speed", 1);
  const small = (mm) => inUnits(mm, "small", 1);
  const timing = (window.deskTimes = []);

  // A value between two computed angles; null where either end has no answer.
  function between(xs, ys, x) {
    if (!ys || x < xs[0] || x > xs[xs.length - 1]) return null;
    let k = 1;
    while (k < xs.length - 1 && xs[k] < x) k += 1;
    const low = ys[k - 1], high = ys[k];
    if (low === null || high === null || low === undefined || high === undefined) return null;
    return low + ((high - low) * (x - xs[k - 1])) / (xs[k] - xs[k - 1]);
  }
  const atStall = (curve) => curve.cl.reduce((best, cl, k) => (cl !== null && (best === null || cl > curve.cl[best]) ? k : best), null);

  function svg(parent, name, attributes, text) {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    if (text !== undefined) made.textContent = text;
    parent.appendChild(made);
    return made;
  }
  const path = (points) => "M" + points.map(([x, y]) => x.toFixed(1) + " " + y.toFixed(1)).join("L") + "Z";

  const nose = data.outline.reduce((best, point, k) => (point[0] < data.outline[best][0] ? k : best), 0);
  const one = data.outline.slice(0, nose + 1).reverse(), two = data.outline.slice(nose);
  const mean = (points) => points.reduce((sum, point) => sum + point[1], 0) / Math.max(1, points.length);
  const upper = mean(one) > mean(two) ? one : two;
  const upperAt = (x) => between(upper.map((p) => p[0]), upper.map((p) => p[1]), Math.min(Math.max(x, upper[0]?.[0] ?? 0), upper[upper.length - 1]?.[0] ?? 1)) ?? 0;

  function drawAircraft(view, side, attitude, incidence, separation, limit, station) {
    view.replaceChildren();
    // The nose is on the left and the screen's y points down: nose up is a positive turn.
    const turn = svg(view, "g", { class: "turned", transform: `rotate(${attitude} 215 125)` });
    svg(turn, "path", { class: "body", d: "M52 120 L88 96 L150 88 L188 70 L250 72 L300 100 L424 122 L432 90 L446 92 L442 136 L300 158 L150 164 L88 152 L56 140 Z" });
    svg(turn, "path", { class: "body", d: "M130 162 L120 186 M120 186 m-11 0 a11 11 0 1 0 22 0 a11 11 0 1 0 -22 0 M418 136 L424 146" });
    // The wing is drawn over twice as large as the fuselage's scale, so that the flow on it can be seen.
    const chord = 190, wing = svg(turn, "g", { transform: `translate(112 74) rotate(${incidence} 50 0)` });
    const place = ([x, y]) => [x * chord, -y * chord];
    if (separation !== null && separation < 0.995 && upper.length) {
      const from = Math.max(0, separation), thick = 0.1 + 0.34 * (1 - from), points = [];
      for (let k = 0; k <= 12; k += 1) points.push(place([from + ((1 - from) * k) / 12, upperAt(from + ((1 - from) * k) / 12)]));
      for (let k = 12; k >= 0; k -= 1) { const s = k / 12; points.push(place([from + (1.3 - from) * s, upperAt(Math.min(1, from + (1 - from) * s)) + thick * Math.pow(s, 0.8)])); }
      svg(wing, "path", { class: "wake", d: path(points) });
    }
    if (data.outline.length) svg(wing, "path", { class: "wing " + side, d: path(data.outline.map(place)) });
    if (side === "vanes" && station !== null) {
      const [x, y] = place([station, upperAt(station)]);
      svg(wing, "line", { class: "vane", x1: x, y1: y, x2: x + 5, y2: y - 10 });
    }
    for (const y of [24, 200]) svg(view, "path", { class: "air", d: `M8 ${y} H60 M52 ${y - 5} L60 ${y} L52 ${y + 5}` });
    if (limit !== null) {
      // On three wheels the fuselage lies along the dashed line; steeper than that, the tail would be in the ground.
      const angle = (limit * Math.PI) / 180;
      svg(view, "line", { class: "ground", x1: 8, y1: 244, x2: 452, y2: 244 });
      svg(view, "line", { class: "limit", x1: 440, y1: 244, x2: 440 - 170 * Math.cos(angle), y2: 244 - 170 * Math.sin(angle) });
      svg(view, "text", { x: 70, y: 238 }, `three wheels: ${limit.toFixed(1)}°`);
    }
  }

  const setting = () => data.settings[Number($("live-flap").value)] || data.settings[0];
  // Which tier the numbers are of: the minutes tier's replace the preview where they are there, unless the owner says otherwise.
  const tier = (now) => (now.minutes && $("live-tier").value === "minutes" ? "minutes" : "seconds");
  const SAID = { seconds: "quick tier", minutes: `minutes tier, ${data.grid} grid` };
  function wings(now) {
    if (tier(now) === "seconds") return { clean: now.clean, vanes: now.vanes, stallClean: now.stall_clean, stallVanes: now.stall_vanes, station: now.row ? now.row.station : null };
    const row = now.minutes.rows.find((one) => one.chosen) ?? null;
    return { clean: now.minutes.clean, vanes: row && row.curve, stallClean: now.minutes.stall_clean, stallVanes: row && row.stall, station: row ? row.station : null };
  }
  const incidence = data.incidence_deg ?? 0;
  const limit = data.three_point_deg;
  let flowWanted = null;

  function reading(curve, stall, wingAngle) {
    if (!curve) return { words: "not predicted for this setting", speed: null, separation: null };
    const peak = atStall(curve), past = peak !== null && wingAngle > curve.wing_angles_deg[peak];
    const kt = between(curve.wing_angles_deg, curve.speed_kt, wingAngle);
    let separation = between(curve.wing_angles_deg, curve.separation, wingAngle);
    if (separation === null) {
      const k = curve.wing_angles_deg.findIndex((angle) => angle >= wingAngle);
      separation = k > 0 ? (curve.separation[k] ?? null) : null;
    }
    const gone = separation === null ? "the air follows the skin" : `the air has let go behind ${Math.round(100 * separation)} % of chord`;
    if (past) return { past, kt, separation, words: `past its stall at about ${curve.wing_angles_deg[peak].toFixed(1)}° wing angle; ${gone}` };
    if (kt === null) return { past, kt, separation, words: `no speed is computed here; ${gone}` };
    const share = stall && stall.kt && stall.low_kt !== null ? [stall.low_kt / stall.kt, stall.high_kt / stall.kt] : null;
    const band = share ? ` (band ${speed(kt * share[0])} to ${speed(kt * share[1])}, as at the stall)` : "";
    return { past, kt, separation, words: `carries the weight at ${speed(kt)}${band}; ${gone}` };
  }

  function show() {
    const begun = performance.now();
    const now = setting(), attitude = Number($("live-angle").value), wingAngle = attitude + incidence;
    $("live-attitude").textContent = `${attitude.toFixed(1)}° (wing ${wingAngle.toFixed(1)}°)`;
    const both = wings(now), by = tier(now);
    $("live-tier-choice").hidden = !now.minutes;
    $("live-by").textContent = SAID[by];
    const clean = reading(both.clean, both.stallClean, wingAngle), vanes = reading(both.vanes, both.stallVanes, wingAngle);
    drawAircraft($("clean-view"), "clean", attitude, incidence, clean.separation, limit, null);
    drawAircraft($("vanes-view"), "vanes", attitude, incidence, vanes.separation, limit, both.station);
    for (const [side, found] of [["clean", clean], ["vanes", vanes]]) {
      $(side + "-speed").textContent = (found.past ? "stalled" : found.kt === null || found.kt === undefined ? "no speed" : speed(found.kt)) + `, ${by === "minutes" ? "minutes" : "quick"} tier`;
      $(side + "-words").textContent = found.words;
    }
    let words;
    if (clean.past && vanes.past) words = "Predicted: both wings are past their stall here.";
    else if (clean.past && vanes.kt) words = `Predicted: the clean wing is past its stall; with vanes the wing still carries the weight, at ${speed(vanes.kt)}. Only flights can show it.`;
    else if (clean.kt && vanes.kt) {
      const gain = clean.kt - vanes.kt;
      words = Math.abs(gain) < 0.3 ? "Predicted: at this attitude vanes change nothing that you could see." : `Predicted: at this attitude the wing with vanes carries the weight ${speed(Math.abs(gain))} ${gain > 0 ? "slower" : "FASTER"}.`;
    } else words = "At this attitude there is no level speed to compare.";
    if (limit !== null && attitude > limit) words += ` On the ground the gear stops you at ${limit.toFixed(1)}°: this is for the air only.`;
    $("live-sentence").textContent = words.replace("Predicted:", `Predicted, ${by === "minutes" ? "minutes" : "quick"} tier:`);
    $("live-trend").textContent = now.trend && by === "seconds" ? "This flap setting is a trend, not a prediction." : by === "minutes" && now.flap_deg > 0.5 ? "No measured case stands behind the minutes tier with this flap." : "";
    timing.push(performance.now() - begun);
    const near = now.flow.reduce((best, flow) => (best === null || Math.abs(flow.wing_angle_deg - wingAngle) < Math.abs(best.wing_angle_deg - wingAngle) ? flow : best), null);
    flowWanted = near;
    if ($("live").querySelector("details").open) showFlow();
  }

  function showFlow() {
    if (!flowWanted) return;
    for (const side of ["clean", "vanes"]) {
      const address = `/picture/flow-${flowWanted.number}-${side}`;
      if (!$("flow-" + side).src.endsWith(address)) $("flow-" + side).src = address;
    }
    $("flow-words").textContent = `Computed at a wing angle of ${flowWanted.wing_angle_deg.toFixed(1)}°, not at the slider's: the nearest that is saved. Predicted, quick tier.`;
  }
  $("live").querySelector("details").addEventListener("toggle", showFlow);

  // The row on the nose: to scale, the first third of the chord.
  const SHOWN = 0.36, WIDE = 860, scale = WIDE / SHOWN, left = 20, high = 335;
  const at = ([x, y]) => [left + x * scale, high - y * scale];
  function fillVanes() {
    $("nose-vane").replaceChildren(...setting().tables.map((table, k) => new Option(`${table.candidate}, ${small(table.height_mm)} high`, k)));
  }
  const table = () => setting().tables[Number($("nose-vane").value)] || setting().tables[0];
  function skinTo(station) {
    let length = 0, last = upper[0];
    for (const point of upper.slice(1)) {
      if (point[0] > station) break;
      length += Math.hypot(point[0] - last[0], point[1] - last[1]);
      last = point;
    }
    return (length + Math.hypot(station - last[0], upperAt(station) - last[1])) * data.chord_mm;
  }
  function showNose() {
    const begun = performance.now(), chosen = table(), view = $("nose-view");
    if (!chosen || !upper.length) return;
    const from = chosen.stations[0], to = chosen.stations[chosen.stations.length - 1];
    const station = from + ((to - from) * Number($("nose-slider").value)) / 1000;
    view.replaceChildren();
    const shape = data.outline.filter((point) => point[0] <= SHOWN);
    svg(view, "path", { class: "wing clean", d: path(shape.map(at)) });
    for (const place of chosen.stations) {
      const [x, y] = at([place, upperAt(place)]);
      svg(view, "circle", { class: "place", cx: x, cy: y, r: 4 });
    }
    const long = (setting().minutes?.rows ?? []).filter((row) => row.single && row.fall);
    for (const row of long.filter((one) => one.station <= SHOWN)) {
      const [x, y] = at([row.station, upperAt(row.station)]);
      svg(view, "rect", { class: "place minutes", x: x - 4, y: y + 6, width: 8, height: 8 });
    }
    const [x, y] = at([station, upperAt(station)]), tall = (chosen.height_mm / data.chord_mm) * scale;
    const slope = (upperAt(station + 0.004) - upperAt(Math.max(0, station - 0.004))) / 0.008;
    const lying = `translate(${x} ${y}) rotate(${(-Math.atan(slope) * 180) / Math.PI})`;
    svg(view, "rect", { transform: lying, x: 0, y: -tall, width: Math.max(5, tall * 2.6), height: tall, fill: "#a85200" });
    svg(view, "circle", { id: "nose-handle", cx: x, cy: y - tall - 16, r: 15, fill: "#0a5a96", tabindex: -1 });
    svg(view, "text", { x: 130, y: 330 }, `dots: places computed${long.length ? ", squares: by the minutes tier too" : ""}; the vane's height is to scale`);
    $("nose-station").value = station.toFixed(4);
    $("nose-station-minutes").value = station.toFixed(4);
    const fall = between(chosen.stations, chosen.fall_kt, station), best = setting().best;
    $("nose-place").textContent = `${small(skinTo(station))} along the skin, ${small(station * data.chord_mm)} along the chord (${(100 * station).toFixed(1)} %)`;
    const computed = chosen.stations.some((place) => Math.abs(place - station) < 5e-4);
    if (fall === null) $("nose-sentence").textContent = "No answer at this place.";
    else {
      const band = best && best.fall && best.fall.low_kt !== null ? `, band ${speed(fall - (best.fall.kt - best.fall.low_kt))} to ${speed(fall + (best.fall.high_kt - best.fall.kt))}` : ", band not known";
      $("nose-sentence").textContent = `Predicted: stall speed ${fall >= 0 ? "falls" : "RISES"} by ${speed(Math.abs(fall))}${band}; ${computed ? "computed here" : "read between computed places"}, quick tier.`;
    }
    const near = long.reduce((best, row) => (best === null || Math.abs(row.station - station) < Math.abs(best.station - station) ? row : best), null);
    if (near) $("nose-sentence").textContent += ` Minutes tier, ${near.name}: ${near.fall.kt >= 0 ? "falls" : "RISES"} by ${speed(Math.abs(near.fall.kt))}, band ${speed(near.fall.low_kt)} to ${speed(near.fall.high_kt)}.`;
    timing.push(performance.now() - begun);
  }
  let dragging = false;
  const view = $("nose-view");
  function dragTo(event) {
    const box = view.getBoundingClientRect(), chosen = table();
    const station = (((event.clientX - box.left) / box.width) * 900 - left) / scale;
    const from = chosen.stations[0], to = chosen.stations[chosen.stations.length - 1];
    $("nose-slider").value = (1000 * (station - from)) / (to - from);
    showNose();
  }
  view.addEventListener("pointerdown", (event) => { dragging = true; view.setPointerCapture(event.pointerId); dragTo(event); });
  view.addEventListener("pointermove", (event) => { if (dragging) dragTo(event); });
  view.addEventListener("pointerup", () => { dragging = false; });
  view.addEventListener("pointercancel", () => { dragging = false; });

  function all() { fillVanes(); show(); showNose(); }
  $("live-flap").addEventListener("change", all);
  $("live-tier").addEventListener("change", show);
  $("live-angle").addEventListener("input", show);
  $("nose-vane").addEventListener("change", showNose);
  $("nose-slider").addEventListener("input", showNose);
  document.addEventListener("units", all);
  all();
  document.body.dataset.live = "ready";
})();
