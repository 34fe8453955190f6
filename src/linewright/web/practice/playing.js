/** Playing on from a position against the class's engine, until the goal is reached or missed. */

import { newId } from "./log.js";
import { SAY } from "./say.js";
import { $ } from "./stand.js";
import { printed } from "./telling.js";

export class Playing {
  /** @param {import("./app.js").App} app */
  constructor(app, drill, rating) {
    this.app = app;
    this.drill = drill;
    this.rating = rating;
    this.moves = [];
    this.begun = Date.now();
  }

  get here() {
    return this.app.playing === this;
  }

  async begin() {
    const { app, drill } = this;
    app.drill = drill;
    app.say([]);
    $("line").replaceChildren(...printed(drill.start, drill.line));
    $("count").textContent = "";
    for (const id of ["tap", "hint", "unknown", "back", "on", "choices"]) $(id).hidden = true;
    $("typed").hidden = false;
    $("typed-label").textContent = $("typed").dataset.moves;
    app.heading(drill.asked);
    app.stand.reset(drill);
    $("board").setAttribute("side", drill.side);
    $("board").removeAttribute("marking");
    if ((drill.fen.split(" ")[1] === "w") === (drill.side === "white")) this.open();
    else await this.reply();
  }

  open() {
    this.app.mode = "play";
    $("board").setAttribute("can", "move");
  }

  /** A move of the pupil's. @returns whether the board may play it itself. */
  moved(uci) {
    if (this.app.mode !== "play") return false;
    this.moves.push(uci);
    this.app.mode = "waiting";
    $("board").setAttribute("can", "walk");
    this.reply();
    return true;
  }

  async reply() {
    this.app.say([SAY.thinking]);
    let got = null;
    try {
      got = await this.app.sync.ask("play", { drill: this.drill.id, moves: this.moves, rating: this.rating });
    } catch {
      if (!this.here) return;
      this.moves.pop();
      this.app.stand.board.show({ fen: this.fen(), marks: [], glide: false });
      this.app.say([SAY.no_engine]);
      return this.open();
    }
    if (!this.here) return;
    let said = "";
    if (got.reply) {
      said = this.app.stand.board.play(got.reply)?.san ?? "";
      this.moves.push(got.reply);
    }
    if (got.state === "on") {
      this.app.say([said, SAY.moves_left(got.left)]);
      return this.open();
    }
    this.app.mode = "over";
    this.app.say([said, got.state === "reached" ? SAY.reached : SAY.missed, got.told]);
    this.app.tone(got.state === "reached");
    const at = Date.now();
    const rating = got.state === "reached" ? 3 : 1;
    this.app.add([{ id: newId(), kind: "review", drill: this.drill.id, at, rating, answer: got.state, took: at - this.begun }]);
  }

  fen() {
    let position = Linewright.Position.of(this.drill.fen);
    for (const uci of this.moves) position = position.play(position.byUci(uci));
    return position.fen;
  }
}
