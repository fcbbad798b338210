// What was assumed, each to be answered in place; and what was told beyond the sentence, each to be taken back.

import { answerForm } from "./controls.js";
import { byId, el, fill } from "./build.js";
import { leaves } from "./request.js";
import { length, number, say, valueOf } from "./words.js";

/** Fields that a person answers in place of one that has a value for each octave. */
const SIMPLER = {
  "/room/reverberation_time_by_octave_s": "/room/reverberation_time_s",
  "/speaker/directivity_index_by_octave_db": "/speaker/directivity_index_db",
};

const NOT_FACTS = ["/note", "/language", "/positions", "/sheet", "/include"];

/** Show the assumptions; `tell` takes an answer, `toPlan` leads to the drawing where positions are set. */
export function showAssumptions(assumptions, { fieldAt, tell, toPlan }) {
  const open = document.activeElement?.closest?.("#assumptions li")?.dataset.pointer;
  if (open && document.activeElement.matches("input, select")) return; // somebody is answering
  fill(
    byId("assumptions"),
    sorted(
      assumptions.filter((each) => each.pointer !== null),
      fieldAt,
    ).map((each) => item(each, { fieldAt, tell, toPlan })),
  );
  const methods = assumptions.filter((each) => each.pointer === null);
  byId("methods").hidden = methods.length === 0;
  fill(
    byId("method-list"),
    methods.map((each) => el("li", {}, sentence(each.why), numbersOf(each))),
  );
}

/** What people know first, then what has a range, then the rest. */
function sorted(assumptions, fieldAt) {
  const order = ({ pointer, spread }) => (fieldAt(pointer)?.rank === "few_facts" ? 0 : spread !== null ? 1 : 2);
  return [...assumptions].sort((one, other) => order(one) - order(other));
}

function item(assumption, { fieldAt, tell, toPlan }) {
  const { pointer, why } = assumption;
  const own = fieldAt(pointer);
  const answered = fieldAt(SIMPLER[pointer] ?? pointer);
  const label = labelOf(pointer, fieldAt);
  const node = el(
    "li",
    { "data-pointer": pointer },
    el("strong", {}, label),
    pointer === "/positions" ? "" : [": ", shown(own, assumption)],
    " – ",
    why,
    ". ",
  );
  const change = el(
    "button",
    {
      type: "button",
      "aria-label": say("assumed.change_what", { what: label }),
      onclick: () => (pointer === "/positions" ? toPlan() : ask()),
    },
    say("assumed.change"),
  );
  if (pointer === "/positions" || (answered && ANSWERABLE.has(answered.control))) node.append(change);

  function ask() {
    const form = answerForm([answered], { tell });
    change.replaceWith(form.node);
    if (answered.help) form.node.after(el("span", { class: "where" }, " ", answered.help));
    form.controls[0].focus();
  }
  return node;
}

const OF_THEMSELVES = ["speaker", "amplifier", "room", "as_found"];

/** Return the label of a field, and before it that of its group where the field says too little alone. */
function labelOf(pointer, fieldAt) {
  const own = fieldAt(pointer)?.label ?? pointer;
  const [, block, name] = pointer.split("/");
  return name && !OF_THEMSELVES.includes(block) ? `${fieldAt(`/${block}`)?.label ?? block}, ${own}` : own;
}

const ANSWERABLE = new Set(["number", "whole_number", "choice", "yes_or_no", "text"]);

function shown(field, { value, spread }) {
  if (value !== null && typeof value === "object" && !Array.isArray(value)) {
    const values = Object.values(value).filter((each) => typeof each === "number");
    const unit =
      { "/room/reverberation_time_by_octave_s": " s", "/speaker/directivity_index_by_octave_db": " dB" }[
        field?.pointer
      ] ?? "";
    return say("assumed.by_octave", { first: number(values[0]), last: number(values.at(-1)), unit });
  }
  const usual = Array.isArray(spread)
    ? ` (${say("assumed.spread", { low: valueOf(field, spread[0]), high: valueOf(field, spread[1]) })})`
    : "";
  return valueOf(field, value) + usual;
}

const UNITS = { _dba: " dB(A)", _db: " dB", _db_1w_1m: " dB", _mm2: " mm²", _hz: " Hz", _deg: "°" };

function numbersOf({ value }) {
  if (value === null || typeof value !== "object") return ".";
  const all = Object.entries(value).map(([name, each]) => {
    if (typeof each !== "number") return null;
    if (name.endsWith("_m")) return length(each);
    const ending = Object.keys(UNITS).find((end) => name.endsWith(end));
    return number(each) + (ending ? UNITS[ending] : "");
  });
  return all.every(Boolean) ? `: ${all.join(", ")}.` : ".";
}

const sentence = (text) => text[0].toUpperCase() + text.slice(1);

/** Show what was told beyond the sentence of facts. */
export function showKnown(request, { inSentence, fieldAt, takeBack }) {
  const told = leaves(request).filter(
    ([pointer]) => !inSentence.has(pointer) && !NOT_FACTS.some((start) => pointer.startsWith(start)),
  );
  const positions = request.positions
    ? [
        el(
          "li",
          {},
          el("strong", {}, fieldAt("/positions")?.label ?? ""),
          ": ",
          say("known.positions"),
          " ",
          back("/positions", fieldAt("/positions")?.label),
        ),
      ]
    : [];
  function back(pointer, label) {
    return el(
      "button",
      {
        type: "button",
        "aria-label": say("known.take_back_what", { what: label ?? pointer }),
        onclick: () => takeBack(pointer),
      },
      say("known.take_back"),
    );
  }
  const items = told.map(([pointer, value]) => {
    const field = fieldAt(pointer);
    const label = labelOf(pointer, fieldAt);
    return el(
      "li",
      { "data-pointer": pointer },
      el("strong", {}, label),
      [": ", valueOf(field, named(value))],
      " ",
      back(pointer, label),
    );
  });
  fill(
    byId("known"),
    items.length || positions.length ? [el("h3", {}, say("known")), el("ul", {}, positions, items)] : null,
  );
}

/** Return things of a list by their names. */
const named = (value) =>
  Array.isArray(value)
    ? value.map((each, index) => (typeof each === "object" ? (each.name ?? `${index + 1}`) : each))
    : value;
