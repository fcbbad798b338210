// What a plan is drawn from: walls, cabinets, a chair, and lengths with strokes at their ends. All in pixels.

import { draw } from "./build.js";

/** Return where a place of the room lies in the drawing: the wall behind the speakers is up, left is left. */
export function scale(room, { width, height, margin }) {
  const k = Math.min(
    (width - margin.left - margin.right) / room.width_m,
    (height - margin.top - margin.bottom) / room.length_m,
  );
  return {
    k,
    width: margin.left + margin.right + k * room.width_m,
    height: margin.top + margin.bottom + k * room.length_m,
    left: margin.left,
    top: margin.top,
    right: margin.left + k * room.width_m,
    bottom: margin.top + k * room.length_m,
    x: (place) => margin.left + k * place.y_m,
    y: (place) => margin.top + k * place.x_m,
  };
}

/** Return the walls: an outline as thick as a wall. */
export const walls = (on) =>
  draw("rect", {
    class: "walls",
    x: on.left - 4,
    y: on.top - 4,
    width: on.right - on.left + 8,
    height: on.bottom - on.top + 8,
  });

/** Return a cabinet in plan, the middle of its front at the origin, facing down. */
export function cabinet(k, { width_m, depth_m }, kind = "") {
  const [w, d] = [k * width_m, k * depth_m];
  return draw(
    "g",
    { class: `cabinet ${kind}` },
    draw("rect", { x: -w / 2, y: -d, width: w, height: d }),
    draw("path", { class: "front", d: `M${-w / 2} 0H${w / 2}` }),
  );
}

/** Return a chair in plan with a head at the origin, facing up. */
export function chair(k, kind = "") {
  const s = 0.36 * k;
  return draw(
    "g",
    { class: `chair ${kind}` },
    draw("path", {
      d: `M${-s} ${-s * 0.6}V${s * 0.7}Q${-s} ${s} ${-s * 0.7} ${s}H${s * 0.7}Q${s} ${s} ${s} ${s * 0.7}V${-s * 0.6}`,
    }),
    draw("circle", { r: Math.max(5, 0.11 * k) }),
  );
}

/** Return a length between two points with a short stroke at each end and its text at the middle, or at an edge where it is too long. */
export function span(from, to, text, { side = 0, kind = "", edge = "" } = {}) {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const size = Math.hypot(dx, dy) || 1;
  const upright = Math.abs(dy) > Math.abs(dx);
  const tick = ([x, y]) => `M${x - 3} ${y + 3}L${x + 3} ${y - 3}`;
  const middle = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
  const tooLong = edge && 7 * text.length > size;
  const along = tooLong
    ? { x: edge === "start" ? from[0] + 3 : to[0] - 3, "text-anchor": edge }
    : { x: middle[0], "text-anchor": "middle" };
  const label = upright
    ? { x: middle[0] + (side < 0 ? -6 : 6), y: middle[1] + 4, "text-anchor": side < 0 ? "end" : "start" }
    : { ...along, y: middle[1] + (side < 0 ? 15 : -5) };
  return draw(
    "g",
    { class: `span ${kind}` },
    size > 2 ? draw("path", { d: `M${from}L${to}${tick(from)}${tick(to)}` }) : null,
    draw("text", label, text),
  );
}
