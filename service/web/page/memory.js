// What the browser keeps between visits. One that keeps nothing is fine: the address carries the request.

import { read } from "./request.js";

export const KEPT = { own: "own-request", language: "language", units: "units" };

export function recall(name) {
  try {
    return localStorage.getItem(name);
  } catch {
    return null;
  }
}

/** Return a request that was kept, or null. */
export function recallRequest(name) {
  try {
    return read(recall(name) ?? "");
  } catch {
    return null;
  }
}

export function remember(name, value) {
  try {
    if (value === null) localStorage.removeItem(name);
    else localStorage.setItem(name, value);
  } catch {
    // nothing is kept
  }
}
