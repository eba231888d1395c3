// What the page says, in the language of whoever acts.

import { get } from "./server.js";

const learnt = new Map(); // by studio and language
let texts = {};
let plural = new Intl.PluralRules("en");

/** Reads the words of a studio in a language; without either those of the
 * program in the browser's. */
export async function learn(studio = "", lang = "") {
  const key = studio + " " + lang;
  if (!learnt.has(key)) learnt.set(key, await get("api/words", { studio }, lang));
}

/** Lets the page speak words that were learnt. */
export function speak(studio = "", lang = "") {
  const words = learnt.get(studio + " " + lang);
  texts = words.texts;
  document.documentElement.lang = words.lang;
  plural = new Intl.PluralRules(words.lang);
  for (const node of document.querySelectorAll("[data-say]")) node.textContent = say(node.dataset.say);
  for (const node of document.querySelectorAll("[data-label]")) node.setAttribute("aria-label", say(node.dataset.label));
}

/** The locale of dates and numbers; English has the day before the month. */
export const locale = () => (document.documentElement.lang === "en" ? "en-GB" : document.documentElement.lang);

/** Returns a message with its placeholders filled. */
export const say = (id, values = {}) => fill(texts[id]?.other, values);

/** Returns a message in the plural form of n. */
export const count = (id, n, values = {}) => fill(texts[id]?.[plural.select(n)] ?? texts[id]?.other, { n, ...values });

/** Before any words are known there are none to say. */
const fill = (text = "…", values) => text.replace(/\{([a-z-]+)\}/g, (whole, name) => values[name] ?? whole);
