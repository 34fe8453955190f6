/** What is done on the board by hand: pointing, dragging, drawing, going over the squares by keys, typing a move. */

import { MoveEntry } from "./entry.js";
import { nameOf, squareOf } from "./position.js";
import { PromotionChoice } from "./promotion.js";
import { Squares } from "./squares.js";
import { manWords, markWords, toggled } from "./words.js";

/** CSS pixels that a pointer moves before a press is a drag. */
const DRAG = 5;
const MARK_KEYS = { 1: "ring", 2: "dot", 3: "cross" };
const PATH_KEY = "4";

/**
 * A pointer that is down: the square it came down on; whether it draws marks; whether the man lifted before goes there
 * now (`ready`), or was lifted from there (`was`); whether it has gone far enough to drag, and where it is.
 *
 * @typedef {{id: number, square: number, marking: boolean, ready: boolean, was: boolean, x: number, y: number,
 *   far: boolean, point: number[] | null}} Press
 */

export class Hands {
  /**
   * @param {import("./board.js").Board} board
   * @param {import("./diagram.js").Diagram} diagram
   * @param {ShadowRoot} root
   * @param {(move: import("./position.js").Move, placed: number) => void} play plays a move that nobody objects to.
   */
  constructor(board, diagram, root, play) {
    this.board = board;
    this.diagram = diagram;
    this.root = root;
    this.play = play;
    this.lifted = -1;
    this.pathFrom = -1;
    /** @type {Press | null} */
    this.press = null;
    this.squares = new Squares();
    this.squares.black = diagram.black;
    this.keys = Object.assign(document.createElement("div"), { id: "keys", hidden: true });
    this.choice = new PromotionChoice(() => {
      this.putBack();
      this.squares.focus();
      this.board.announce(this.board.labels.put_back);
    });
    this.entry = new MoveEntry(
      board,
      (move) => this.offer(move, "typed"),
      () => this.squares.focus(),
    );
    root.append(this.squares.element, this.keys, this.choice.element, this.entry.element);
    this.listen(this.squares.element);
  }

  /** @param {HTMLElement} grid */
  listen(grid) {
    grid.addEventListener("keydown", (event) => this.key(event));
    grid.addEventListener("focusin", (event) => {
      const square = squareOf(/** @type {HTMLElement} */ (event.target).dataset.square ?? "");
      if (square >= 0) this.squares.roam(square);
      grid.classList.toggle("keyed", !this.press);
    });
    grid.addEventListener("pointerdown", (event) => this.down(event));
    grid.addEventListener("pointermove", (event) => this.moved(event));
    grid.addEventListener("pointerup", (event) => this.up(event));
    grid.addEventListener("pointercancel", () => this.cancel());
    grid.addEventListener("contextmenu", (event) => {
      if (this.board.may("mark") || this.board.may("move")) event.preventDefault();
    });
  }

  /** Names for the ear: of the board, of each square, of what keys do; and which men can be lifted. */
  name(label, words, own) {
    this.squares.element.ariaLabel = label;
    this.squares.tell(words, own);
    this.keys.textContent = this.board.labels.keys;
  }

  turn(black) {
    this.squares.black = black;
    this.lift(this.lifted);
  }

  // -- lifting, dropping, playing --------------------------------------------------------------------------

  lift(square) {
    this.lifted = square;
    const targets = square < 0 ? [] : [...new Set(this.board.position.from(square).map((move) => move.to))];
    this.diagram.lift(square, targets);
    this.squares.select(square);
  }

  putBack() {
    if (this.lifted >= 0) this.diagram.drag(this.lifted, null);
    this.lift(-1);
    this.pathFrom = -1;
    this.choice.element.hidden = true;
  }

  /** Tries to drop the lifted man on a square; false when it can't go there. */
  drop(square, by) {
    const fitting = this.board.position.from(this.lifted).filter((move) => move.to === square);
    if (!fitting.length) return false;
    if (fitting.length === 1) this.offer(fitting[0], by);
    else this.choose(fitting, by);
    return true;
  }

  /** Tells the host of a move by hand, and plays it unless the host says no. */
  offer(move, by) {
    const detail = this.board.detailOf(move, by);
    const held = this.squares.element.contains(this.root.activeElement);
    this.diagram.drag(this.lifted, by === "drag" ? this.press?.point : null);
    if (!this.propose("lw-move", detail)) return this.putBack();
    // The host may have shown the new position itself.
    if (this.board.fen === detail.before) this.play(move, by === "drag" ? move.to : -1);
    if (held) this.squares.focus(move.to);
    this.board.announce(detail.words);
  }

  /** An event of the board's; whether the host lets it be. */
  propose(name, detail) {
    return this.board.dispatchEvent(new CustomEvent(name, { detail, bubbles: true, composed: true, cancelable: true }));
  }

  choose(moves, by) {
    this.diagram.drag(this.lifted, null);
    this.choice.open(moves, this.board.position.turn === "w", this.board.labels, (move) => {
      this.squares.focus(move.to);
      this.offer(move, by);
    });
  }

  // -- marks -------------------------------------------------------------------------------------------------

  mark(shape, squares, by) {
    const mark = { shape, squares: squares.map(nameOf) };
    const [marks, removed] = toggled(this.board.marks, mark);
    this.marked(mark, marks, removed, by);
  }

  marked(mark, marks, removed, by) {
    const { labels } = this.board;
    const said = markWords(mark, labels);
    const words = removed ? labels.removed(said) : said;
    if (!this.propose("lw-mark", { mark, removed, words, marks, by })) return;
    this.board.show({ marks });
    this.board.announce(words);
  }

