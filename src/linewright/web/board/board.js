/**
 * `<lw-board>`: a printed diagram to look at, move on and draw marks on, by mouse, touch, pen, keys and ear.
 *
 * See README.md beside this file for attributes, properties and events.
 */

import { Diagram, manPicture } from "./diagram.js";
import { ENGLISH, labelsOf } from "./labels.js";
import { Position, START, nameOf, squareOf, uciOf } from "./position.js";
import { inWords, moveOf, toSan } from "./san.js";
import { Squares } from "./squares.js";
import { sharedSheet } from "./style.js";
import { boardWords, manWords, markWords, squareWords, toggled } from "./words.js";

/** CSS pixels that a pointer moves before a press is a drag. */
const DRAG = 5;
const MARK_KEYS = { 1: "ring", 2: "dot", 3: "cross" };
const PATH_KEY = "4";

/** Where there is no page (rules alone, in Node) the module loads all the same. */
const BaseElement = globalThis.HTMLElement ?? /** @type {typeof HTMLElement} */ (/** @type {unknown} */ (class {}));
const stillness = globalThis.matchMedia?.("(prefers-reduced-motion: reduce)");

export class Board extends BaseElement {
  static observedAttributes = ["fen", "side", "can", "coordinates", "label"];

  constructor() {
    super();
    this._position = Position.of(START);
    /** @type {import("./words.js").Mark[]} */
    this._marks = [];
    this._last = "";
    this._labels = ENGLISH;
    this._lifted = -1;
    this._pathFrom = -1;
    this._press = null;
    this._diagram = new Diagram();
    this._squares = null;
    const root = this.attachShadow({ mode: "open" });
    root.adoptedStyleSheets = [sharedSheet()];
    this._live = Object.assign(document.createElement("div"), { className: "vh" });
    this._live.setAttribute("aria-live", "polite");
    root.append(this._diagram.svg, this._live);
    this._diagram.set(this._position.men);
  }

  connectedCallback() {
    this._draw(false);
  }

  attributeChangedCallback(name, _, value) {
    if (name === "fen") this.show({ fen: value ?? START, glide: false });
    if (name === "side") this._turn(value === "black");
    if (name === "can") this._open();
    if (name === "coordinates") this._diagram.setCoordinates(value !== "none");
    if (name === "label") this._tell();
  }

  // -- what hosts read and set ---------------------------------------------------------------------------

  get position() {
    return this._position;
  }

  get fen() {
    return this._position.fen;
  }

  set fen(fen) {
    this.show({ fen });
  }

  get marks() {
    return this._marks;
  }

  set marks(marks) {
    this.show({ marks });
  }

  /** The move whose squares have ticks, in UCI; "" for none. */
  get last() {
    return this._last;
  }

  set last(uci) {
    this.show({ last: uci });
  }

  get side() {
    return this._diagram.black ? "black" : "white";
  }

  set side(side) {
    this.setAttribute("side", side);
  }

  get labels() {
    return this._labels;
  }

  set labels(labels) {
    this._labels = labelsOf(labels);
    this._tell();
  }

  /**
   * Shows position, marks and last move at once; what is left out stays.
   *
   * @param {{fen?: string, marks?: import("./words.js").Mark[], last?: string, glide?: boolean}} state
   * @throws {RangeError} for a FEN that is none; nothing changes then.
   */
  show({ fen, marks, last, glide = true }) {
    if (fen !== undefined && fen !== this._written) {
      this._position = Position.of(fen);
      this._written = fen;
      this._putBack();
    }
    if (marks) this._marks = marks.map(({ shape, squares }) => ({ shape, squares: [...squares] }));
    if (last !== undefined) this._last = last;
    this._draw(glide);
  }

  /**
   * Plays a move by UCI, SAN or words without an event; null when it can't be played.
   */
  play(text) {
    const move = this._position.byUci(text) ?? moveOf(this._position, text, this._labels).move;
    if (!move) return null;
    const told = this._told(move, "host");
    this._play(move);
    return told;
  }

  /** Says something to those who listen to the board. */
  announce(text) {
    this._live.textContent = text;
  }

  focus() {
    this._squares?.focus();
  }

  // -- drawing ---------------------------------------------------------------------------------------------

  may(what) {
    return (this.getAttribute("can") ?? "").split(/\s+/).includes(what);
  }

