// How one fact changes a request, and what else changes with it.

import { at, atDistance, put, standing, tell } from "./request.js";
import { isImperial } from "./words.js";

export const round = (value, decimals) => Math.round(value * 10 ** decimals) / 10 ** decimals;

/**
 * Return the request with one fact told; undefined takes it back.
 *
 * `places` are the positions and walls where things are known to stand, or null: a distance then moves the chair. A
 * speaker without its sensitivity, or an amplifier without its power, is one that is looked for.
 */
export function withFact(request, pointer, value, { rules, places }) {
  if (pointer.startsWith("/amplifier/") && isFirstOfList(request)) {
    const told = withFact({ ...request, amplifiers: undefined }, pointer, value, { rules, places });
    return { ...told, amplifiers: [told.amplifier, ...request.amplifiers.slice(1)].filter(Boolean) };
  }
  if (pointer === "/listening_distance_m" && value !== undefined && places) {
    return standing(request, { ...atDistance(places.positions, value), room: places.room });
  }
  if (value === undefined && pointer.startsWith("/speaker/sensitivity")) return put(request, "/speaker", undefined);
  if (value === undefined && pointer === "/amplifier/power_w") return put(request, "/amplifier", undefined);
  return tell(request, pointer, value, rules);
}

/** Whether the amplifier of the sentence stands first among those that are compared. */
const isFirstOfList = ({ amplifier, amplifiers }) =>
  amplifiers !== undefined && JSON.stringify(amplifiers[0]) === JSON.stringify(amplifier);

/** Return the request with one more amplifier to compare, beside the one of the sentence. */
export function withAmplifier(request, another) {
  const before = request.amplifiers ?? [request.amplifier].filter(Boolean);
  return { ...request, amplifiers: [...before, another] };
}

/** Return the request with the floor area alone, in place of length and width. */
export function withArea({ positions: _, as_found: __, ...rest }, { distance_m }) {
  const { length_m, width_m, ...room } = rest.room;
  return {
    ...rest,
    listening_distance_m: rest.listening_distance_m ?? round(distance_m, 2),
    room: { ...room, floor_area_m2: round(length_m * width_m, 1) },
  };
}

/** Return the request with a length and a width that make its floor area, to be put right. */
export function withSides({ positions: _, as_found: __, ...rest }, { lengthToWidth }) {
  const { floor_area_m2: area, ...room } = rest.room;
  const length_m = round(Math.sqrt(lengthToWidth * area), 2);
  return { ...rest, room: { ...room, length_m, width_m: round(area / length_m, 2) } };
}

/** Return the request for a room of one's own: the example's facts, and nothing of where its things stand. */
export const asStart = ({ positions: _, as_found: __, note: ___, ...rest }, { distance_m }) => ({
  ...rest,
  listening_distance_m: round(distance_m, 1),
});

/** Return the request for a sheet: today's date and the reader's units, where it does not say otherwise. */
export function asSheet(request, { knowsSheets }) {
  if (!knowsSheets) return request;
  const now = new Date();
  const date = [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, "0"));
  return { ...request, sheet: { date: date.join("-"), units: isImperial() ? "imperial" : "metric", ...request.sheet } };
}

/** Return the fields that answer a question, and with a single one the alternatives that nobody told yet. */
export function fieldsFor({ pointers }, { request, rules, fieldAt }) {
  const sets = rules.filter((rule) => rule.rule === "at_most_one" && rule.sets.flat().includes(pointers[0]));
  const alternatives = sets.flatMap((rule) => rule.sets.flat()).filter((other) => at(request, other) === undefined);
  const wanted = pointers.length > 1 ? pointers : [...alternatives, ...pointers];
  return [...new Set(wanted)].map(fieldAt).filter((field) => field && !["group", "list"].includes(field.control));
}
