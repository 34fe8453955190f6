/** The desk's dialogs: games that may be meant, earlier versions, what to build. */

import { ask, make } from "./dom.js";
import { get } from "./live.js";

/**
 * The games that words may mean.
 *
 * @param {import("./to_manuscript").Quoted} message
 * @param {(words: string) => void} write  writes a game's source into the text.
 */
export function showQuoted({ games, trouble }, write) {
  const rows = games.map((game) =>
    make(
      "li",
      {},
      make("p", {}, make("b", {}, game.heading), ` ${game.result}${game.fits ? "" : ", only near"}`),
      game.differences.length ? make("p", { class: "why" }, game.differences.join("; ")) : null,
      make("button", { type: "button", onclick: (event) => {
        event.target.closest("dialog").close("");
        write(game.heading);
      } }, "write its source"),
    ),
  );
  const content = rows.length ? make("ul", {}, rows) : make("p", {}, trouble || "No game in the base fits.");
  ask("Games that may be meant", content, [["", "Close"]]);
}

/** An earlier version of a talk to put back; null for none. @returns {Promise<string | null>} */
export async function chooseVersion(talk) {
  const kept = await get(`/versions/${encodeURI(talk)}`);
  const list = make("div", { class: "versions", role: "radiogroup", "aria-label": "Versions" });
  const shown = make("pre", { class: "version", tabindex: "0" }, "Choose a version to read it.");
  /** @type {string | null} */
  let text = null;
  for (const [i, one] of kept.entries()) {
    const input = make("input", { type: "radio", name: "version", id: `v${i}` });
    input.addEventListener("change", async () => {
      text = (await get(`/version/${encodeURI(talk)}?version=${one.version}`)).text;
      shown.textContent = text;
    });
    const when = new Date(one.time * 1000).toLocaleString("en", { dateStyle: "medium", timeStyle: "short" });
    list.append(make("p", {}, input, make("label", { for: `v${i}` }, ` ${when}, ${one.size} bytes, ${one.why}`)));
  }
  const answer = await ask("Earlier versions", make("div", {}, list, shown), [["yes", "Put it back"], ["", "Close"]]);
  return answer === "yes" ? text : null;
}

/** What to build: "lesson", "film" (the lesson with it), "" for nothing. @returns {Promise<string>} */
export function askBuild() {
  return ask(
    "Build the lesson",
    make("p", {}, "Page, hand-out, PGN, key positions; for captions also corrected ones and chapters. The film takes a fraction of the talk’s length."),
    [["lesson", "Build"], ["film", "Build with film"], ["course", "Build the folder’s course"], ["", "Not now"]],
  );
}
