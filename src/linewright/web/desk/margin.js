/** The notes in the margin, each beside the sentence that it belongs to. */

import { byId, make } from "./dom.js";
import { filled } from "./stacking.js";

/** Milliseconds without a key after which notes are moved. */
const RESTED = 140;
/** Where the window is so wide that notes stand beside the text. */
export const WIDE = matchMedia("(min-width: 1180px)");

/** A position named in an unread place's reason: here the board shows it. */
const POSITION = /: position \S+ [wb] \S+ \S+ \d+ \d+$/;

const NAMES = { holds: "holds", fails: "fails", undecided: "undecided", unread: "not read", unsure: "unsure" };

export class Margin {
  /**
   * @param {HTMLElement} margin  the column; its first child is the evidence card, its list holds the notes.
   * @param {import("./manuscript.js").Manuscript} manuscript
   * @param {{settle: (question: any) => void, stand: ((note: any) => void) | null}} host  `stand`: let a finding
   *   stand; null where the talk can't say so.
   */
  constructor(margin, manuscript, host) {
    this.margin = margin;
    this.manuscript = manuscript;
    this.host = host;
    this.card = /** @type {HTMLElement} */ (margin.querySelector(".evidence"));
    this.list = /** @type {HTMLElement} */ (margin.querySelector("ol"));
    this.count = byId("count");
    this.notes = [];
    this.at = 0;
    new ResizeObserver(() => this.later()).observe(this.card);
    WIDE.addEventListener("change", () => this.later());
    addEventListener("resize", () => this.later());
  }

  /** Show findings and open questions. */
  show(findings, questions) {
    const notes = [
      ...findings.filter((f) => f.kind !== "unsure" || !questions.some((q) => q.a === f.a)),
      ...questions.filter((q) => !findings.some((f) => f.kind === "unread" && f.a === q.a)).map((q) => ({ ...q, question: q })),
    ];
    for (const note of notes) note.question ??= questions.find((q) => q.a === note.a);
    notes.sort((a, b) => a.a - b.a || a.z - b.z);
    this.notes = notes;
    this.list.replaceChildren(...notes.map((note) => (note.element = this.element(note))));
    const wrong = findings.filter((f) => f.verdict === "fails").length;
    this.count.textContent = [
      wrong ? `${wrong} ${wrong === 1 ? "claim fails" : "claims fail"}` : "",
      questions.length ? `${questions.length} ${questions.length === 1 ? "place is" : "places are"} unsure` : "",
    ].filter(Boolean).join(", ");
    this.later();
  }

  element(note) {
    const kind = note.verdict && note.kind !== "unread" && note.kind !== "unsure" ? note.kind : "";
    const state = kind ? note.verdict : note.kind === "unread" ? "unread" : "unsure";
    const settle = note.question
      ? make("button", { type: "button", class: "settle-it", onclick: () => this.host.settle(note.question) }, "settle")
      : null;
    const stand =
      kind && state !== "holds" && this.host.stand
        ? make("button", { type: "button", class: "settle-it", onclick: () => this.host.stand?.(note) }, "let it stand")
        : null;
    return make(
      "li",
      { class: `note ${state}` },
      make(
        "p",
        {},
        make("b", {}, `${kind ? `${kind} ` : ""}${NAMES[state]}`),
        settle ? " " : "",
        settle,
        stand ? " " : "",
        stand,
      ),
      make(
        "p",
        {},
        make("button", { type: "button", class: "go", onclick: () => this.manuscript.goTo(note.z) }, `“${note.words}”`),
      ),
      note.evidence ? make("p", { class: "why" }, note.evidence.replace(POSITION, "")) : null,
    );
  }

  /** The text was edited: notes go with their words, or fade when those were changed. */
  edited(moved) {
    for (const note of this.notes) {
      const now = moved(note);
      if (now) Object.assign(note, { a: now.a, z: now.z });
      else note.element.classList.add("stale");
      if (now && note.question) Object.assign(note.question, { a: now.a, z: now.z });
    }
    this.atRest();
  }

  /** The evidence stands by this place. */
  follow(at) {
    if (at === this.at) return;
    this.at = at;
    this.atRest();
  }

  /** Lay out once the keys rest: typing comes first. */
  atRest() {
    clearTimeout(this.rest);
    this.rest = setTimeout(() => this.later(), RESTED);
  }

  /** Lay out when the browser has time: never while a key is handled. */
  later() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => {
      this.waiting = false;
      this.layOut();
    });
  }

  layOut() {
    const notes = this.notes.filter((note) => note.element.isConnected);
    if (!WIDE.matches) {
      for (const element of [this.card, ...notes.map((note) => note.element)]) element.style.removeProperty("top");
      return;
    }
    const zero = this.margin.getBoundingClientRect().top + scrollY;
    const row = (element, at) => ({
      wanted: Math.max(0, this.manuscript.topOf(at) - zero),
      height: element.offsetHeight,
    });
    const tops = filled(notes.map((note) => row(note.element, note.a)), row(this.card, this.at));
    this.card.style.top = `${tops.card}px`;
    for (const [i, note] of notes.entries()) note.element.style.top = `${tops.notes[i]}px`;
  }
}
