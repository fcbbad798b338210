// The page: one request as its state, one answer on it, both changed by what somebody types, chooses or drags.

import { showAssumptions, showKnown } from "./assumed.js";
import { showCurve, showModes } from "./bass.js";
import { byId } from "./build.js";
import { Facts, IN_SENTENCE } from "./facts.js";
import { showKeep } from "./keep.js";
import { KEPT, recall, recallRequest, remember } from "./memory.js";
import { Plan, toPlan } from "./plan.js";
import {
  showAmplifiers,
  showCautions,
  showDetails,
  showFindings,
  showQuestions,
  showSteps,
  showTape,
  showVerdict,
} from "./reply.js";
import { distance, fromAddress, put, read, standing, toAddress } from "./request.js";
import { Gone, Newest, Refused, get, post } from "./service.js";
import { asSheet, asStart, fieldsFor, withAmplifier, withArea, withFact, withSides } from "./telling.js";
import { showGone, showNoTrouble, showRefused } from "./trouble.js";
import { cabinet, isTold, lengthToWidth, lowest, positions, proposal, responseBody, room } from "./where.js";
import { language, say, setUnits, speak, spokenOne } from "./words.js";

const FIRST = ["verdict", "level", "headroom", "ask_next", "inputs"];
const ASK_AFTER_MS = 60;

let request = {};
let isExample = true;
let untouched = new Set();
let form = { byPointer: new Map(), rules: [], parts: [] };
let answer = null;
let asking = null;
let timer = null;
let lastTold = null;

const plan = new Plan(byId("plan"), { moved: onMoved, letGo: onLetGo });
const facts = new Facts(byId("sentence"), {
  tell: (pointer, value) => change(told(request, pointer, value), [pointer]),
  shape: onShape,
});
const live = new Newest((body) => post("v1/response", body), onLiveCurve);

const fieldAt = (pointer) => form.byPointer.get(pointer.replace(/\/\d+(?=\/|$)/g, "/*"));

start();

async function start() {
  const given = fromAddress(location.hash);
  const own = given ?? recallRequest(KEPT.own);
  byId("units").value = setUnits(recall(KEPT.units));
  const wanted = spokenOne(own?.language, recall(KEPT.language), navigator.language.slice(0, 2));
  try {
    const body = own ?? get("page/example.json");
    const early = Promise.resolve(body).then((given) => askFirst(given, wanted));
    early.catch(() => {}); // whoever uses it hears of it
    await learn(wanted);
    begin(await body, { example: !own, early });
  } catch (error) {
    if (!(error instanceof Gone || error instanceof TypeError)) throw error;
    showGone(start);
    return;
  }
  byId("gone").hidden = true;
}

/** Learn a language: its words and the fields of the form in it. */
async function learn(name) {
  const [, { fields, rules }] = await Promise.all([speak(name), get(`v1/fields?language=${name}`)]);
  const byPointer = new Map(fields.map((field) => [field.pointer, field]));
  form = { byPointer, rules, parts: byPointer.get("/include").choices.map((choice) => choice.value) };
  byId("language").value = name;
  facts.forget();
  showKeep({
    request: asSent,
    sheetRequest: () => asSheet(asSent(), { knowsSheets: Boolean(fieldAt("/sheet")) }),
    open: openFile,
    tellStatus,
    failed,
  });
}

function begin(body, { example, early }) {
  request = withoutInclude(body);
  isExample = example;
  untouched = new Set();
  ask(early);
}

function withoutInclude({ include: _, ...rest }) {
  return rest;
}

/** Ask for the parts that come first and need no search. */
const askFirst = (body, name, options) =>
  post("v1/advice", { ...withoutInclude(body), language: name, include: FIRST }, options);

/** Take a changed request; the facts that changed are the reader's own from now on. */
function change(next, pointers = [], { push = false } = {}) {
  asking?.abort();
  performance.mark("changed");
  request = next;
  if (isExample) {
    request = put(request, "/note", undefined);
    untouched = new Set(IN_SENTENCE);
    isExample = false;
  }
  for (const pointer of pointers) untouched.delete(pointer);
  remember(KEPT.own, JSON.stringify(asSent()));
  history[push ? "pushState" : "replaceState"](null, "", toAddress(asSent()));
  showFacts();
  showWhose();
  clearTimeout(timer);
  timer = setTimeout(() => ask(), ASK_AFTER_MS);
}

