/** Settling a doubtful place: its words, how it is read, what else it may mean, and a field for anything else. */

import { make } from "./dom.js";

/** Letters of written moves as figurines. */
const FIGURINES = { K: "♔", Q: "♕", R: "♖", B: "♗", N: "♘" };
const fig = (san) => san.replace(/[KQRBN]/g, (letter) => FIGURINES[letter]);

export class Settling {
  /**
   * @param {HTMLElement} place  the panel.
   * @param {{answer: (first: number, answer: any) => void, closed: () => void, undo: () => void}} host
   */
  constructor(place, host) {
    this.place = place;
    this.host = host;
    /** The word that the place in question begins at. */
    this.first = 0;
    place.addEventListener("keydown", (event) => {
      if (event.key === "Escape") this.close();
      const number = Number(event.key);
      if (!(event.target instanceof HTMLInputElement) && event.key.trim() && number >= 0 && number <= 9) {
        /** @type {HTMLElement | null} */ (place.querySelector(`[data-number="${number}"]`))?.click();
      }
    });
  }

  /** Show a question. @param {import("./to_manuscript").QuestionAsked} question */
  show(question) {
    if (question.error) {
      this.say(question.error);
      return;
    }
    this.first = question.first;
    const place = question.places[0];
    const choices = question.choices.map((moves, i) => {
      const words = moves.length ? moves.map((m) => fig(m.san)).join(" ") : "no move, only mentioned";
      return make(
        "button",
        { type: "button", "data-number": i, onclick: () => this.choose(i) },
        make("kbd", {}, String(i)),
        ` ${i === 0 ? "as read: " : ""}${words}`,
      );
    });
    const field = make("input", {
      type: "text",
      id: "settle-other",
      autocomplete: "off",
      spellcheck: "false",
      onkeydown: (event) => event.key === "Enter" && field.value.trim() && this.write(field.value),
    });
    this.trouble = make("p", { class: "trouble", role: "alert" });
    this.place.replaceChildren(
      make("h2", {}, question.kind === "return" ? "A return, unsure" : "What do these words mean?"),
      make("p", { class: "words" }, `… ${question.left.split(" ").slice(-6).join(" ")} `, make("mark", {}, place.words), ` ${question.right.split(" ").slice(0, 5).join(" ")} …`),
      make("div", { class: "choices" }, choices),
      make("p", {}, make("label", { for: "settle-other" }, "something else, as in Nf3 or several moves: "), field),
      this.trouble,
      make(
        "p",
        { class: "row" },
        make("button", { type: "button", onclick: () => this.host.undo() }, "take the last answer back"),
        make("button", { type: "button", onclick: () => this.close() }, "leave it"),
      ),
    );
    this.place.hidden = false;
    (choices[0] ?? field).focus();
    this.place.scrollIntoView({ block: "nearest" });
  }

  choose(number) {
    this.host.answer(this.first, { choose: number });
  }

  write(text) {
    this.host.answer(this.first, { moves: text.trim().split(/[\s,]+/) });
  }

  say(what) {
    if (this.trouble) this.trouble.textContent = what;
  }

  close() {
    if (this.place.hidden) return;
    this.place.hidden = true;
    this.place.replaceChildren();
    this.trouble = null;
    this.host.closed();
  }
}