  _draw(glide, placed = -1) {
    const diagram = this._diagram;
    diagram.set(this._position.men, glide && this.isConnected && !stillness?.matches, placed);
    diagram.tick(this._last ? [squareOf(this._last.slice(0, 2)), squareOf(this._last.slice(2, 4))] : []);
    diagram.mark(this._marks);
    this._tell();
  }

  _turn(black) {
    if (this._diagram.black === black) return;
    this._diagram.turn(black);
    if (this._squares) this._squares.black = black;
    this._lift(this._lifted);
    this._draw(false);
  }

  /** Names for the ear: of each square where the board can be walked over, else of the whole picture. */
  _tell() {
    const { svg } = this._diagram;
    const label = this.getAttribute("label") ?? this._labels.board;
    if (!this._squares || this._squares.element.hidden) {
      svg.setAttribute("role", "img");
      svg.removeAttribute("aria-hidden");
      svg.setAttribute("aria-label", `${label}. ${boardWords(this._position, this._marks, this._labels)}`);
      return;
    }
    svg.setAttribute("aria-hidden", "true");
    svg.removeAttribute("role");
    this._squares.element.ariaLabel = label;
    const own = new Set(this.may("move") ? this._position.moves.map((move) => move.from) : []);
    const words = (square) => squareWords(this._position, square, this._marks, this._labels);
    this._squares.tell(words, (square) => own.has(square));
    this.shadowRoot.getElementById("keys").textContent = this._labels.keys;
  }

  /** Builds the squares once they are needed, and hides them when nothing can be done with them. */
  _open() {
    const alive = ["move", "mark", "walk"].some((what) => this.may(what));
    if (alive && !this._squares) this._build();
    if (this._squares) this._squares.element.hidden = !alive;
    this._putBack();
    this._tell();
  }

  _build() {
    this._squares = new Squares();
    this._squares.black = this._diagram.black;
    const grid = this._squares.element;
    const keys = Object.assign(document.createElement("div"), { id: "keys", hidden: true });
    this._choice = Object.assign(document.createElement("div"), { className: "choice", hidden: true });
    this._choice.setAttribute("role", "dialog");
    this._entry = Object.assign(document.createElement("form"), { className: "entry", hidden: true });
    this._input = Object.assign(document.createElement("input"), { autocomplete: "off", spellcheck: false });
    this._entryName = document.createElement("span");
    const name = document.createElement("label");
    name.append(this._entryName, " ", this._input);
    this._entry.append(name);
    this.shadowRoot.append(grid, keys, this._choice, this._entry);

    grid.addEventListener("keydown", (event) => this._key(event));
    grid.addEventListener("focusin", (event) => {
      const square = squareOf(event.target.dataset.square ?? "");
      if (square >= 0) this._squares.roam(square);
      grid.classList.toggle("keyed", !this._press);
    });
    grid.addEventListener("pointerdown", (event) => this._down(event));
    grid.addEventListener("pointermove", (event) => this._moved(event));
    grid.addEventListener("pointerup", (event) => this._up(event));
    grid.addEventListener("pointercancel", () => this._cancel());
    grid.addEventListener("contextmenu", (event) => (this.may("mark") || this.may("move")) && event.preventDefault());
    this._entry.addEventListener("submit", (event) => {
      event.preventDefault();
      this._typed();
    });
    this._entry.addEventListener("keydown", (event) => {
      event.stopPropagation();
      if (event.key === "Escape") this._shut();
    });
    this._entry.addEventListener("focusout", () => this._shut(false));
    this._choice.addEventListener("keydown", (event) => this._choosing(event));
  }

  // -- lifting, dropping, playing --------------------------------------------------------------------------

  _lift(square) {
    this._lifted = square;
    this._diagram.lift(square, square < 0 ? [] : [...new Set(this._position.from(square).map((move) => move.to))]);
    this._squares?.select(square);
  }

  _putBack() {
    if (this._lifted >= 0) this._diagram.drag(this._lifted, null);
    this._lift(-1);
    this._pathFrom = -1;
    if (this._choice) this._choice.hidden = true;
  }

  /** Tries to drop the lifted man on a square; false when it can't go there. */
  _drop(square, by) {
    const fitting = this._position.from(this._lifted).filter((move) => move.to === square);
    if (!fitting.length) return false;
    if (fitting.length === 1) this._offer(fitting[0], by);
    else this._choose(fitting, by);
    return true;
  }

