/**
 * What the desk has read of the text, kept in step with it while it is edited: each reading came for a text that may be
 * some keystrokes old, so its places are moved by the edits made since.
 */

import { marksIn } from "./marks.js";
import { moved, movedAll } from "./spans.js";

const START = "rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq - 0 1";

/** Moves below this probability are shown as unsure. */
const SURE = 0.9;
/** Characters between two moves that are said in one breath: the second one's number needn't be said. */
const ONE_BREATH = 14;
/** How wide a character of a figurine is, in characters of the text below it. */
const SMALLER = 0.75;

/**
 * A move (with `san` and the rest) or a return (with `to`).
 *
 * @typedef {import("./to_manuscript").MoveShown & import("./to_manuscript").ReturnShown} Both
 * @typedef {Partial<Both> & {a: number, z: number, sure: number, fig: string, fen: string}} Step
 */

export class Reading {
  constructor() {
    this.serial = 0;
    /** Edits since each text that is being read, by its serial. */
    this.since = new Map();
    this.texts = new Map();
    /** @type {Step[]} */
    this.steps = [];
    /** @type {import("./to_manuscript").UnreadShown[]} */
    this.unread = [];
    /** @type {import("./to_manuscript").FindingShown[]} */
    this.found = [];
    /** @type {import("./to_manuscript").PlaceShown[]} */
    this.questions = [];
    this.start = START;
    this.side = "";
    this.opening = "";
    this.newest = 0;
  }

  /** A text goes out to be read or saved; returns its serial. */
  begin(text) {
    this.serial += 1;
    this.since.set(this.serial, []);
    this.texts.set(this.serial, text);
    for (const old of this.since.keys()) {
      if (old < this.serial - 40) {
        this.since.delete(old);
        this.texts.delete(old);
      }
    }
    return this.serial;
  }

  textOf(serial) {
    return this.texts.get(serial);
  }

  current(serial) {
    return serial >= this.newest && this.since.has(serial);
  }

  edited(edit) {
    for (const edits of this.since.values()) edits.push(edit);
    const shift = (spans) => movedAll(spans, [edit]);
    this.steps = shift(this.steps);
    this.unread = shift(this.unread);
    this.found = shift(this.found);
    this.questions = shift(this.questions);
  }

  movedBy(span, edit) {
    return moved(span, edit);
  }

  /** A first look that ends before the talk does: what comes after it stays as it was. */
  peek(/** @type {import("./to_manuscript").Peek} */ message) {
    if (!this.current(message.serial)) return false;
    const edits = this.since.get(message.serial);
    const until = movedAll([{ a: message.until, z: message.until }], edits)[0]?.a;
    if (until === undefined) return false;
    const early = movedAll(message.steps, edits);
    this.steps = [...early, ...this.steps.filter((step) => step.a >= until)];
    return true;
  }

  walk(/** @type {import("./to_manuscript").WalkRead} */ message) {
    if (!this.current(message.serial)) return false;
    this.newest = message.serial;
    const edits = this.since.get(message.serial);
    this.steps = movedAll(message.steps, edits);
    this.unread = movedAll(message.unread, edits);
    this.start = message.start;
    this.side = message.side;
    this.opening = message.opening;
    return true;
  }

  findings(/** @type {import("./to_manuscript").Findings} */ message) {
    if (!this.current(message.serial)) return null;
    const edits = this.since.get(message.serial);
    this.found = movedAll(message.findings, edits);
    this.questions = movedAll(message.questions, edits);
    return { findings: this.found, questions: this.questions };
  }

  /** A move just written from the board, before the desk has read it. */
  played(a, z, /** @type {import("./to_manuscript").Spelled} */ message) {
    const step = { a, z, fig: message.fig, ear: message.words.at(-1), fen: message.fen, sure: 1, doubt: "", san: "…" };
    const at = this.steps.findIndex((other) => other.a >= a);
    this.steps.splice(at < 0 ? this.steps.length : at, 0, step);
  }

  /** How many steps are done where the cursor stands: the one whose words it is in, too. */
  doneAt(cursor) {
    let done = 0;
    for (const [i, step] of this.steps.entries()) if (step.a < cursor) done = i + 1;
    return done;
  }

  /** What is on the board after so many steps. */
  positionAfter(done) {
    const step = this.steps[done - 1];
    if (!step) return { fen: this.start, title: "", place: this.steps[0]?.a ?? 0 };
    if (step.san) return { fen: step.fen, title: step.fig, place: step.a, last: step.uci };
    return { fen: step.to ?? this.start, title: this.titleOf(step), place: step.a };
  }

  /** A return's title: the move that led to the position it goes back to. */
  titleOf(step) {
    return this.steps.find((other) => other.san && other.fen === step.to)?.fig ?? "";
  }

  /** The stretch of text in which a position stands on the board. */
  moment(done, text) {
    return { from: this.steps[done - 1]?.z ?? 0, to: this.steps[done]?.a ?? text.length };
  }

  marksAfter(done, text) {
    const { from, to } = this.moment(done, text);
    return marksIn(text, from, Math.max(from, to)).flatMap((held) =>
      held.items.map((item) => ({ shape: held.shape, squares: item.split("-") })),
    );
  }

  /** What the mirror shows: moves in figurines, returns, what is unsure, unread or fails. */
  decorations() {
    const out = [];
    for (const [i, step] of this.steps.entries()) {
      if (step.a === step.z) continue;
      const sure = step.sure >= SURE;
      if (step.san) out.push({ a: step.a, z: step.z, key: `s${i}`, cls: sure ? "mv" : "mv unsure", fig: this.figure(i) });
      else out.push({ a: step.a, z: step.z, key: `s${i}`, cls: sure ? "ret" : "ret unsure" });
    }
    for (const [i, place] of this.unread.entries()) out.push({ a: place.a, z: place.z, key: `u${i}`, cls: "unread" });
    for (const [i, f] of this.found.entries()) {
      if (f.kind !== "unread" && f.kind !== "unsure") out.push({ a: f.a, z: f.z, key: `f${i}`, cls: `said-${f.verdict}` });
    }
    return out.sort((a, b) => a.a - b.a || b.z - a.z);
  }

  /**
   * The figurine of a step, without its number where that goes without saying: Black's answer said in the same breath,
   * and any next move said so close that two numbers would run into each other.
   */
  figure(i) {
    const step = this.steps[i];
    const before = this.steps[i - 1];
    if (!before?.san || step.before !== before.fen) return step.fig;
    const gap = step.a - before.z;
    if (gap < ONE_BREATH && /^\d+\.\.\./.test(step.fig)) return step.fig.replace(/^\d+\.\.\./, "");
    return step.a - before.a < before.fig.length * SMALLER + 1 ? step.fig.replace(/^\d+\./, "") : step.fig;
  }
}
