/**
 * `<lw-board>`: a printed diagram to look at, move on and draw marks on, by mouse, touch, pen, keys and ear.
 *
 * See README.md beside this file for attributes, properties and events.
 */

import { Diagram } from "./diagram.js";
import { ENGLISH, labelsOf } from "./labels.js";
import { Hands } from "./hands.js";
import { Position, START, squareOf, uciOf } from "./position.js";
import { inWords, moveOf, toSan } from "./san.js";
import { sharedSheet } from "./style.js";
import { boardWords, squareWords } from "./words.js";

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
    this._diagram = new Diagram();
    /** Built once something can be done by hand. @type {Hands | null} */
    this._hands = null;
    this._root = this.attachShadow({ mode: "open" });
    this._root.adoptedStyleSheets = [sharedSheet()];
    this._live = Object.assign(document.createElement("div"), { className: "vh" });
    this._live.setAttribute("aria-live", "polite");
    this._root.append(this._diagram.svg, this._live);
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

  /** @param {{shape: string, squares: string[]}[]} marks */
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

  /** @param {string} side */
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
   * @param {{fen?: string, marks?: {shape: string, squares: string[]}[], last?: string, glide?: boolean}} state
   * @throws {RangeError} for a FEN that is none; nothing changes then.
   */
  show({ fen, marks, last, glide = true }) {
    if (fen !== undefined && fen !== this._written) {
      this._position = Position.of(fen);
      this._written = fen;
      this._hands?.putBack();
    }
    if (marks) {
      const copied = marks.map(({ shape, squares }) => ({ shape, squares: [...squares] }));
      this._marks = /** @type {import("./words.js").Mark[]} */ (copied);
    }
    if (last !== undefined) this._last = last;
    this._draw(glide);
  }

  /**
   * Plays a move by UCI, SAN or words without an event; null when it can't be played.
   */
  play(text) {
    const move = this._position.byUci(text) ?? moveOf(this._position, text, this._labels).move;
    if (!move) return null;
    const detail = this.detailOf(move, "host");
    this._play(move);
    return detail;
  }

  /** Says something to those who listen to the board. */
  announce(text) {
    this._live.textContent = text;
  }

  focus() {
    this._hands?.squares.focus();
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
    this._hands?.turn(black);
    this._draw(false);
  }

  /** Names for the ear: of each square where the board can be walked over, else of the whole picture. */
  _tell() {
    const { svg } = this._diagram;
    const label = this.getAttribute("label") ?? this._labels.board;
    if (!this._hands || this._hands.squares.element.hidden) {
      svg.setAttribute("role", "img");
      svg.removeAttribute("aria-hidden");
      svg.setAttribute("aria-label", `${label}. ${boardWords(this._position, this._marks, this._labels)}`);
      return;
    }
    svg.setAttribute("aria-hidden", "true");
    svg.removeAttribute("role");
    const own = new Set(this.may("move") ? this._position.moves.map((move) => move.from) : []);
    const words = (square) => squareWords(this._position, square, this._marks, this._labels);
    this._hands.name(label, words, (square) => own.has(square));
  }

  /** Builds what hands need once they need it, and hides it when nothing can be done. */
  _open() {
    const alive = ["move", "mark", "walk"].some((what) => this.may(what));
    if (alive) this._hands ??= new Hands(this, this._diagram, this._root, (move, placed) => this._play(move, placed));
    if (this._hands) {
      this._hands.squares.element.hidden = !alive;
      this._hands.putBack();
    }
    this._tell();
  }

  /** @param {number} placed where the man was dragged to, -1 when it is still to go there. */
  _play(move, placed = -1) {
    this._position = this._position.play(move);
    this._written = this._position.fen;
    this._last = uciOf(move);
    this._marks = [];
    this._hands?.lift(-1);
    this._draw(true, placed);
  }

  /** What an event says of a move in the position shown. */
  detailOf(move, by) {
    const san = toSan(this._position, move);
    const [before, after] = [this._position.fen, this._position.play(move).fen];
    return { uci: uciOf(move), san, words: inWords(san, this._labels), before, after, by };
  }
}

if (globalThis.customElements && !customElements.get("lw-board")) customElements.define("lw-board", Board);
