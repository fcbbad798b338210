// The bass at the chair as a curve, and the resonances that this chair hears most as small plans.

import { draw, el, fill, freshId } from "./build.js";
import { chair, scale, walls } from "./plan_parts.js";
import { number, say, signed } from "./words.js";

const HEIGHT = 210;
const MARGIN = { left: 52, right: 10, top: 12, bottom: 26 };
const TICKS_HZ = [20, 30, 40, 50, 60, 80, 100, 150, 200];
const GRID_DB = 6;
const MARKS_PER_OCTAVE = 3;
const DOTS = 22;
const [LOUD, QUIET] = [0.7, 0.3];

/** Draw the curves: `today` and `proposed` with frequency_hz and gain_db, from the lowest note of the speaker up. */
export function showCurve(figure, { today, proposed, lowest_hz, rough, told }) {
  const shown = [today, proposed].filter(Boolean).map((curve) => above(curve, lowest_hz));
  const zero = mean(shown[0].map(([, db]) => db));
  const lines = shown.map((points) => points.map(([hz, db]) => [hz, db - zero]));
  const width = Math.max(280, Math.min(figure.clientWidth || 320, 700));
  const all = lines.flat().map(([, db]) => db);
  const step = Math.max(...all) - Math.min(...all) > 30 ? 2 * GRID_DB : GRID_DB;
  const low = step * Math.floor(Math.max(-30, Math.min(...all, -6)) / step);
  const high = step * Math.ceil(Math.max(...all, 6) / step);
  const [from, to] = [lines[0][0][0], lines[0].at(-1)[0]];
  const x = (hz) => MARGIN.left + ((width - MARGIN.left - MARGIN.right) * Math.log(hz / from)) / Math.log(to / from);
  const y = (db) => MARGIN.top + ((HEIGHT - MARGIN.top - MARGIN.bottom) * (high - Math.max(db, low))) / (high - low);
  const ticks = levels(low, high, step);
  const title = freshId("curve");
  const text = description(lines, { rough, told });
  const svg = draw(
    "svg",
    { class: "curve", role: "img", "aria-labelledby": title, viewBox: `0 0 ${width} ${HEIGHT}`, width, height: HEIGHT },
    draw("title", { id: title }, text.join(" ")),
    ticks.map((db) => [
      draw("path", { class: db === 0 ? "zero" : "grid", d: `M${MARGIN.left} ${y(db)}H${width - MARGIN.right}` }),
      draw(
        "text",
        { class: "tick", x: MARGIN.left - 6, y: y(db) + 4, "text-anchor": "end" },
        `${signed(db, 0)}${db === Math.max(...ticks) ? " dB" : ""}`,
      ),
    ]),
    TICKS_HZ.filter((hz) => hz >= from && hz <= to * 1.001).map((hz) => [
      draw("path", { class: "grid", d: `M${x(hz)} ${y(low)}v5` }),
      draw(
        "text",
        { class: "tick", x: x(hz), y: y(low) + 18, "text-anchor": hz > 0.95 * to ? "end" : "middle" },
        `${number(hz, 0)}${hz > 0.95 * to ? " Hz" : ""}`,
      ),
    ]),
    lines[1] ? line(lines[1], x, y, `proposed${rough ? " rough" : ""}`) : null,
    lines[1] ? marks(lines[1], x, y) : null,
    line(lines[0], x, y, `today${rough ? " rough" : ""}`),
  );
  const key = el(
    "ul",
    { class: "key" },
    el("li", {}, sample("today", rough), say(told ? "curve.today" : "curve.assumed")),
    lines[1] ? el("li", {}, sample("proposed", rough), say("curve.proposed")) : null,
  );
  fill(
    figure,
    el("h3", {}, say("curve")),
    svg,
    key,
    el(
      "figcaption",
      {},
      text.map((sentence) => el("span", {}, sentence, " ")),
    ),
  );
}

function above({ frequency_hz, gain_db }, lowest_hz) {
  const points = frequency_hz.map((hz, index) => [hz, gain_db[index]]);
  const from = points.findIndex(([hz]) => hz >= lowest_hz);
  return points.slice(Math.max(0, Math.min(from < 0 ? points.length : from, points.length - 8)));
}

const mean = (values) => values.reduce((sum, value) => sum + value, 0) / values.length;

function levels(low, high, step) {
  const found = [];
  for (let db = low; db <= high; db += step) found.push(db);
  return found;
}

const line = (points, x, y, kind) =>
  draw("path", {
    class: `line ${kind}`,
    d: `M${points.map(([hz, db]) => `${x(hz).toFixed(1)} ${y(db).toFixed(1)}`).join("L")}`,
  });

