// The written parts of the reply: verdict, what to do, reasons, amplifiers, cautions, and what is folded.

import { answerForm } from "./controls.js";
import { byId, el, fill } from "./build.js";
import { number, say, tape, term } from "./words.js";

const VERDICT_CODES = ["power_enough", "power_short", "power_needed", "sensitivity_needed"];

const isVerdict = (finding) => VERDICT_CODES.includes(finding.code);

/** Show the verdict: headline, its sentence, and how sure it is. */
export function showVerdict({ verdict, findings, headroom }) {
  byId("headline").textContent = verdict.headline;
  const sentence = findings.find(isVerdict);
  fill(
    byId("verdict-text"),
    sentence ? el("p", { class: "lead" }, sentence.text) : null,
    el(
      "p",
      { class: "certainty" },
      verdict.grade ? [el("strong", {}, say("verdict.grade", { grade: term("grade", verdict.grade) })), " "] : null,
      say("verdict.confidence", { confidence: term("confidence", verdict.confidence) }),
      " ",
      verdict.grade ? chance(headroom.clean_peak_chance_pct) : null,
    ),
  );
}

function chance(pct) {
  if (pct > 95) return say("chance.nearly_every");
  if (pct < 5) return say("chance.nearly_none");
  return say("chance.in_ten", { count: number(pct / 10, 0) });
}

/** Show what to do next. `actions` names a function for the code of each step that the page can do by itself. */
export function showSteps(steps, actions) {
  fill(
    byId("steps"),
    (steps ?? []).map((step) =>
      el(
        "li",
        {},
        el("span", { class: "cost" }, term("cost", step.cost)),
        " ",
        step.text,
        actions[step.code]
          ? [" ", el("button", { type: "button", onclick: actions[step.code] }, say("steps.try_it"))]
          : null,
      ),
    ),
    steps?.length === 0 ? el("li", {}, say("steps.none")) : null,
  );
}

/** Show the best question, answerable at once, and the others folded. `fieldsFor(question)` gives its fields. */
export function showQuestions(questions, { fieldsFor, tell }) {
  const asked = (questions ?? []).map((question) => {
    const fields = fieldsFor(question);
    return el(
      "div",
      { class: "question", "data-about": question.about },
      el(
        "p",
        {},
        el("strong", {}, question.text),
        " ",
        say("question.narrows", { db: number(question.narrows_db, 1) }),
      ),
      el("p", { class: "where" }, question.where),
      fields.length ? answerForm(fields, { tell }).node : null,
    );
  });
  const [best, ...others] = asked;
  fill(
    byId("questions"),
    best ? el("h3", {}, say("question")) : null,
    best,
    others.length
      ? el("details", {}, el("summary", {}, say("question.others", { count: others.length })), others)
      : null,
  );
}

/** Show the findings that are neither the verdict nor said by a drawing. */
export function showFindings(findings) {
  fill(
    byId("findings"),
    findings
      .filter((finding) => !isVerdict(finding))
      .map((finding) => el("p", { "data-code": finding.code }, finding.text)),
  );
}

/** Beginnings of the codes of findings that say why one part of a grade is what it is. */
const REASONS = { power: /^power/, load: /^(load|current|tap)/, noise: /^(hiss|hum|noise)/ };

/** Return the finding behind a grade: that of the part which decided it. */
function reason({ grade, grade_parts: parts, findings }) {
  const decided = Object.keys(REASONS).find((part) => parts[part] === grade);
  return (findings.find((finding) => REASONS[decided]?.test(finding.code)) ?? findings[0])?.text;
}

/** Show the amplifiers in their order, grade in words and the reason for it, and a form that adds one. */
export function showAmplifiers(match, { fields, add }) {
  const ranking = match?.ranking ?? [];
  const compared = ranking.length > 1;
  byId("amplifiers").hidden = ranking.length === 0;
  fill(
    byId("ranking"),
    ranking.map((each) =>
      el(
        "li",
        { value: each.rank },
        el("strong", {}, compared ? each.name : say("amplifiers.yours")),
        ": ",
        term("grade", each.grade),
        ". ",
        reason(each),
      ),
    ),
  );
  if (byId("another").contains(document.activeElement)) return; // somebody is filling it in
  const form = answerForm(fields, { tell: add, button: say("amplifiers.add") });
  fill(
    byId("another"),
    fields.length ? el("details", {}, el("summary", {}, say("amplifiers.another")), form.node) : null,
  );
}

