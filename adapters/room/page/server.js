// Talking with the server.

import { say } from "./words.js";

/** What the server refused, in one sentence for people. */
export class Refusal extends Error {
  constructor(status, sentence) {
    super(sentence);
    this.status = status;
  }
}

/** Asks for an answer in a language, or in the page's. */
async function ask(path, { headers = {}, ...options }, lang = document.documentElement.lang) {
  let response;
  if (lang) headers["Accept-Language"] = lang;
  try {
    response = await fetch(path, { credentials: "same-origin", cache: "no-store", headers, ...options });
  } catch {
    throw new Refusal(0, say("room.unreachable"));
  }
  if (response.status === 304 || response.ok) return response;
  throw new Refusal(response.status, sentenceOf(await response.text()));
}

/** Returns the path with its query. */
export function pathOf(path, query) {
  return path + "?" + new URLSearchParams(query);
}

export async function get(path, query = {}, lang = undefined) {
  return (await ask(pathOf(path, query), {}, lang)).json();
}

/** Returns {tag, value}, or null if what the tag stands for is still so. */
export async function getIfNew(path, query, tag) {
  const response = await ask(pathOf(path, query), { headers: tag ? { "If-None-Match": tag } : {} });
  if (response.status === 304) return null;
  return { tag: response.headers.get("ETag"), value: await response.json() };
}

export async function post(path, body) {
  const headers = { "Content-Type": "application/json" };
  return (await ask(pathOf(path, body.studio ? { studio: body.studio } : {}), { method: "POST", headers, body: JSON.stringify(body) })).json();
}

/** Sends a message with a file, and tells how much of it is gone, 0 to 1. */
export function upload(path, body, file, progress) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open("POST", pathOf(path, { studio: body.studio }));
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.setRequestHeader("Accept-Language", document.documentElement.lang);
    request.upload.onprogress = (e) => progress(e.loaded / e.total);
    request.onerror = () => reject(new Refusal(0, say("room.unreachable")));
    request.onload = () => {
      if (request.status === 200) resolve();
      else reject(new Refusal(request.status, sentenceOf(request.responseText)));
    };
    request.send(new Blob([JSON.stringify(body) + "\n", file]));
  });
}

function sentenceOf(text) {
  try {
    return JSON.parse(text).error;
  } catch {
    return say("room.unreachable"); // not from the room itself
  }
}

/** Returns an id for a draft, so that offering it again counts once. */
export function newDraft() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}