function marks(points, x, y) {
  const found = [];
  let next = points[0][0];
  for (const [hz, db] of points) {
    if (hz < next) continue;
    found.push(draw("circle", { class: "mark", cx: x(hz), cy: y(db), r: 3 }));
    next = hz * 2 ** (1 / MARKS_PER_OCTAVE);
  }
  return found;
}

function sample(kind, rough) {
  const svg = draw("svg", { class: "sample", width: 40, height: 12, viewBox: "0 0 40 12", "aria-hidden": "true" });
  svg.append(draw("path", { class: `line ${kind}${rough ? " rough" : ""}`, d: "M1 6H39" }));
  if (kind === "proposed") svg.append(draw("circle", { class: "mark", cx: 20, cy: 6, r: 3 }));
  return svg;
}

function description([today, proposed], { rough, told }) {
  const said = (key, points) => {
    const sorted = [...points].sort((a, b) => a[1] - b[1]);
    const [soft, loud] = [sorted[0], sorted.at(-1)];
    return say(key, {
      from: number(points[0][0], 0),
      to: number(points.at(-1)[0], 0),
      loud_hz: number(loud[0], 0),
      loud_db: signed(loud[1], 0),
      soft_hz: number(soft[0], 0),
      soft_db: signed(soft[1], 0),
    });
  };
  return [
    said(told ? "curve.text" : "curve.text_assumed", today),
    proposed ? said("curve.text_proposed", proposed) : null,
    rough ? say("curve.rough") : null,
  ].filter(Boolean);
}

/** Show the three resonances that the chair hears most: where each is loud and where quiet. */
export function showModes(node, modes, { room, seat }) {
  const heard = modes
    .filter((mode) => mode.seat_coupling_ratio !== null && mode.speaker_coupling_ratio !== null)
    .sort((a, b) => strength(b) - strength(a))
    .slice(0, 3)
    .sort((a, b) => a.frequency_hz - b.frequency_hz);
  fill(
    node,
    heard.length ? el("h3", {}, say("modes")) : null,
    heard.length ? el("p", {}, say("modes.intro")) : null,
    el(
      "div",
      { class: "mode-plans" },
      heard.map((mode) => modePlan(mode, room, seat)),
    ),
  );
}

const strength = (mode) => mode.seat_coupling_ratio * mode.speaker_coupling_ratio * (mode.decay_time_s ?? 1);

function modePlan({ frequency_hz, orders, seat_coupling_ratio: here }, room, seat) {
  const on = scale(room, { width: 190, height: 170, margin: { left: 8, right: 8, top: 8, bottom: 8 } });
  const across = Math.max(6, Math.round(DOTS * Math.min(1, room.width_m / room.length_m)));
  const down = Math.max(6, Math.round((across * room.length_m) / room.width_m));
  const pitch = (on.right - on.left) / across;
  const share = (order, part) => Math.abs(Math.cos(order * Math.PI * part));
  const dots = [];
  for (let row = 0; row < down; row++) {
    for (let column = 0; column < across; column++) {
      const loud = share(orders[0], (row + 0.5) / down) * share(orders[1], (column + 0.5) / across);
      const r = pitch * 0.48 * loud;
      if (r > 0.4)
        dots.push(
          `M${(on.left + (column + 0.5) * pitch - r).toFixed(1)} ${(on.top + (row + 0.5) * ((on.bottom - on.top) / down)).toFixed(1)}a${r.toFixed(1)} ${r.toFixed(1)} 0 1 0 ${(2 * r).toFixed(1)} 0a${r.toFixed(1)} ${r.toFixed(1)} 0 1 0 ${(-2 * r).toFixed(1)} 0`,
        );
    }
  }
  const way = orders
    .map((order, axis) => (order ? ["length", "width", "height"][axis] : ""))
    .filter(Boolean)
    .join("_");
  const sentence = say("mode.text", {
    between: say(`mode.${way}`),
    here: say(here > LOUD ? "mode.loud" : here < QUIET ? "mode.quiet" : "mode.between"),
  });
  const title = freshId("mode");
  return el(
    "figure",
    {},
    draw(
      "svg",
      {
        class: "mode",
        role: "img",
        "aria-labelledby": title,
        viewBox: `0 0 ${on.width} ${on.height}`,
        width: on.width,
        height: on.height,
      },
      draw("title", { id: title }, `${number(frequency_hz, 0)} Hz. ${sentence}`),
      walls(on),
      draw("path", { class: "dots", d: dots.join("") }),
      draw(
        "g",
        { transform: `translate(${on.x(seat)} ${on.y(seat)})` },
        draw("circle", { class: "halo", r: 13 }),
        chair(on.k * 0.9),
      ),
    ),
    el("figcaption", {}, el("strong", {}, `${number(frequency_hz, 0)} Hz`), " ", sentence),
  );
}
