// Talking with the server.

/** What the server refused, in one sentence for people. */
export class Refusal extends Error {
  constructor(status, sentence) {
    super(sentence);
    this.status = status;
  }
}

const unreachable = "The room can't be reached just now.";

async function ask(path, options) {
  let response;
  try {
    response = await fetch(path, { credentials: "same-origin", cache: "no-store", ...options });
  } catch {
    throw new Refusal(0, unreachable);
  }
  if (response.status === 304 || response.ok) return response;
  let sentence = unreachable;
  try {
    sentence = (await response.json()).error;
  } catch { /* not from the room itself */ }
  throw new Refusal(response.status, sentence);
}

/** Returns the path with its query. */
export function pathOf(path, query) {
  return path + "?" + new URLSearchParams(query);
}

export async function get(path, query = {}) {
  return (await ask(pathOf(path, query), {})).json();
}

/** Returns {tag, value}, or null if what the tag stands for is still so. */
export async function getIfNew(path, query, tag) {
  const response = await ask(pathOf(path, query), { headers: tag ? { "If-None-Match": tag } : {} });
  if (response.status === 304) return null;
  return { tag: response.headers.get("ETag"), value: await response.json() };
}

export async function post(path, body) {
  const headers = { "Content-Type": "application/json" };
  return (await ask(path, { method: "POST", headers, body: JSON.stringify(body) })).json();
}

/** Returns an id for a draft, so that offering it again counts once. */
export function newDraft() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}
