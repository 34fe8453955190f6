/** What the desk writes into the text for the trainer: moves, marks, sources, dictated phrases, notes to let stand. */

import { cleared, toggled } from "./marks.js";

export class Writing {
  /**
   * @param {import("./manuscript.js").Manuscript} manuscript
   * @param {import("./reading.js").Reading} reading
   */
  constructor(manuscript, reading) {
    this.manuscript = manuscript;
    this.reading = reading;
  }

  /** Moves as the trainer writes them, behind the word that the cursor is in. */
  moves(/** @type {import("./to_manuscript").Spelled} */ message) {
    const { text, cursor } = this.manuscript;
    const { from, to, insert, words } = movesInserted(text, cursor, message, (end) => {
      return this.reading.steps[this.reading.doneAt(cursor) - 1]?.z === end;
    });
    this.manuscript.replace(from, to, insert);
    const end = from + insert.length;
    this.manuscript.select(end);
    this.reading.played(end - words, end, message);
  }

  /** Where a quoted game is from, in brackets. */
  source(words) {
    const at = endOfWord(this.manuscript.text, this.manuscript.cursor);
    const insert = ` (${words})`;
    this.manuscript.replace(at, at, insert);
    this.manuscript.goTo(at + insert.length);
  }

  /** A mark drawn on the board; drawn again it goes. */
  mark(mark) {
    const { from, to } = this.moment();
    const change = toggled(this.manuscript.text, from, to, this.manuscript.cursor, mark);
    this.manuscript.replace(change.from, change.to, change.insert);
  }

  /** Takes all marks of the position away. */
  wipe() {
    const { from, to } = this.moment();
    const change = cleared(this.manuscript.text, from, to);
    if (change) this.manuscript.replace(change.from, change.to, change.insert);
  }

  /** Says behind a finding's sentence that it is meant so (see the README, {stet}). */
  letStand(note) {
    const { text } = this.manuscript;
    const found = /[.!?…]["”’)]*(?=\s|$)|\n|$/.exec(text.slice(note.z - 1));
    const at = note.z - 1 + (found ? found.index + found[0].trimEnd().length : text.length);
    this.manuscript.replace(at, at, ` {stet: ${note.kind}}`);
  }

  /** A phrase that was heard; returns where its words stand. */
  phrase(words) {
    const at = endOfWord(this.manuscript.text, this.manuscript.cursor);
    const before = this.manuscript.text.slice(0, at);
    const space = !before || /\s$/.test(before) ? "" : " ";
    this.manuscript.replace(at, at, space + words);
    const z = at + space.length + words.length;
    this.manuscript.select(z);
    this.manuscript.show(z);
    return { a: z - words.length, z };
  }

  /** The stretch of text in which the position on the board stands. */
  moment() {
    return this.reading.moment(this.reading.doneAt(this.manuscript.cursor), this.manuscript.text);
  }
}

/**
 * How moves are written at a place of a text: with a capital where a sentence begins, with a comma after another move
 * in words.
 *
 * @param {string} text
 * @param {number} cursor
 * @param {{words: string[], notation: boolean}} moves
 * @param {(end: number) => boolean} moveEndsAt  whether the move before ends at this place.
 * @returns {{from: number, to: number, insert: string, words: number}} the change, and how many characters its moves have.
 */
export function movesInserted(text, cursor, moves, moveEndsAt) {
  const at = endOfWord(text, cursor);
  const before = text.slice(0, at).trimEnd();
  const fresh = !before || /[.!?…:]["”’)]*$/.test(before) || /\n\s*$/.test(text.slice(0, at));
  let words = moves.words.join(moves.notation ? " " : ", ");
  if (fresh && !moves.notation) words = words[0].toUpperCase() + words.slice(1);
  const joint = !fresh && before && moveEndsAt(before.length) && !moves.notation ? "," : "";
  const space = at === 0 || /\s$/.test(text.slice(0, at)) ? "" : " ";
  return { from: joint ? before.length : at, to: at, insert: `${joint}${joint ? " " : space}${words}`, words: words.length };
}

/** The end of the word that a place of a text lies in. */
export function endOfWord(text, at) {
  if (at === 0 || /\s/.test(text[at - 1])) return at;
  return at + (/^[^\s.,;:!?…]*/.exec(text.slice(at))?.[0].length ?? 0);
}

/** The sentence around a place of a text. */
export function sentenceAt(text, at) {
  const before = text.slice(0, at).search(/[^.!?\n]*$/);
  const after = text.slice(at).search(/[.!?\n]|$/);
  return text.slice(before, at + after + 1).trim();
}