  /** Tells the host of a move by hand, and plays it unless the host says no. */
  _offer(move, by) {
    const told = this._told(move, by);
    const held = this._squares?.element.contains(this.shadowRoot.activeElement);
    this._diagram.drag(this._lifted, by === "drag" ? this._press?.point : null);
    const event = new CustomEvent("lw-move", { detail: told, bubbles: true, composed: true, cancelable: true });
    if (!this.dispatchEvent(event)) return this._putBack();
    // The host may have shown the new position itself.
    if (this._position.fen === told.before) this._play(move, by === "drag" ? move.to : -1);
    if (held) this._squares.focus(move.to);
    this.announce(told.words);
  }

  /** @param {number} placed where the man was dragged to, -1 when it is still to go there. */
  _play(move, placed = -1) {
    this._position = this._position.play(move);
    this._written = this._position.fen;
    this._last = uciOf(move);
    this._marks = [];
    this._lift(-1);
    this._draw(true, placed);
  }

  _told(move, by) {
    const san = toSan(this._position, move);
    const [before, after] = [this._position.fen, this._position.play(move).fen];
    return { uci: uciOf(move), san, words: inWords(san, this._labels), before, after, by };
  }

  _choose(moves, by) {
    const box = this._choice;
    box.ariaLabel = this._labels.promote;
    box.replaceChildren(
      ...moves.map((move) => {
        const man = this._position.turn === "w" ? move.promotes.toUpperCase() : move.promotes;
        const button = Object.assign(document.createElement("button"), { type: "button" });
        button.ariaLabel = manWords(man, this._labels);
        button.dataset.promotes = move.promotes;
        button.append(manPicture(man));
        button.addEventListener("click", () => {
          box.hidden = true;
          this._squares.focus(move.to);
          this._offer(move, by);
        });
        return button;
      }),
    );
    this._diagram.drag(this._lifted, null);
    box.hidden = false;
    box.querySelector("button").focus();
  }

  _choosing(event) {
    event.stopPropagation();
    const far = { ArrowLeft: -1, ArrowUp: -1, ArrowRight: 1, ArrowDown: 1 }[event.key];
    const all = [...this._choice.querySelectorAll("button")];
    if (far) {
      event.preventDefault();
      const at = all.findIndex((one) => one === this.shadowRoot.activeElement);
      all.at((at + far) % all.length).focus();
    }
    if (event.key === "Escape") {
      this._putBack();
      this._squares.focus();
      this.announce(this._labels.put_back);
    }
  }

  // -- marks -------------------------------------------------------------------------------------------------

  _mark(shape, squares, by) {
    const mark = { shape, squares: squares.map(nameOf) };
    const [marks, removed] = toggled(this._marks, mark);
    this._marked(mark, marks, removed, by);
  }

  _marked(mark, marks, removed, by) {
    const said = markWords(mark, this._labels);
    const words = removed ? this._labels.removed(said) : said;
    const detail = { mark, removed, words, marks, by };
    const event = new CustomEvent("lw-mark", { detail, bubbles: true, composed: true, cancelable: true });
    if (!this.dispatchEvent(event)) return;
    this.show({ marks });
    this.announce(words);
  }

  _unmark(square, by) {
    const name = nameOf(square);
    for (const mark of this._marks.filter((one) => one.squares.includes(name))) {
      this._marked(mark, this._marks.filter((one) => one !== mark), true, by);
    }
  }

  // -- keys ----------------------------------------------------------------------------------------------

  _key(event) {
    if (event.altKey || event.metaKey || (event.ctrlKey && !["Home", "End"].includes(event.key))) return;
    this._squares.element.classList.add("keyed");
    const to = this._squares.reached(event.key, event.ctrlKey);
    if (to >= 0) this._squares.focus(to);
    else if (!this._act(event.key, this._squares.focused)) return;
    event.preventDefault();
    event.stopPropagation();
  }

  /** Does what a key means on a square; false when it means nothing here. */
  _act(key, square) {
    const marking = this.may("mark");
    if (key === "Escape") return this._escape();
    if (marking && MARK_KEYS[key]) this._mark(MARK_KEYS[key], [square], "keys");
    else if (marking && (key === PATH_KEY || (key === "Enter" && this._pathFrom >= 0))) this._path(square);
    else if (marking && (key === "Delete" || key === "Backspace")) this._unmark(square, "keys");
    else if (!this.may("move")) return false;
    else if (key === "Enter" || key === " ") this._enter(square);
    else if (/^[\p{L}0♔-♟]$/u.test(key)) this._ask(key);
    else return false;
    return true;
  }

  _escape() {
    if (this._lifted < 0 && this._pathFrom < 0) return false;
    this._putBack();
    this.announce(this._labels.put_back);
    return true;
  }

