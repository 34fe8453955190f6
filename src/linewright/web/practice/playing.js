/** Playing on from a position against the class's engine, until the goal is reached or missed. */

import { newId } from "./log.js";
import { SAY } from "./say.js";
import { $ } from "./stand.js";
import { printed } from "./spoken.js";

export class Playing {
  /**
   * @param {import("./drill").Drill} drill
   * @param {number} rating of the engine's play.
   * @param {import("./stand.js").Stand} stand
   * @param {import("./feedback.js").Feedback} feedback
   * @param {(moves: string[]) => Promise<any>} engine asked for its reply.
   * @param {(entries: import("./log.js").Entry[]) => void} add keeps answers.
   */
  constructor(drill, rating, stand, feedback, engine, add) {
    this.drill = drill;
    this.rating = rating;
    this.stand = stand;
    this.feedback = feedback;
    this.engine = engine;
    this.add = add;
    /** @type {string[]} */
    this.moves = [];
    this.begun = Date.now();
    /** Whose turn it is, the pupil's or the engine's. @type {"play"|"waiting"|"over"} */
    this.mode = "waiting";
    /** The pupil has gone elsewhere: replies that are still under way change nothing. */
    this.left = false;
  }

  async begin() {
    const { drill } = this;
    this.feedback.say([]);
    $("line").replaceChildren(...printed(drill.start, drill.line));
    $("count").textContent = "";
    for (const id of ["tap", "hint", "unknown", "back", "on", "choices"]) $(id).hidden = true;
    $("typed").hidden = false;
    $("typed-label").textContent = $("typed").dataset.moves;
    this.feedback.ask(drill.asked);
    this.stand.reset(drill);
    $("board").setAttribute("side", drill.side);
    $("board").removeAttribute("marking");
    if ((drill.fen.split(" ")[1] === "w") === (drill.side === "white")) this.open();
    else await this.reply();
  }

  open() {
    this.mode = "play";
    $("board").setAttribute("can", "move");
  }

  /** A move of the pupil's. @returns whether the board may play it itself. */
  moved(uci) {
    if (this.mode !== "play") return false;
    this.moves.push(uci);
    this.mode = "waiting";
    $("board").setAttribute("can", "walk");
    this.reply();
    return true;
  }

  async reply() {
    this.feedback.say([SAY.thinking]);
    let got = null;
    try {
      got = await this.engine(this.moves);
    } catch {
      if (this.left) return;
      this.moves.pop();
      this.stand.board.show({ fen: this.fen(), marks: [], glide: false });
      this.feedback.say([SAY.no_engine]);
      return this.open();
    }
    if (this.left) return;
    let said = "";
    if (got.reply) {
      said = this.stand.board.play(got.reply)?.san ?? "";
      this.moves.push(got.reply);
    }
    if (got.state === "on") {
      this.feedback.say([said, SAY.moves_left(got.left)]);
      return this.open();
    }
    const reached = got.state === "reached";
    this.mode = "over";
    this.feedback.say([said, reached ? SAY.reached : SAY.missed, got.words]);
    this.feedback.tone(reached);
    const at = Date.now();
    const [rating, answer, took] = [reached ? 3 : 1, got.state, at - this.begun];
    this.add([{ id: newId(), kind: "review", drill: this.drill.id, at, rating, answer, took }]);
  }

  fen() {
    let position = Linewright.Position.of(this.drill.fen);
    for (const uci of this.moves) position = position.play(position.byUci(uci));
    return position.fen;
  }
}
