/** A round on the page: shows one question after the other, takes answers by hand, keys or words, and shows what is right. */

import { squaresOf } from "./judge.js";
import { SAY } from "./say.js";
import { $ } from "./stand.js";
import { lineFrom, named, printed } from "./spoken.js";

export class Asking {
  /**
   * @param {import("./round.js").Round} round
   * @param {import("./stand.js").Stand} stand
   * @param {import("./feedback.js").Feedback} feedback
   * @param {() => void} finished called when nothing is left to ask.
   */
  constructor(round, stand, feedback, finished) {
    this.round = round;
    this.stand = stand;
    this.feedback = feedback;
    this.finished = finished;
    /** What may be done: nothing yet, answer, play the right move once, go on. @type {"leading"|"answer"|"repeat"|"shown"} */
    this.mode = "leading";
    /** The lesson's move is to be played before it goes on. */
    this.repeat = false;
  }

  get drill() {
    return this.round.question.drill;
  }

  /** The lesson's own moves, numbered. */
  get taught() {
    const taught = this.drill.moves.filter((move) => move.standing === "taught");
    return taught.map((move) => named(this.drill.fen, move.san)).join(SAY.and);
  }

  async ask() {
    const now = this.round.current;
    if (!now) return this.finished();
    const { drill } = now;
    this.mode = "leading";
    $("feedback").replaceChildren();
    $("line").replaceChildren(...printed(drill.start, drill.line));
    $("count").textContent = SAY.to_go(this.round.left);
    this.offer();
    this.feedback.ask(now.more ? `${SAY.once_more} ${drill.asked}` : drill.asked);
    if (!(await this.stand.lead(drill))) return;
    this.round.asked = Date.now();
    this.open("answer");
  }

  /** Shows the means of answering that fit the drill. */
  offer() {
    const { drill } = this;
    const choosing = drill.choices.length > 0;
    const tapping = drill.squares.length > 0;
    $("typed").hidden = choosing;
    $("typed-label").textContent = tapping ? $("typed").dataset.squares : $("typed").dataset.moves;
    $("move").value = "";
    $("choices").hidden = !choosing;
    $("choices").replaceChildren(
      ...drill.choices.map((text, index) => {
        const button = Object.assign(document.createElement("button"), { type: "button", textContent: text });
        button.addEventListener("click", () => this.chosen(index, button));
        return button;
      }),
    );
  }

  /** @param {"answer"|"repeat"|"shown"} mode */
  open(mode) {
    this.mode = mode;
    const tapping = this.drill.squares.length > 0;
    const moving = !tapping && !this.drill.choices.length;
    const can = mode === "shown" ? "walk" : tapping ? "mark walk" : moving ? "move" : "walk";
    $("board").setAttribute("can", can);
    $("board").toggleAttribute("marking", tapping);
    $("hint").hidden = mode !== "answer" || !moving;
    $("unknown").hidden = mode !== "answer";
    $("back").hidden = !this.round.last || mode === "answer";
    $("on").hidden = mode !== "shown";
    const typing = document.activeElement === $("move");
    $("typed").hidden = mode === "shown" || this.drill.choices.length > 0;
    $("tap").hidden = mode !== "answer" || !tapping;
    const lost = document.activeElement === document.body || document.activeElement?.closest("[hidden]");
    if (mode === "shown" && (typing || lost)) $("on").focus({ preventScroll: true });
  }

  // -- answers -------------------------------------------------------------------------------------------------

  /** A move by hand, keys or words. @returns whether the board may play it itself. */
  moved(uci, san) {
    if (this.mode === "repeat") return this.repeated(uci);
    if (this.mode !== "answer") return false;
    const found = this.round.move(uci);
    const name = named(this.drill.fen, san);
    if (found.verdict === "equal") {
      this.feedback.say([SAY.equal(name, found.why)]);
      this.stand.reset(this.drill);
      return false;
    }
    if (found.verdict === "right") {
      this.feedback.tone(true);
      this.feedback.say([SAY.right(name)], this.drill.words);
      this.open("shown");
      return true;
    }
    this.feedback.tone(false);
    this.missed(SAY.wrong(name), found, uci);
    return false;
  }

