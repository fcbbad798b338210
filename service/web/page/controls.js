// Controls made from GET /v1/fields, and faults in the reader's words beside them.

import { el, fill, freshId } from "./build.js";
import { isImperial, known, length, number, readLength, readNumber, say, unitOf, valueOf } from "./words.js";

const WAIT_MS = 300;

/**
 * Return a control of a field: {node, pointer, show(value), fault(text), focus(), read()}.
 *
 * `commit(value)` is called while somebody types or chooses, with undefined for nothing; without it the control waits
 * until it is read.
 */
export function control(field, { commit, empty, label = field.label } = {}) {
  const box = BOXES[field.control] ?? numberBox;
  const faultId = freshId("fault");
  const made = box(field, { commit, empty, label, refuse: (text) => fault(text) });
  const note = el("span", { id: faultId, class: "fault", role: "alert" });
  const node = el(
    "span",
    { class: "control" },
    made.input,
    made.after ? el("span", { class: "unit" }, made.after) : null,
    note,
  );

  function fault(text) {
    note.textContent = text ?? "";
    for (const [name, value] of [
      ["aria-invalid", "true"],
      ["aria-describedby", faultId],
    ]) {
      if (text) made.input.setAttribute(name, value);
      else made.input.removeAttribute(name);
    }
  }

  return {
    node,
    pointer: field.pointer,
    show(value) {
      if (document.activeElement !== made.input || field.control === "choice") made.show(value);
    },
    fault,
    focus: () => made.input.focus(),
    read: made.read,
    input: made.input,
  };
}

const BOXES = { choice: choiceBox, yes_or_no: yesOrNoBox, text: textBox };

function choiceBox(field, { commit, empty, label }) {
  const options = field.choices.map((choice) => el("option", { value: String(choice.value) }, choice.label));
  if (empty) options.unshift(el("option", { value: "" }, empty));
  const input = el("select", { "aria-label": label }, options);
  const read = () => field.choices.find((choice) => String(choice.value) === input.value)?.value;
  if (commit) input.addEventListener("change", () => commit(read()));
  return { input, read, show: (value) => (input.value = value === undefined ? "" : String(value)) };
}

function yesOrNoBox(field, { commit, empty, label }) {
  const choices = [true, false].map((value) => ({ value, label: valueOf(field, value) }));
  return choiceBox({ ...field, choices }, { commit, empty, label });
}

function textBox(field, { commit, label }) {
  const input = el("input", { type: "text", "aria-label": label, maxlength: field.most_characters });
  const read = () => input.value || undefined;
  if (commit) input.addEventListener("change", () => commit(read()));
  return { input, read, show: (value) => (input.value = value ?? "") };
}

function numberBox(field, { commit, label, refuse }) {
  const isLength = field.unit === "m";
  const after = isLength ? (isImperial() ? "" : " m") : unitOf(field);
  const input = el("input", {
    type: "text",
    inputmode: isLength && isImperial() ? "text" : "decimal",
    autocomplete: "off",
    "aria-label": `${label}${after && `, ${after.trim()}`}`,
  });
  const write = (value) =>
    value === undefined
      ? ""
      : isLength
        ? isImperial()
          ? length(value).replaceAll("\u00a0", " ")
          : number(value, decimals(value))
        : number(value);
  const parse = () => (isLength ? readLength(input.value) : readNumber(input.value));
  let timer = null;

  function fit() {
    input.style.width = `${Math.max(3, input.value.length + 1.2)}ch`;
  }

  function read() {
    if (!input.value.trim()) return undefined;
    const value = parse();
    refuse(value === null ? say("fault.not_a_number") : null);
    return value;
  }

  function send() {
    clearTimeout(timer);
    const value = read();
    if (value !== null) commit?.(value);
  }

  input.addEventListener("input", () => {
    fit();
    clearTimeout(timer);
    timer = setTimeout(() => parse() !== null && send(), WAIT_MS);
  });
  input.addEventListener("change", send);
  input.addEventListener("keydown", (event) => {
    const by = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    if (!by || !field.step || parse() === null) return;
    event.preventDefault();
    input.value = write(Math.round((parse() + by * field.step * (event.shiftKey ? 10 : 1)) * 1e6) / 1e6);
    fit();
    send();
  });
  return {
    input,
    after,
    read,
    show(value) {
      input.value = write(value);
      fit();
    },
  };
}

const decimals = (m) => (Math.abs(m * 100 - Math.round(m * 100)) < 1e-6 ? 2 : 3);

/** Return a small form that asks for one fact, or for one of several, and tells the answer when it is sent. */
export function answerForm(fields, { tell, button = say("tell") }) {
  const controls = fields.map((field) => control(field, { empty: say("choose") }));
  const rows = controls.map((each, index) =>
    el(
      "span",
      { class: "asked" },
      fields.length > 1 || fields[index].control !== "choice"
        ? el("span", { class: "asked-label" }, fields[index].label, " ")
        : null,
      each.node,
    ),
  );
  const joined = rows.flatMap((row, index) => (index ? [" ", row] : [row]));
  for (const each of controls) each.show(undefined);
  return {
    controls,
    node: el(
      "form",
      {
        class: "answer",
        onsubmit(event) {
          event.preventDefault();
          const told = controls.map((each) => [each.pointer, each.read()]);
          if (told.some(([, value]) => value === null)) return;
          const given = told.filter(([, value]) => value !== undefined);
          if (given.length) tell(given);
          else controls[0].focus();
        },
      },
      joined,
      " ",
      el("button", { type: "submit" }, button),
    ),
  };
}

/** A bound as a refusal says it, in each language of the service. */
const BOUND = /^(at most|at least|höchstens|mindestens) (-?\d+(?:[.,]\d+)?)/;

/** Return what a fault says, in the reader's words. */
export function faultText(fault, field) {
  if (fault.code === "out_of_range" && field?.minimum !== null && field?.minimum !== undefined) {
    const key = field.minimum_is_excluded ? "fault.above_and_at_most" : "fault.out_of_range";
    return say(key, { low: valueOf(field, field.minimum), high: valueOf(field, field.maximum) });
  }
  const key = `fault.${fault.code}`;
  if (!known(key)) return say("fault.other", { detail: fault.detail });
  return [say(key), allowed(fault, field)].filter(Boolean).join(" ");
}

function allowed(fault, field) {
  const found = typeof fault.allowed === "string" && fault.allowed.match(BOUND);
  if (!found) return "";
  const key = ["at most", "höchstens"].includes(found[1]) ? "fault.at_most" : "fault.at_least";
  return say(key, { value: valueOf(field, Number(found[2].replace(",", "."))) });
}

/** Show each fault at the control whose field it points at; return those that have none. */
export function showFaults(faults, controls, fieldAt) {
  for (const each of controls) each.fault(null);
  return faults.filter((fault) => {
    const near = controls.find((each) => each.node.isConnected && each.pointer === fault.pointer);
    near?.fault(faultText(fault, fieldAt(fault.pointer)));
    return !near;
  });
}

/** Put faults that belong to no control on the page into a list. */
export function listFaults(node, faults, fieldAt) {
  fill(
    node,
    faults.map((fault) => {
      const field = fieldAt(fault.pointer);
      const where = field?.label ?? fault.pointer;
      return el("li", { class: "fault" }, where ? `${where}: ` : "", faultText(fault, field));
    }),
  );
}
