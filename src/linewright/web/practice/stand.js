/** The board of the page and what is written beside it. */

import { shared } from "./judge.js";

/** Milliseconds between the moves that lead to a position; none where movement is not wanted. */
const BEAT = 420;

/** The page's element of a name, of whatever kind its template makes it. @returns {any} */
export const $ = (id) => document.getElementById(id);

export class Stand {
  /** @param {import("../board/board.js").Board} board */
  constructor(board) {
    this.board = board;
    this.start = "";
    /** @type {string[]} */
    this.line = [];
    this.turn = 0;
  }

  /** Plays from what is shown to a drill's position, and resolves when it stands. False where another show began. */
  async lead(drill) {
    const turn = ++this.turn;
    const same = this.start === drill.start ? shared(this.line, drill.line) : 0;
    const going = this.start === drill.start && same === this.line.length && drill.line.length - same <= 12;
    this.board.setAttribute("side", drill.side);
    this.board.setAttribute("can", "walk");
    this.start = drill.start;
    this.line = drill.line;
    if (going && !still()) {
      this.board.show({ fen: this.fenAfter(drill, same), marks: [], glide: false });
      for (const uci of drill.line.slice(same)) {
        await pause(BEAT);
        if (turn !== this.turn) return false;
        this.board.play(uci);
      }
    }
    this.board.show({ fen: drill.fen, marks: [], last: drill.line.at(-1) ?? "", glide: going });
    return true;
  }

  fenAfter(drill, count) {
    let position = Linewright.Position.of(drill.start);
    for (const uci of drill.line.slice(0, count)) position = position.play(position.byUci(uci));
    return position.fen;
  }

  /** Shows moves from a drill's position, one after the other, and leaves the last standing. */
  async show(drill, moves) {
    const turn = ++this.turn;
    this.board.show({ fen: drill.fen, marks: [], glide: false });
    for (const text of moves) {
      if (!still()) await pause(BEAT);
      if (turn !== this.turn) return;
      this.board.play(text);
    }
  }

  /** The position of a drill again, at once. */
  reset(drill, marks = []) {
    this.turn++;
    this.board.show({ fen: drill.fen, marks, last: drill.line.at(-1) ?? "", glide: false });
  }
}

export const still = () => matchMedia("(prefers-reduced-motion: reduce)").matches;
const pause = (wait) => new Promise((done) => setTimeout(done, wait));