  unmark(square, by) {
    const name = nameOf(square);
    for (const mark of this.board.marks.filter((one) => one.squares.includes(name))) {
      const others = this.board.marks.filter((one) => one !== mark);
      this.marked(mark, others, true, by);
    }
  }

  // -- keys ----------------------------------------------------------------------------------------------

  /** @param {KeyboardEvent} event */
  key(event) {
    if (event.altKey || event.metaKey || (event.ctrlKey && !["Home", "End"].includes(event.key))) return;
    this.squares.element.classList.add("keyed");
    const to = this.squares.reached(event.key, event.ctrlKey);
    if (to >= 0) this.squares.focus(to);
    else if (!this.act(event.key, this.squares.focused)) return;
    event.preventDefault();
    event.stopPropagation();
  }

  /** Does what a key means on a square; false when it means nothing here. */
  act(key, square) {
    const marking = this.board.may("mark");
    if (key === "Escape") return this.escape();
    if (marking && MARK_KEYS[key]) this.mark(MARK_KEYS[key], [square], "keys");
    else if (marking && (key === PATH_KEY || (key === "Enter" && this.pathFrom >= 0))) this.path(square);
    else if (marking && (key === "Delete" || key === "Backspace")) this.unmark(square, "keys");
    else if (!this.board.may("move")) return false;
    else if (key === "Enter" || key === " ") this.enter(square);
    else if (/^[\p{L}0♔-♟]$/u.test(key)) {
      this.putBack();
      this.entry.open(key);
    } else return false;
    return true;
  }

  escape() {
    if (this.lifted < 0 && this.pathFrom < 0) return false;
    this.putBack();
    this.board.announce(this.board.labels.put_back);
    return true;
  }

  enter(square) {
    if (this.lifted >= 0 && this.drop(square, "keys")) return;
    const { labels, position } = this.board;
    const again = square === this.lifted;
    this.putBack();
    if (again) this.board.announce(labels.put_back);
    else if (position.from(square).length) {
      this.lift(square);
      this.board.announce(labels.lifted(manWords(position.men[square], labels), nameOf(square)));
    }
  }

  path(square) {
    const { labels } = this.board;
    if (this.pathFrom < 0 || this.pathFrom === square) {
      this.pathFrom = this.pathFrom === square ? -1 : square;
      this.board.announce(this.pathFrom < 0 ? labels.put_back : labels.path_begun(nameOf(square)));
      return;
    }
    this.mark("path", [this.pathFrom, square], "keys");
    this.pathFrom = -1;
  }

  // -- pointing ------------------------------------------------------------------------------------------

  /** @param {PointerEvent} event */
  down(event) {
    const square = this.squares.under(event.clientX, event.clientY);
    if (square < 0 || this.press) return;
    const pressing = event.button === 2 || (event.button === 0 && this.board.hasAttribute("marking"));
    const marking = this.board.may("mark") && pressing;
    if (!marking && (event.button !== 0 || !this.board.may("move"))) return;
    const { position } = this.board;
    const lifted = this.lifted >= 0 ? position.from(this.lifted) : [];
    const ready = !marking && lifted.some((move) => move.to === square);
    const was = this.lifted === square;
    const [x, y] = [event.clientX, event.clientY];
    this.press = { id: event.pointerId, square, marking, ready, was, x, y, far: false, point: null };
    if (!marking && !ready) {
      if (!was) this.putBack();
      if (position.from(square).length) this.lift(square);
    }
    this.squares.element.setPointerCapture(event.pointerId);
    this.squares.focus(square);
    event.preventDefault();
  }

  /** @param {PointerEvent} event */
  moved(event) {
    const { press } = this;
    if (!press || press.id !== event.pointerId || press.ready) return;
    press.far ||= Math.hypot(event.clientX - press.x, event.clientY - press.y) > DRAG;
    if (!press.far || press.marking || this.lifted < 0) return;
    press.point = this.squares.point(event.clientX, event.clientY);
    this.diagram.drag(this.lifted, press.point);
    this.squares.element.classList.add("dragging");
  }

  /** @param {PointerEvent} event */
  up(event) {
    const { press } = this;
    if (!press || press.id !== event.pointerId) return;
    const square = this.squares.under(event.clientX, event.clientY);
    this.squares.element.classList.remove("dragging");
    if (press.marking) this.drew(press, square, event);
    else if (press.ready) this.drop(press.square, "tap");
    else if (press.far && square !== press.square) {
      if (this.lifted >= 0 && !this.drop(square, "drag")) this.putBack();
    } else {
      this.diagram.drag(press.square, null);
      if (press.was) this.putBack();
    }
    this.press = null;
  }

  /**
   * A mark by pointer: a press is the chosen shape (by mouse: ring, Shift dot, Alt cross), a way is a path.
   *
   * @param {Press} press
   * @param {number} square
   * @param {PointerEvent} event
   */
  drew(press, square, event) {
    if (square < 0) return;
    const by = event.pointerType === "mouse" ? "mouse" : "touch";
    if (square !== press.square) return this.mark("path", [press.square, square], by);
    const chosen = event.shiftKey ? "dot" : event.altKey ? "cross" : this.board.getAttribute("marking") || "ring";
    this.mark(chosen in this.board.labels.marks && chosen !== "path" ? chosen : "ring", [square], by);
  }

  cancel() {
    this.press = null;
    this.squares.element.classList.remove("dragging");
    this.putBack();
  }
}