const asSent = () => ({ ...request, language: language() });

/** Ask for the verdict, then for all the rest; a newer question drops an older one. */
async function ask(early) {
  asking?.abort();
  const { signal } = (asking = new AbortController());
  try {
    const first = await (early ?? askFirst(request, language(), { signal }));
    answer = { ...answer, ...present(first), left_out: first.left_out };
    showNoTrouble({ controls: facts.controls, fieldAt });
    showFirst();
    const others = form.parts.filter((part) => !FIRST.includes(part) || part === "headroom");
    const rest = await post("v1/advice", { ...asSent(), include: others }, { signal });
    answer = {
      ...first,
      ...Object.fromEntries(others.map((part) => [part, rest[part]])),
      findings: rest.findings,
      cautions: rest.cautions,
      assumptions: rest.assumptions,
      left_out: rest.left_out,
    };
    showRest();
    performance.mark("answered");
  } catch (error) {
    failed(error);
  }
}

const present = (found) => Object.fromEntries(Object.entries(found).filter(([, value]) => value !== null));

function failed(error) {
  if (error.name === "AbortError") return;
  if (error instanceof Gone) showGone(() => ask());
  else if (error instanceof Refused) isRefused(error.faults);
  else throw error;
}

function isRefused(faults) {
  const isFirst = !answer;
  if (isFirst) {
    document.body.classList.replace("empty", "only-facts");
    showWhose();
    showFacts();
  }
  const pointed = faults.map((fault) => ({ ...fault, pointer: pointerFor(fault.pointer) }));
  showRefused(pointed, { controls: facts.controls, fieldAt, isFirst });
  tellStatus(byId("before").textContent);
}

/** Return the pointer of the control at which a fault is shown: a chair that a distance moved is a fault of that. */
function pointerFor(pointer) {
  const byDistance = lastTold === "/listening_distance_m" && pointer.startsWith("/positions");
  return byDistance ? lastTold : facts.pointerFor(pointer);
}

function showFirst() {
  document.body.classList.remove("empty", "only-facts");
  showWhose();
  showVerdict(answer);
  showFacts();
  showQuestions(answer.ask_next, {
    fieldsFor: (question) => fieldsFor(question, { request, rules: form.rules, fieldAt }),
    tell: tellAll,
  });
  showCautions(answer.cautions);
  performance.mark("verdict");
}

function showWhose() {
  byId("whose-label").textContent = say(isExample ? "whose.example" : untouched.size ? "whose.partly" : "whose.own");
  byId("start-own").textContent = say(isExample ? "whose.start" : "whose.example_again");
  byId("start-own").onclick = isExample ? startOwn : startAgain;
}

function startOwn() {
  change(asStart(request, { distance_m: answer.level.listening_distance_m }));
  facts.byName.sensitivity.focus();
  facts.byName.sensitivity.input.select();
}

function startAgain() {
  remember(KEPT.own, null);
  history.pushState(null, "", location.pathname + location.search);
  beginExample();
}

async function beginExample() {
  try {
    begin(await get("page/example.json"), { example: true });
  } catch (error) {
    failed(error);
  }
}

function showFacts() {
  facts.show(request, {
    fieldAt,
    filled: answer?.inputs,
    distance_m: request.positions ? distance(request.positions) : answer?.level?.listening_distance_m,
    untouched,
  });
}

function showRest() {
  showFacts();
  showSteps(answer.next_steps, { place: useProposal, move: useProposal });
  showFindings(answer.findings);
  showAmplifiers(answer.match, {
    fields: ["name", "power_w", "kind"].map((name) => fieldAt(`/amplifiers/*/${name}`)).filter(Boolean),
    add: addAmplifier,
  });
  showAssumptions(answer.assumptions, { fieldAt, tell: tellAll, toPlan });
  showKnown(request, {
    inSentence: IN_SENTENCE,
    fieldAt,
    takeBack: (pointer) => change(put(request, pointer, undefined)),
  });
  showCautions(answer.cautions);
  showDetails(answer, asSent());
  const where = positions(request, answer);
  byId("place").hidden = where === null || answer.response === null;
  if (byId("place").hidden) return;
  plan.show({ room: room(answer), positions: where, cabinet: cabinet(answer, fieldAt), proposal: proposal(answer) });
  showTape(byId("tape"), proposal(answer), {
    useIt: useProposal,
    leaveIt: answer.findings.some((finding) => finding.code === "leave_it") ? say("tape.leave_it") : null,
  });
  drawCurve(answer.response);
  showModes(byId("modes"), answer.modes.modes, { room: room(answer), seat: where.seats[0] });
}

