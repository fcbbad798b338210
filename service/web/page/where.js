// Where things stand by a request and the answer to it, and what the drawings need to know of them.

import { facing } from "./request.js";

/** Whether somebody told where things stand. */
export const isTold = (request, answer) => Boolean(request.positions ?? answer?.placement?.as_found);

/** Return speakers and seats as told, as read off a tape, or as taken; null where none are known. */
export const positions = (request, answer) =>
  request.positions ?? answer?.placement?.as_found ?? answer?.inputs?.positions ?? null;

/** Return the walls as the service took them. */
export function room(answer) {
  const { length_m, width_m } = answer.inputs.room;
  return { length_m, width_m };
}

/** Return the ratio of length to width that the service took for a floor area, or that of a square. */
export const lengthToWidth = (answer) =>
  answer?.assumptions.find((each) => each.value?.length_to_width_ratio)?.value.length_to_width_ratio ?? 1;

/** Return a cabinet as told, as taken, or as is usual. */
export function cabinet(answer, fieldAt) {
  const size = (name) => answer.inputs.speaker?.[name] ?? fieldAt(`/speaker/${name}`).default;
  return { width_m: size("cabinet_width_m"), depth_m: size("cabinet_depth_m") };
}

/** Return the best placement, or null. */
export const proposal = (answer) => answer?.placement?.placements[0] ?? null;

/** Return the lowest note of the speaker, or of its bass section. */
export function lowest(answer) {
  const speaker = answer.inputs.speaker;
  return speaker?.bass_section?.low_limit_hz ?? speaker?.low_limit_hz ?? 0;
}

/** Return how the speakers radiate; undefined, which leaves it out of a body, where nothing tells. */
const radiation = (answer) => (answer.placement?.as_found ?? proposal(answer))?.speakers[0].radiation;

/** Return the body that asks for the bass at the first seat, with things at these places, as the answer's curve has it. */
export const responseBody = ({ speakers, seats: [lead] }, walls, answer) => ({
  room: walls,
  sources: speakers.map((each) => ({
    x_m: each.x_m,
    y_m: each.y_m,
    z_m: each.z_m,
    radiation: radiation(answer),
    facing_deg: facing(each, lead),
  })),
  seats: [{ x_m: lead.x_m, y_m: lead.y_m, z_m: lead.z_m }],
  frequency_hz: answer.response.frequency_hz,
});
