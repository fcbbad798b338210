// Questions to the service: answers, faults, or a service that is gone.

/** The service refused a request; `faults` are its errors, each with pointer, code, given and allowed. */
export class Refused extends Error {
  constructor(problem) {
    super(problem.detail ?? "");
    this.faults = problem.errors ?? [{ pointer: "", code: "", detail: problem.detail ?? "" }];
  }
}

/** Nobody answered, or somebody who is not this service. */
export class Gone extends Error {}

async function answered(path, options) {
  let response;
  try {
    response = await fetch(path, options);
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Gone(path);
  }
  if (response.ok) return response;
  const problem = response.headers.get("Content-Type")?.includes("json") ? await response.json() : {};
  if (response.status >= 500) throw new Gone(path);
  throw new Refused(problem);
}

export const get = async (path) => (await answered(path)).json();

/** Return the answer to a body. */
export async function post(path, body, { signal, accept = "application/json" } = {}) {
  const response = await answered(path, {
    method: "POST",
    headers: { "Content-Type": "application/json", Accept: accept },
    body: JSON.stringify(body),
    signal,
  });
  if (accept === "application/json") return response.json();
  return response.headers.get("Content-Type")?.startsWith(accept) ? response.blob() : null;
}

/** Ask again and again with the newest body only: one question on its way, the one before it dropped if it waits. */
export class Newest {
  #ask;
  #give;
  #waiting = null;
  #busy = false;

  /** `ask(body)` returns a promise, `give(answer, body)` takes its answer; a question that fails is left out. */
  constructor(ask, give) {
    this.#ask = ask;
    this.#give = give;
  }

  async put(body) {
    this.#waiting = body;
    if (this.#busy) return;
    this.#busy = true;
    while (this.#waiting) {
      const now = this.#waiting;
      this.#waiting = null;
      try {
        this.#give(await this.#ask(now), now);
      } catch (error) {
        if (error instanceof Refused || error instanceof Gone) continue;
        this.#busy = false;
        throw error;
      }
    }
    this.#busy = false;
  }
}