function drawCurve(today) {
  const proposed = proposal(answer)?.curve ?? null;
  showCurve(byId("curve"), {
    today,
    proposed,
    lowest_hz: lowest(answer),
    rough: answer.response.confidence === "rough",
    told: isTold(request, answer),
  });
}

function onMoved(moved, walls, isWall) {
  asking?.abort();
  lastTold = null;
  const keepsUsual = isWall && !isTold(request, answer);
  request = keepsUsual
    ? { ...request, room: { ...request.room, ...walls } }
    : standing(request, { ...moved, room: walls });
  showFacts();
  live.put(responseBody(moved, { ...request.room, ...walls }, answer));
}

function onLetGo() {
  change(request, ["/listening_distance_m"]);
}

function onLiveCurve(found) {
  drawCurve({ frequency_hz: found.frequency_hz, gain_db: found.seats[0].gain_db });
  performance.mark("curve");
}

function useProposal() {
  const best = proposal(answer);
  if (!best) return;
  change(
    standing(request, { speakers: best.speakers, seats: best.seats, room: room(answer) }),
    ["/listening_distance_m"],
    {
      push: true,
    },
  );
  byId("place").scrollIntoView({ block: "start" });
  toPlan();
}

function onShape(isArea) {
  if (isArea) change(withSides(request, { lengthToWidth: lengthToWidth(answer) }), ["/room/floor_area_m2"]);
  else change(withArea(request, { distance_m: answer.level.listening_distance_m }), ["/room/floor_area_m2"]);
}

/** Return the request with one fact told. */
function told(before, pointer, value) {
  lastTold = pointer;
  const places =
    isTold(request, answer) && positions(request, answer)
      ? { positions: positions(request, answer), room: room(answer) }
      : null;
  return withFact(before, pointer, value, { rules: form.rules, places });
}

function addAmplifier(given) {
  document.activeElement?.blur();
  change(
    withAmplifier(request, Object.fromEntries(given.map(([pointer, value]) => [pointer.split("/").at(-1), value]))),
  );
  tellStatus(say("noted"));
}

/** Take the answers of a small form. */
function tellAll(given) {
  document.activeElement?.blur();
  change(
    given.reduce((before, [pointer, value]) => told(before, pointer, value), request),
    given.map(([pointer]) => pointer),
  );
  tellStatus(say("noted"));
  byId("verdict").focus({ preventScroll: true });
}

function openFile(text) {
  try {
    const opened = withoutInclude(read(text));
    untouched = new Set();
    isExample = false;
    change(opened, [], { push: true });
    if (opened.language && opened.language !== language()) changeLanguage(opened.language);
  } catch {
    tellStatus(say("keep.not_a_request"), true);
  }
}

function tellStatus(text, seen = false) {
  byId("status").textContent = text;
  byId("status").classList.toggle("unseen", !seen);
}

async function changeLanguage(name) {
  remember(KEPT.language, name);
  try {
    await learn(name);
    if (!isExample) history.replaceState(null, "", toAddress(asSent()));
    ask();
  } catch (error) {
    failed(error);
  }
}

byId("language").onchange = () => changeLanguage(byId("language").value);
byId("units").onchange = () => {
  setUnits(byId("units").value);
  remember(KEPT.units, byId("units").value);
  facts.forget();
  if (answer?.placement !== undefined) showRest();
};
byId("skip").onclick = () => byId("verdict").focus();
window.addEventListener("popstate", () => {
  const given = fromAddress(location.hash);
  if (given) begin(given, { example: false });
  else beginExample();
});
window.addEventListener("resize", () => answer?.placement !== undefined && showRest());
window.addEventListener("beforeprint", () => unfold(true));
window.addEventListener("afterprint", () => unfold(false));

/** Open what is folded for paper, and fold it again. */
function unfold(open) {
  for (const node of document.querySelectorAll("#cautions details, #methods")) node.open = open;
}
