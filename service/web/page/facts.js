// The facts in one sentence, each a control in its place.

import { control } from "./controls.js";
import { el, fill } from "./build.js";
import { at } from "./request.js";
import { say, sayInPieces } from "./words.js";

const SENSITIVITIES = [
  "/speaker/sensitivity_db_1w_1m",
  "/speaker/sensitivity_db_2v83_1m",
  "/speaker/sensitivity_db_1m",
];

const FACTS = {
  kind: "/speaker/kind",
  power: "/amplifier/power_w",
  amplifier: "/amplifier/kind",
  area: "/room/floor_area_m2",
  length: "/room/length_m",
  width: "/room/width_m",
  height: "/room/height_m",
  construction: "/room/construction",
  furnishing: "/room/furnishing",
  distance: "/listening_distance_m",
  programme: "/programme",
  listening: "/listening",
};

/** Pointers of all facts that the sentence says. */
export const IN_SENTENCE = new Set([...Object.values(FACTS), ...SENSITIVITIES]);

/** A fault of a block without its one needed field is shown at that field. */
const ALSO = { "/speaker": "sensitivity", "/amplifier": "power", "/room": "length" };

/** The sentence; `tell(pointer, value)` hears of every fact, `shape(known)` of what is known of the room. */
export class Facts {
  #look = null;

  constructor(node, { tell, shape }) {
    Object.assign(this, { node, tell, shape, controls: [], byName: {} });
  }

  /** Forget the sentence, so that it is made anew in another language or other units. */
  forget() {
    this.#look = null;
  }

  show(request, { fieldAt, filled, distance_m, untouched }) {
    const basis = SENSITIVITIES.find((pointer) => at(request, pointer) !== undefined) ?? SENSITIVITIES[0];
    const area = at(request, FACTS.area) !== undefined;
    const look = `${area} ${basis}`;
    if (this.#look !== look) this.#build(look, { fieldAt, area, basis });
    for (const [name, made] of Object.entries(this.byName)) {
      if (name === "basis") continue;
      made.show(
        at(request, made.pointer) ??
          (name === "distance" && distance_m ? Math.round(100 * distance_m) / 100 : undefined),
      );
      made.node.classList.toggle("still-example", untouched.has(made.pointer));
      const usual = at(filled ?? {}, made.pointer);
      if (made.input.matches("input"))
        made.input.placeholder = typeof usual === "number" && at(request, made.pointer) === undefined ? "?" : "";
    }
  }

  #build(look, { fieldAt, area, basis }) {
    const held = document.activeElement?.closest("[data-fact]")?.dataset.fact;
    this.#look = look;
    this.byName = {};
    const pieces = sayInPieces(area ? "facts.area" : "facts.sides", (name) => {
      if (name === "basis") return this.#basis(basis, fieldAt);
      const pointer = name === "sensitivity" ? basis : FACTS[name];
      const field = fieldAt(pointer);
      if (!field) return el("span", {}, name);
      const made = control(field, { commit: (value) => this.tell(pointer, value), empty: say(`facts.no_${name}`) });
      made.node.dataset.fact = name;
      this.byName[name] = made;
      return made.node;
    });
    // no punctuation at the beginning of a line
    const joined = pieces.map((piece) => (typeof piece === "string" ? piece.replace(/^(?=[.,;)])/, "\u2060") : piece));
    const other = el(
      "button",
      { type: "button", id: "shape", onclick: () => this.shape(area) },
      say(area ? "facts.sides_known" : "facts.only_area"),
    );
    fill(this.node, el("p", {}, joined), el("p", { class: "hint" }, say("facts.hint"), " ", other));
    this.controls = Object.values(this.byName);
    if (held) (this.byName[held] ?? this.byName.sensitivity)?.focus();
  }

  #basis(basis, fieldAt) {
    const select = el(
      "select",
      {
        "aria-label": say("facts.basis"),
        onchange: () => this.tell(select.value, this.byName.sensitivity.read() ?? undefined),
      },
      SENSITIVITIES.filter(fieldAt).map((pointer) =>
        el("option", { value: pointer, selected: pointer === basis }, say(`facts.basis.${pointer.split("/").at(-1)}`)),
      ),
    );
    return el("span", { class: "control", "data-fact": "basis" }, select);
  }

  /** Return the pointer of the control at which a fault of this pointer is shown. */
  pointerFor(pointer) {
    return this.byName[ALSO[pointer]]?.pointer ?? pointer;
  }
}
