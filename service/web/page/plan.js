// The plan of the room, to scale, in which speakers, chair and walls can be moved by pointer and by keys.

import { byId, draw, dress, el, fill, freshId } from "./build.js";
import { distance, facing } from "./request.js";
import { length, say, tape, term } from "./words.js";
import { cabinet, chair, scale, span, walls } from "./plan_parts.js";

const TALLEST_PX = 400;
const MARGIN = { left: 22, right: 84, top: 22, bottom: 40 };
const LEAST_TO_WALL_M = 0.05;
const SHORTEST_WALL_M = 1.5;
const [STEP_M, LONG_STEP_M] = [0.01, 0.1];
const ARROWS = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };

/** A plan in a figure; `moved(positions, room)` hears of every move, `letGo()` when the hand is off. */
export class Plan {
  #model = null;
  #on = null;
  #handles = new Map();
  #held = null;
  #frame = null;

  constructor(figure, { moved, letGo }) {
    this.moved = moved;
    this.letGo = letGo;
    this.together = true;
    const [title, hint] = [freshId("plan"), freshId("plan")];
    this.title = draw("title", { id: title });
    this.hint = el("p", { id: hint, class: "hint" });
    this.back = draw("g", { "aria-hidden": "true" });
    this.front = draw("g");
    this.svg = draw(
      "svg",
      { role: "group", "aria-labelledby": title, class: "plan" },
      this.title,
      this.back,
      this.front,
    );
    this.caption = el("figcaption");
    this.box = el("input", { type: "checkbox", checked: true, onchange: () => (this.together = this.box.checked) });
    this.boxText = el("span");
    fill(figure, this.svg, this.caption, el("label", { class: "together" }, this.box, " ", this.boxText), this.hint);
    this.svg.addEventListener("pointerdown", (event) => this.#take(event));
    this.svg.addEventListener("pointermove", (event) => this.#drag(event));
    for (const end of ["pointerup", "pointercancel"]) this.svg.addEventListener(end, () => this.#drop());
    this.svg.addEventListener("keydown", (event) => this.#key(event));
    this.figure = figure;
  }

  /** Show a model: room, positions, cabinet, proposal or null. */
  show(model) {
    if (this.#held) return;
    this.#model = model;
    this.#layOut();
    this.#paint();
  }

  #layOut() {
    const width = Math.min(this.figure.clientWidth || 320, 560);
    this.#on = scale(this.#model.room, { width, height: TALLEST_PX, margin: MARGIN });
    dress(this.svg, {
      viewBox: `0 0 ${this.#on.width} ${this.#on.height}`,
      width: this.#on.width,
      height: this.#on.height,
    });
  }

  #paint() {
    const { positions, proposal, cabinet: size } = this.#model;
    // what is held keeps its scale; a wall that is held moves in the drawing
    const on = this.#held
      ? {
          ...this.#on,
          right: this.#on.left + this.#on.k * this.#model.room.width_m,
          bottom: this.#on.top + this.#on.k * this.#model.room.length_m,
        }
      : this.#on;
    fill(this.back, walls(on), proposal ? this.#proposed(on, proposal, size) : null, ...this.#spans(on, size));
    this.#handle(
      "back-wall",
      on,
      { x: (on.left + on.right) / 2, y: on.bottom + 2 },
      () => bar(true),
      this.#saysOfWall("back_wall"),
    );
    this.#handle(
      "right-wall",
      on,
      { x: on.right + 2, y: (on.top + on.bottom) / 2 },
      () => bar(false),
      this.#saysOfWall("right_wall"),
    );
    const [lead] = positions.seats;
    positions.speakers.forEach((place, index) => {
      const name = positions.speakers.length === 1 ? "speaker" : ["left_speaker", "right_speaker"][index];
      this.#handle(
        `speaker-${index}`,
        on,
        { x: on.x(place), y: on.y(place), turn: -facing(place, lead) },
        () => [cabinet(on.k, size), grip(on.k, size)],
        this.#says(name, place),
      );
    });
    positions.seats.forEach((place, index) => {
      this.#handle(
        `seat-${index}`,
        on,
        { x: on.x(place), y: on.y(place) },
        () => [chair(on.k, index ? "other" : ""), draw("circle", { class: "grip", r: 24 })],
        this.#says("chair", place),
      );
    });
    const wanted = new Set([
      "back-wall",
      "right-wall",
      ...positions.speakers.map((_, i) => `speaker-${i}`),
      ...positions.seats.map((_, i) => `seat-${i}`),
    ]);
    for (const [key, { node }] of this.#handles) if (!wanted.has(key)) this.#handles.delete(key) && node.remove();
    this.title.textContent = this.#description();
    const turned = proposal && proposal.front_wall !== "front_wall";
    this.caption.textContent = turned
      ? say("plan.caption_turned", { wall: term("surface", proposal.front_wall) })
      : say(proposal ? "plan.caption_proposal" : "plan.caption");
    this.hint.textContent = say("plan.hint");
    this.boxText.textContent = say("plan.together");
    this.box.parentNode.hidden = positions.speakers.length < 2;
  }

  /** Paint once for all moves of one frame. */
  #paintSoon() {
    this.#frame ??= requestAnimationFrame(() => {
      this.#frame = null;
      this.#paint();
    });
  }

  #handle(key, on, { x, y, turn = 0 }, shape, text) {
    let found = this.#handles.get(key);
    const look = `${Math.round(on.k * 10)}`;
    if (!found) {
      const node = draw("g", { class: "handle", tabindex: 0, role: "slider", "data-handle": key });
      this.front.append(node);
      found = { node, look: null };
      this.#handles.set(key, found);
    }
    if (found.look !== look) {
      found.look = look;
      fill(found.node, shape());
    }
    const value =
      key === "back-wall"
        ? this.#model.room.length_m
        : key === "right-wall"
          ? this.#model.room.width_m
          : this.#placeOf(key).x_m;
    const most = key === "right-wall" ? 30 : key === "back-wall" ? 30 : this.#model.room.length_m;
    dress(found.node, {
      transform: `translate(${x} ${y}) rotate(${turn})`,
      "aria-label": text.name,
      "aria-valuetext": text.value,
      "aria-valuenow": Math.round(value * 100),
      "aria-valuemin": 0,
      "aria-valuemax": Math.round(most * 100),
    });
  }

  #says(name, place) {
    const { room } = this.#model;
    return {
      name: say(`plan.${name}`),
      value: say("plan.place", {
        front: tape(place.x_m),
        left: tape(place.y_m),
        right: tape(room.width_m - place.y_m),
        back: tape(room.length_m - place.x_m),
      }),
    };
  }

  #saysOfWall(name) {
    const { length_m, width_m } = this.#model.room;
    return {
      name: say(`plan.${name}`),
      value: say("plan.wall_value", { length: length(length_m), width: length(width_m) }),
    };
  }

  #description() {
    const { room, positions } = this.#model;
    const [lead] = positions.seats;
    return say("plan.description", {
      length: length(room.length_m),
      width: length(room.width_m),
      front: tape(positions.speakers[0].x_m),
      spacing: tape(
        positions.speakers.length > 1 ? Math.abs(positions.speakers[1].y_m - positions.speakers[0].y_m) : 0,
      ),
      back: tape(room.length_m - lead.x_m),
      distance: tape(distance(positions)),
    });
  }

  #proposed(on, proposal, size) {
    const [lead] = proposal.seats;
    return draw(
      "g",
      { class: "proposed" },
      proposal.speakers.map((place) => {
        return draw(
          "g",
          { transform: `translate(${on.x(place)} ${on.y(place)}) rotate(${-facing(place, lead)})` },
          cabinet(on.k, size),
        );
      }),
      draw("g", { transform: `translate(${on.x(lead)} ${on.y(lead)})` }, chair(on.k)),
    );
  }

  #spans(on, size) {
    const { room, positions } = this.#model;
    const [lead] = positions.seats;
    const [left, right] = positions.speakers;
    const at = (place) => [on.x(place), on.y(place)];
    const beside = on.x(left) + on.k * 0.5 * (size.width_m + size.depth_m) + 6;
    const found = [
      span([beside, on.top], [beside, on.y(left)], tape(left.x_m), { side: 1 }),
      span([on.left, on.y(left) + 12], [on.x(left), on.y(left) + 12], tape(left.y_m), { side: -1, edge: "start" }),
      span([on.x(lead), on.y(lead)], [on.x(lead), on.bottom], tape(room.length_m - lead.x_m), { side: 1 }),
      span(at(lead), at(left), tape(distance(positions)), { kind: "sight", side: -1 }),
      span([on.left, on.bottom + 16], [on.right, on.bottom + 16], length(room.width_m), { side: -1, kind: "room" }),
      span([on.right + 16, on.top], [on.right + 16, on.bottom], length(room.length_m), { side: 1, kind: "room" }),
    ];
    if (right) {
      const y = Math.max(on.y(left), on.y(right)) + 12;
      found.push(
        span([on.x(left), y], [on.x(right), y], tape(right.y_m - left.y_m), { side: -1 }),
        span([on.x(right), on.y(right) + 12], [on.right, on.y(right) + 12], tape(room.width_m - right.y_m), {
          side: -1,
          edge: "end",
        }),
      );
    }
    return found;
  }

  #placeOf(key) {
    const [kind, index] = key.split("-");
    return this.#model.positions[kind === "seat" ? "seats" : "speakers"][Number(index)];
  }

  #take(event) {
    const key = event.target.closest("[data-handle]")?.dataset.handle;
    if (!key || event.button > 0) return;
    event.preventDefault();
    this.#handles.get(key).node.focus({ preventScroll: true });
    this.svg.setPointerCapture(event.pointerId);
    const at = this.#inRoom(event);
    const start = key.endsWith("wall")
      ? { x_m: this.#model.room.length_m, y_m: this.#model.room.width_m }
      : this.#placeOf(key);
    this.#held = { key, off: [start.x_m - at.x_m, start.y_m - at.y_m] };
  }

  #inRoom(event) {
    const to = this.svg.getScreenCTM().inverse();
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(to);
    return { x_m: (point.y - this.#on.top) / this.#on.k, y_m: (point.x - this.#on.left) / this.#on.k };
  }

  #drag(event) {
    if (!this.#held) return;
    const at = this.#inRoom(event);
    this.#move(this.#held.key, at.x_m + this.#held.off[0], at.y_m + this.#held.off[1]);
  }

  #drop() {
    if (!this.#held) return;
    this.#held = null;
    this.#layOut();
    this.#paint();
    this.letGo();
  }

  #key(event) {
    const key = event.target.dataset?.handle;
    const arrow = ARROWS[event.key];
    if (!key || !arrow) return;
    event.preventDefault();
    const step = event.shiftKey ? LONG_STEP_M : STEP_M;
    const now = key.endsWith("wall")
      ? { x_m: this.#model.room.length_m, y_m: this.#model.room.width_m }
      : this.#placeOf(key);
    this.#move(key, now.x_m + arrow[0] * step, now.y_m + arrow[1] * step);
    this.#layOut();
    this.#paint();
    this.letGo();
  }

  #move(key, x, y) {
    const { room, positions } = this.#model;
    const all = [...positions.speakers, ...positions.seats];
    if (key === "back-wall")
      this.#model.room = {
        ...room,
        length_m: held(x, Math.max(SHORTEST_WALL_M, ...all.map((p) => p.x_m + LEAST_TO_WALL_M)), 30),
      };
    else if (key === "right-wall")
      this.#model.room = {
        ...room,
        width_m: held(y, Math.max(SHORTEST_WALL_M, ...all.map((p) => p.y_m + LEAST_TO_WALL_M)), 30),
      };
    else
      this.#model.positions = this.#with(
        key,
        held(x, LEAST_TO_WALL_M, room.length_m - LEAST_TO_WALL_M),
        held(y, LEAST_TO_WALL_M, room.width_m - LEAST_TO_WALL_M),
      );
    this.#paintSoon();
    this.moved(this.#model.positions, this.#model.room, key.endsWith("wall"));
  }

  #with(key, x_m, y_m) {
    const { room, positions } = this.#model;
    const [kind, index] = [key.split("-")[0], Number(key.split("-")[1])];
    if (kind === "seat")
      return { ...positions, seats: positions.seats.map((seat, i) => (i === index ? { ...seat, x_m, y_m } : seat)) };
    const before = positions.speakers[index];
    const mirrored = (other) => ({
      ...other,
      x_m: held(other.x_m + x_m - before.x_m, LEAST_TO_WALL_M, room.length_m - LEAST_TO_WALL_M),
      y_m: held(other.y_m - (y_m - before.y_m), LEAST_TO_WALL_M, room.width_m - LEAST_TO_WALL_M),
    });
    const speakers = positions.speakers.map((other, i) =>
      i === index ? { ...other, x_m, y_m } : this.together ? mirrored(other) : other,
    );
    return { ...positions, speakers };
  }
}

const held = (value, low, high) => Math.round(100 * Math.min(Math.max(value, low), high)) / 100;

const grip = (k, { width_m, depth_m }) =>
  draw("circle", { class: "grip", cy: (-k * depth_m) / 2, r: Math.max(22, (k * Math.max(width_m, depth_m)) / 2) });

function bar(lying) {
  const [w, h] = lying ? [44, 8] : [8, 44];
  return [
    draw("rect", { class: "grip", x: -w / 2 - 6, y: -h / 2 - 6, width: w + 12, height: h + 12 }),
    draw("rect", { class: "bar", x: -w / 2, y: -h / 2, width: w, height: h, rx: 3 }),
  ];
}

/** Put the focus on the first speaker of the plan. */
export const toPlan = () => byId("plan").querySelector("[data-handle='speaker-0']")?.focus();
