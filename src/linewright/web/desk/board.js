/** The board beside the manuscript: shows a position with its marks, tells moves and marks made on it. */

import "/element/index.js";
import { make } from "./dom.js";

export class Board {
  /**
   * @param {HTMLElement} place
   * @param {boolean} marking  marks can be kept in this talk.
   * @param {{move: (uci: string) => void, mark: (mark: import("./marks.js").Mark) => void}} host
   */
  constructor(place, marking, host) {
    this.element = make("lw-board", { can: marking ? "move mark" : "move", label: "Board" });
    this.element.addEventListener("lw-move", (event) => host.move(event.detail.uci));
    this.element.addEventListener("lw-mark", (event) => host.mark(event.detail.mark));
    place.append(this.element);
    this.sign = "";
    this.turned = false;
  }

  /** Show a position, its marks and the move that led to it (UCI, "" for none). */
  show(fen, marks, last = "") {
    const sign = JSON.stringify([fen, marks, last]);
    if (sign === this.sign && this.element.fen === fen) return;
    this.sign = sign;
    this.element.show({ fen, marks, last });
  }

  /** The mark that pointing draws; "" when pointing moves. */
  set shape(shape) {
    if (shape) this.element.setAttribute("marking", shape);
    else this.element.removeAttribute("marking");
  }

  /** Look from the lesson's side, until the trainer turns the board. */
  face(side) {
    if (!this.turned && side) this.element.side = side;
  }

  turn() {
    this.turned = true;
    this.element.side = this.element.side === "black" ? "white" : "black";
  }

  focus() {
    this.element.focus();
  }
}