  _enter(square) {
    if (this._lifted >= 0 && this._drop(square, "keys")) return;
    const again = square === this._lifted;
    this._putBack();
    if (again) this.announce(this._labels.put_back);
    else if (this._position.from(square).length) {
      this._lift(square);
      this.announce(this._labels.lifted(manWords(this._position.men[square], this._labels), nameOf(square)));
    }
  }

  _path(square) {
    if (this._pathFrom < 0 || this._pathFrom === square) {
      this._pathFrom = this._pathFrom === square ? -1 : square;
      this.announce(this._pathFrom < 0 ? this._labels.put_back : this._labels.path_begun(nameOf(square)));
      return;
    }
    this._mark("path", [this._pathFrom, square], "keys");
    this._pathFrom = -1;
  }

  // -- typing a move -------------------------------------------------------------------------------------

  _ask(first) {
    this._putBack();
    this._entryName.textContent = this._labels.entry;
    this._entry.hidden = false;
    this._input.value = first;
    this._input.focus();
    this._input.setSelectionRange(first.length, first.length);
  }

  _shut(back = true) {
    if (this._entry.hidden) return;
    this._entry.hidden = true;
    this._input.removeAttribute("aria-invalid");
    if (back) this._squares.focus();
  }

  _typed() {
    const text = this._input.value.trim();
    if (!text) return this._shut();
    const answer = moveOf(this._position, text, this._labels);
    if (answer.move) {
      this._shut();
      return this._offer(answer.move, "typed");
    }
    const said = answer.moves.map((san) => inWords(san, this._labels));
    this.announce(this._labels[answer.why](text, said));
    this._input.select();
    this._input.setAttribute("aria-invalid", "true");
    this._entryName.textContent = this._live.textContent;
  }

  // -- pointing ------------------------------------------------------------------------------------------

  _down(event) {
    const square = this._squares.under(event.clientX, event.clientY);
    if (square < 0 || this._press) return;
    const marking = this.may("mark") && (event.button === 2 || (event.button === 0 && this.hasAttribute("marking")));
    if (!marking && (event.button !== 0 || !this.may("move"))) return;
    const lifted = this._lifted >= 0 ? this._position.from(this._lifted) : [];
    const ready = !marking && lifted.some((move) => move.to === square);
    const was = this._lifted === square;
    const [x, y] = [event.clientX, event.clientY];
    this._press = { id: event.pointerId, square, marking, ready, was, x, y, far: false, point: null };
    if (!marking && !ready) {
      if (!was) this._putBack();
      if (this._position.from(square).length) this._lift(square);
    }
    this._squares.element.setPointerCapture(event.pointerId);
    this._squares.focus(square);
    event.preventDefault();
  }

  _moved(event) {
    const press = this._press;
    if (!press || press.id !== event.pointerId || press.ready) return;
    press.far ||= Math.hypot(event.clientX - press.x, event.clientY - press.y) > DRAG;
    if (!press.far || press.marking || this._lifted < 0) return;
    press.point = this._squares.point(event.clientX, event.clientY);
    this._diagram.drag(this._lifted, press.point);
    this._squares.element.classList.add("dragging");
  }

  _up(event) {
    const press = this._press;
    if (!press || press.id !== event.pointerId) return;
    const square = this._squares.under(event.clientX, event.clientY);
    this._squares.element.classList.remove("dragging");
    if (press.marking) this._drew(press, square, event);
    else if (press.ready) this._drop(press.square, "tap");
    else if (press.far && square !== press.square) {
      if (this._lifted >= 0 && !this._drop(square, "drag")) this._putBack();
    } else {
      this._diagram.drag(press.square, null);
      if (press.was) this._putBack();
    }
    this._press = null;
  }

  /** A mark by pointer: a press is the chosen shape (by mouse: ring, Shift dot, Alt cross), a way is a path. */
  _drew(press, square, event) {
    if (square < 0) return;
    const by = event.pointerType === "mouse" ? "mouse" : "touch";
    if (square !== press.square) return this._mark("path", [press.square, square], by);
    const chosen = event.shiftKey ? "dot" : event.altKey ? "cross" : this.getAttribute("marking") || "ring";
    this._mark(chosen in this._labels.marks && chosen !== "path" ? chosen : "ring", [square], by);
  }

  _cancel() {
    this._press = null;
    this._squares.element.classList.remove("dragging");
    this._putBack();
  }
}

if (globalThis.customElements && !customElements.get("lw-board")) customElements.define("lw-board", Board);
