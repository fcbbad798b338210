// The words of the page in the reader's language, and numbers as that language writes them.

const INCH_M = 0.0254;

let sentences = {};
let now = "en";
let units = "metric";

export const language = () => now;
export const isImperial = () => units === "imperial";

/** Take the units of a name, metric for any other; return theirs. */
export function setUnits(name) {
  units = name === "imperial" ? "imperial" : "metric";
  return units;
}

/** Return the first of some languages that the page speaks. */
export function spokenOne(...names) {
  const all = [...document.querySelectorAll("#language option")].map((option) => option.value);
  return names.find((name) => all.includes(name)) ?? all[0];
}

export async function speak(name) {
  const answer = await fetch(`page/words-${name}.json`);
  if (!answer.ok) throw new TypeError("no words");
  sentences = await answer.json();
  now = name;
  document.documentElement.lang = name;
  document.title = say("title");
  for (const node of document.querySelectorAll("[data-words]")) node.textContent = say(node.dataset.words);
}

/** Whether there is a sentence under this key. */
export const known = (key) => key in sentences;

/** Return the sentence under a key, its values put in: {name} as it is, {name:1} with so many decimals. */
export function say(key, values = {}) {
  return (sentences[key] ?? key).replace(/\{(\w+)(?::(\w+))?\}/g, (_, name, form) => {
    const value = values[name];
    if (form === "db") return `${number(value, Math.abs(value) < 2 ? 1 : 0)} dB`;
    if (form === "g") return number(value);
    return form ? number(value, Number(form)) : value;
  });
}

/** Return a sentence in pieces: texts, and for every {name} what `piece(name)` gives. */
export function sayInPieces(key, piece) {
  return sentences[key].split(/(\{\w+\})/).map((part) => (part.startsWith("{") ? piece(part.slice(1, -1)) : part));
}

/** Return a name of a term, as the service names it. */
export const term = (group, value) => sentences[`terms.${group}.${value}`] ?? String(value);

/** Return a number in the form of the language; without `decimals`, as many as it needs. */
export function number(value, decimals) {
  const form =
    decimals === undefined
      ? { maximumSignificantDigits: 5 }
      : { minimumFractionDigits: decimals, maximumFractionDigits: decimals };
  const text = new Intl.NumberFormat(now, { ...form, useGrouping: false }).format(value);
  return /^-[0.,]*$/.test(text) ? text.slice(1) : text;
}

/** Return a number with its sign, a true minus. */
export function signed(value, decimals) {
  const text = number(Math.abs(value), decimals);
  return /^[0.,]*$/.test(text) ? text : `${value < 0 ? "−" : "+"}${text}`;
}

/** Return a length of the room: 5.40 m or 17 ft 8½ in. */
export const length = (m) => (isImperial() ? feetAndInches(m) : `${number(m, 2)}\u00a0m`);

/** Return a distance as on a tape: 112 cm or 3 ft 8 in. */
export const tape = (m) => (isImperial() ? feetAndInches(m) : `${number(100 * m, 0)}\u00a0cm`);

function feetAndInches(m) {
  const halves = Math.round((2 * Math.abs(m)) / INCH_M);
  const feet = Math.floor(halves / 24);
  const inches = halves - 24 * feet;
  const text = `${Math.floor(inches / 2)}${inches % 2 ? "½" : ""}\u00a0in`;
  return `${m < 0 ? "−" : ""}${feet ? `${feet}\u00a0ft\u00a0` : ""}${text.replace(/^0½/, "½")}`;
}

/** Return what somebody wrote as a number, or null where it is none; a comma is a decimal point. */
export function readNumber(text) {
  const plain = text
    .trim()
    .replace(/[\s  ]/g, "")
    .replace("−", "-")
    .replace(",", ".");
  return /^-?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : null;
}

/** Return a length in metres from 5.4, 5,4 m, 540 cm, 17 ft 9 in or 17'9"; null where it is none. */
export function readLength(text) {
  const feet = text
    .trim()
    .match(/^(?:([\d.,]+)\s*(?:ft|feet|foot|fuß|'|′))?\s*(?:([\d.,]+)?\s*(½)?\s*(?:in|inch(?:es)?|zoll|"|″))?$/i);
  if (feet && (feet[1] || feet[2] || feet[3])) {
    const parts = [feet[1] ?? "0", feet[2] ?? "0"].map(readNumber);
    if (parts.includes(null)) return null;
    return rounded(12 * parts[0] * INCH_M + (parts[1] + (feet[3] ? 0.5 : 0)) * INCH_M);
  }
  const metric = text.trim().match(/^(.*?)\s*(cm|m)$/i);
  if (metric) {
    const value = readNumber(metric[1]);
    return value === null ? null : metric[2].toLowerCase() === "cm" ? rounded(value / 100) : value;
  }
  const value = readNumber(text);
  return value === null || !isImperial() ? value : rounded(value * 12 * INCH_M);
}

const rounded = (m) => Math.round(m * 1e4) / 1e4;

/** Return a value of a field as a person reads it. */
export function valueOf(field, value) {
  if (value === true) return say("yes");
  if (value === false) return say("no");
  if (Array.isArray(value)) return value.map((item) => valueOf(field, item)).join(" – ");
  if (typeof value === "string") return field?.choices?.find((choice) => choice.value === value)?.label ?? value;
  if (typeof value !== "number") return "";
  if (field?.unit === "m") return length(value);
  return `${number(value)}${unitOf(field)}`;
}

/** Return the unit behind a number, with the space before it. */
export function unitOf(field) {
  const unit = field?.unit;
  if (!unit) return "";
  return ` ${{ m2: "m²", degrees: "°", "degrees Celsius": "°C", ohm: "Ω", uV: "µV" }[unit] ?? unit}`;
}