  /** A wrong answer: what punishes it, the trainer's words, the lesson's move; then it is to be played. */
  missed(first, found, uci) {
    const said = [first];
    if (found?.reply.length) {
      const line = lineFrom(this.drill.fen, uci, found.reply);
      said.push(SAY.punished(line, found.source === "talk" ? SAY.shown_in_talk : found.why));
    }
    said.push(SAY.lesson_plays(this.taught));
    this.feedback.say(said, this.drill.words);
    this.open("shown");
    this.repeat = true;
    if (uci) this.stand.show(this.drill, [uci, ...(found?.reply ?? [])]);
  }

  /** After a wrong answer the lesson's move has to be played once; it is not an answer any more. */
  repeated(uci) {
    if (!this.drill.moves.some((move) => move.standing === "taught" && move.uci === uci)) {
      this.stand.reset(this.drill);
      return false;
    }
    this.open("shown");
    return true;
  }

  chosen(index, button) {
    if (this.mode !== "answer") return;
    const right = this.round.choice(index);
    this.feedback.tone(right);
    this.markChoices(button);
    this.feedback.say([right ? SAY.right_choice : SAY.wrong_choice(this.drill.choices[this.drill.right])]);
    this.open("shown");
  }

  markChoices(given) {
    [...$("choices").children].forEach((button, index) => {
      button.disabled = true;
      button.className = index === this.drill.right ? "is-right" : button === given ? "is-wrong" : "";
    });
  }

  tapped(names) {
    if (this.mode !== "answer" || !names.length) return;
    const right = this.round.squares(names);
    this.feedback.tone(right);
    this.showSquares(names, right);
  }

  /** The right squares on the board, and in words, and those that were tapped in their place. */
  showSquares(names, right) {
    const { drill } = this;
    const wanted = drill.whole_files ? drill.squares.map((name) => `the ${name[0]}-file`) : drill.squares;
    const list = wanted.join(", ");
    this.feedback.say(right ? [SAY.right_squares(list)] : [SAY.wrong_squares(list), SAY.marks], drill.words);
    const of = (name) => (drill.whole_files ? name[0] : name);
    const fine = new Set(drill.squares.map(of));
    const shown = drill.whole_files ? drill.squares.flatMap((n) => [...Array(8).keys()].map((r) => n[0] + (r + 1))) : drill.squares;
    this.stand.reset(drill, [
      ...shown.map((square) => ({ shape: "dot", squares: [square] })),
      ...names.filter((name) => !fine.has(of(name))).map((square) => ({ shape: "cross", squares: [square] })),
    ]);
    this.open("shown");
  }

  unknown() {
    if (this.mode !== "answer") return;
    this.round.unknown();
    const { drill } = this;
    if (drill.squares.length) return this.showSquares([], false);
    if (drill.choices.length) {
      this.markChoices(null);
      this.feedback.say([SAY.wrong_choice(drill.choices[drill.right])]);
      return this.open("shown");
    }
    this.missed("", null, "");
  }

  hint() {
    const move = this.drill.moves[0];
    const position = Linewright.Position.of(this.drill.fen);
    const from = move.uci.slice(0, 2);
    const man = Linewright.manWords(position.men[Linewright.squareOf(from)], Linewright.ENGLISH);
    this.round.hint();
    this.stand.reset(this.drill, [{ shape: "ring", squares: [from] }]);
    this.feedback.say([SAY.hint(man, from)]);
  }

  /** Squares in words. @returns whether they are asked for: else a move is. */
  typedSquares(text) {
    if (!this.drill.squares.length) return false;
    const names = squaresOf(text, this.drill.whole_files);
    if (names) this.tapped(names);
    else this.feedback.say([SAY.no_square(text)]);
    return true;
  }

  // -- going on, and back --------------------------------------------------------------------------------------

  /** On to the next one; after a wrong move first to the position again, to play the right one. */
  on() {
    if (this.mode !== "shown") return;
    if (this.repeat) {
      this.repeat = false;
      this.stand.reset(this.drill);
      this.feedback.say([SAY.now_play(this.taught)]);
      return this.open("repeat");
    }
    this.round.next();
    this.ask();
  }

  takeBack() {
    if (!this.round.takeBack()) return;
    this.repeat = false;
    this.stand.reset(this.drill);
    this.offer();
    this.feedback.say([SAY.taken_back]);
    this.open("answer");
  }
}
