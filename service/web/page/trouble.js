// What went wrong, said where it belongs: a service that is gone, facts that it refused.

import { byId } from "./build.js";
import { listFaults, showFaults } from "./controls.js";
import { say } from "./words.js";

const TRY_AGAIN_AFTER_MS = 3000;

let retry = null;

/** Say that the service is gone, and try again after a while or when asked to. */
export function showGone(again) {
  const gone = byId("gone");
  gone.hidden = false;
  // the words may be missing too: this one sentence stands in the page itself
  if (!gone.textContent.trim()) gone.firstElementChild.textContent = "The service does not answer.";
  byId("again").onclick = again;
  clearTimeout(retry);
  retry = setTimeout(again, TRY_AGAIN_AFTER_MS);
}

/** Show faults at their controls, those of places at the plan, and the others in a list. */
export function showRefused(faults, { controls, fieldAt, isFirst }) {
  byId("gone").hidden = true;
  document.body.classList.add("refused");
  byId("before").textContent = say(isFirst ? "refused.first" : "refused");
  const others = showFaults(faults, controls, fieldAt);
  const ofPlan = others.filter((fault) => fault.pointer.startsWith("/positions"));
  const rest = others.filter((fault) => !ofPlan.includes(fault));
  listFaults(byId("plan-fault"), isFirst ? [] : ofPlan, () => null);
  listFaults(byId("other-faults"), isFirst ? others : rest, fieldAt);
}

/** Take back all that was said of troubles. */
export function showNoTrouble({ controls, fieldAt }) {
  clearTimeout(retry);
  byId("gone").hidden = true;
  document.body.classList.remove("refused");
  showFaults([], controls, fieldAt);
  byId("other-faults").replaceChildren();
  byId("plan-fault").replaceChildren();
}
