// The request: one JSON object, which is the state of the page, its address and its file.

/** Return what stands at a JSON pointer, or undefined. */
export function at(object, pointer) {
  let place = object;
  for (const step of pointer.split("/").slice(1)) place = place?.[step];
  return place;
}

/** Return a copy with a value at a pointer; undefined takes it away, and blocks that this leaves empty. */
export function put(object, pointer, value) {
  const copy = structuredClone(object);
  const steps = pointer.split("/").slice(1);
  const way = [copy];
  for (const step of steps.slice(0, -1)) {
    if (way.at(-1)[step] === undefined) {
      if (value === undefined) return copy;
      way.at(-1)[step] = {};
    }
    way.push(way.at(-1)[step]);
  }
  if (value === undefined) delete way.at(-1)[steps.at(-1)];
  else way.at(-1)[steps.at(-1)] = value;
  for (let depth = way.length - 1; depth > 0; depth--) {
    if (!Array.isArray(way[depth]) && Object.keys(way[depth]).length === 0) delete way[depth - 1][steps[depth - 1]];
  }
  return copy;
}

/** Return a copy with a value put, and without what the rules of the service exclude beside it. */
export function tell(request, pointer, value, rules) {
  let told = put(request, pointer, value);
  if (value === undefined) return told;
  for (const rule of rules) {
    if (rule.rule !== "exactly_one" && rule.rule !== "at_most_one") continue;
    if (!rule.sets.some((set) => set.includes(pointer))) continue;
    for (const other of rule.sets.flat()) if (other !== pointer) told = put(told, other, undefined);
  }
  return told;
}

/** Return [pointer, value] of everything in the request that is one value. */
export function leaves(object, pointer = "") {
  return Object.entries(object).flatMap(([name, value]) =>
    value !== null && typeof value === "object" && !Array.isArray(value)
      ? leaves(value, `${pointer}/${name}`)
      : [[`${pointer}/${name}`, value]],
  );
}

/** Return the request that an address carries, or null. */
export function fromAddress(fragment) {
  const text = fragment.replace(/^#/, "");
  if (!text) return null;
  try {
    return read(decodeURIComponent(text));
  } catch {
    return null;
  }
}

/** Return a request from text; throws where it is not one JSON object. */
export function read(text) {
  const request = JSON.parse(text);
  if (request === null || typeof request !== "object" || Array.isArray(request)) throw new SyntaxError("not an object");
  return request;
}

/** Return the fragment of the address that carries a request. */
export const toAddress = (request) =>
  `#${encodeURIComponent(JSON.stringify(request)).replace(/%(7B|7D|3A|2C|5B|5D)/g, decodeURIComponent)}`;

/** Return a place as the service takes it, to the centimetre. */
export const place = ({ x_m, y_m, z_m }) => ({ x_m: cm(x_m), y_m: cm(y_m), z_m: cm(z_m) });

const cm = (m) => Math.round(100 * m) / 100;

/** Return the request with things standing at these coordinates, and without what said so before. */
export function standing(request, positions) {
  const { as_found: asFound, listening_distance_m: _, ...rest } = request;
  const moved = { ...rest, positions: { speakers: positions.speakers.map(place), seats: positions.seats.map(place) } };
  if (positions.room) moved.room = { ...moved.room, ...positions.room };
  return moved;
}

/** Return the direction in plan from a place towards another, from +x towards +y, in degrees. */
export const facing = (from, to) => (Math.atan2(to.y_m - from.y_m, to.x_m - from.x_m) * 180) / Math.PI;

/** Return the distance from the first seat to each speaker, on average. */
export function distance(positions) {
  const [seat] = positions.seats;
  const all = positions.speakers.map((s) => Math.hypot(s.x_m - seat.x_m, s.y_m - seat.y_m, s.z_m - seat.z_m));
  return all.reduce((sum, each) => sum + each, 0) / all.length;
}

/** Return positions with the seats moved, along the line from the pair, to a listening distance. */
export function atDistance(positions, wanted) {
  const [lead] = positions.seats;
  const middle = { x: mean(positions.speakers, "x_m"), y: mean(positions.speakers, "y_m") };
  const away = { x: lead.x_m - middle.x, y: lead.y_m - middle.y };
  const size = Math.hypot(away.x, away.y) || 1;
  const moved = (by) => ({
    ...positions,
    seats: positions.seats.map((s) => ({ ...s, x_m: s.x_m + (by * away.x) / size, y_m: s.y_m + (by * away.y) / size })),
  });
  let [near, far] = [-size + 0.01, 60];
  for (let round = 0; round < 50; round++) {
    const middling = (near + far) / 2;
    if (distance(moved(middling)) < wanted) near = middling;
    else far = middling;
  }
  return moved(far);
}

const mean = (places, name) => places.reduce((sum, each) => sum + each[name], 0) / places.length;