/** Show cautions: on screen a line each that unfolds, on paper the whole text. */
export function showCautions(cautions) {
  fill(
    byId("cautions"),
    cautions.map(({ code, text }) => {
      const end = text.search(/[.](\s|$)/) + 1;
      const [first, rest] = [text.slice(0, end || undefined), end ? text.slice(end).trim() : ""];
      return rest
        ? el("details", { "data-code": code }, el("summary", {}, first), el("p", {}, rest))
        : el("p", { "data-code": code }, first);
    }),
  );
}

/** Show where to hold the tape for the proposal. */
export function showTape(node, placed, { useIt, leaveIt }) {
  if (!placed) return fill(node);
  fill(
    node,
    el("h3", {}, say("tape")),
    leaveIt ? el("p", {}, leaveIt) : null,
    el(
      "ol",
      {},
      placed.tape_measure.map((mark) =>
        el(
          "li",
          { value: mark.mark },
          say("tape.from_to", { start: mark.measure_from, end: mark.measure_to }),
          " ",
          el("strong", {}, tape(mark.cm / 100)),
        ),
      ),
    ),
    placed.tolerance_cm ? el("p", { class: "hint" }, tolerance(placed.tolerance_cm)) : null,
    el("button", { type: "button", id: "use-proposal", onclick: useIt }, say("tape.use")),
  );
}

function tolerance({ front_wall_distance: front, spacing, seat }) {
  const said = {
    front: tape(front / 100),
    spacing: spacing === null ? "" : tape(spacing / 100),
    seat: tape(seat / 100),
  };
  return say(spacing === null ? "tape.tolerance_one" : "tape.tolerance", said);
}

/** Show what is folded: limits, levels by octave, the room's times, and the request as JSON. */
export function showDetails({ level, room }, request) {
  const bands = level.bands;
  const rows = [
    [say("bands.direct"), bands.direct_db, 0],
    [say("bands.reverberant"), bands.reverberant_db, 0],
    [say("bands.level"), bands.level_db, 0],
    [say("bands.time"), room?.used_s, 2],
  ].filter(([, values]) => values);
  const open = new Set([...byId("details").querySelectorAll("details[open]")].map((node) => node.id));
  const folded = (id, title, ...inside) => el("details", { id, open: open.has(id) }, el("summary", {}, title), inside);
  fill(
    byId("details"),
    folded(
      "levels",
      say("levels"),
      el(
        "dl",
        {},
        [
          ["levels.short_peak", level.short_peak_db],
          ["levels.steady_peak", level.peak_spl_db],
          ["levels.needed", level.peak_target_db],
          ["levels.headroom", level.headroom_db],
          ["levels.uncertainty", level.headroom_uncertainty_db],
        ].map(([key, db]) => [el("dt", {}, say(key)), el("dd", {}, `${number(db, 1)} dB`)]),
        level.limits.map((limit) => [el("dt", {}, limit.text), el("dd", {}, `${number(limit.peak_spl_db, 1)} dB`)]),
      ),
    ),
    folded(
      "bands",
      say("bands"),
      el(
        "div",
        { class: "wide", tabindex: 0, role: "region", "aria-label": say("bands") },
        el(
          "table",
          {},
          el(
            "thead",
            {},
            el(
              "tr",
              {},
              el("th", { scope: "col" }, "Hz"),
              bands.octaves_hz.map((hz) => el("th", { scope: "col" }, number(hz))),
            ),
          ),
          el(
            "tbody",
            {},
            rows.map(([name, values, decimals]) =>
              el(
                "tr",
                {},
                el("th", { scope: "row" }, name),
                values.map((value) => el("td", {}, number(value, decimals))),
              ),
            ),
          ),
        ),
      ),
    ),
    folded(
      "json",
      say("json"),
      el("p", {}, say("json.intro")),
      el("pre", { tabindex: 0, role: "region", "aria-label": say("json") }, JSON.stringify(request, null, 1)),
    ),
  );
}
