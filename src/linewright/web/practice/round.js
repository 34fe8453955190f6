/** A round of practice: runs along lines, one drill after the other; says what to show, knows nothing of the page. */

import { judgeMove, judgeSquares, ratingOf } from "./judge.js";
import { newId } from "./log.js";

/** @typedef {import("./drill").Drill} Drill */
/** @typedef {{drill: Drill, due: boolean, more?: boolean}} Question  `more`: asked once more. */

export class Round {
  /**
   * @param {import("./plan.js").Run[]} runs
   * @param {Map<string, Drill>} drills
   * @param {(entries: import("./log.js").Entry[]) => void} add keeps entries.
   * @param {() => number} clock
   */
  constructor(runs, drills, add, clock = Date.now) {
    /** @type {Question[]} */
    this.queue = runs.flatMap((run) => run.drills.map((id) => ({ drill: /** @type {Drill} */ (drills.get(id)), due: run.due.includes(id) })));
    this.all = this.queue.filter((one) => one.due).length;
    this.add = add;
    this.clock = clock;
    /** @type {Question[]} */
    this.again = [];
    this.right = 0;
    this.hinted = false;
    this.asked = 0;
    this.answered = 0;
    /** @type {{entry: import("./log.js").Entry, right: boolean, hinted: boolean, counted: boolean} | null} */
    this.last = null;
    /** @type {Question | null} */
    this.current = null;
    this.next();
  }

  /** What was not known is asked once more at the end. */
  next() {
    if (!this.queue.length) this.queue = this.again.splice(0).map((one) => ({ ...one, more: true }));
    this.current = this.queue.shift() ?? null;
    this.hinted = false;
    this.asked = this.clock();
    return this.current;
  }

  /** What is asked now; a round that is over asks nothing, and takes no answers. */
  get question() {
    if (!this.current) throw new Error("the round is over");
    return this.current;
  }

  get left() {
    return this.queue.length + this.again.length + (this.current ? 1 : 0);
  }

  hint() {
    this.hinted = true;
  }

  move(uci) {
    const found = judgeMove(this.question.drill, uci);
    // As good as the lesson's, but not remembered: no lapse, yet no full mark either.
    if (found.verdict === "equal") this.hint();
    else this.log(found.verdict === "right", uci);
    return found;
  }

  squares(names) {
    const right = judgeSquares(this.question.drill, names);
    this.log(right, names.join(" "));
    return right;
  }

  choice(index) {
    const right = index === this.question.drill.right;
    this.log(right, String(index + 1));
    return right;
  }

  unknown() {
    this.log(false, "");
  }

  /** Writes the answer down. What is only on the way to what is due counts when it was wrong. */
  log(right, answer) {
    const { drill, due, more } = this.question;
    this.last = null;
    if (!more && due) {
      this.answered++;
      this.right += right && !this.hinted ? 1 : 0;
    }
    if (!right) this.again.push({ drill, due: true });
    if (!due && right) return;
    const at = this.clock();
    const rating = ratingOf(right, this.hinted);
    /** @type {import("./log.js").Entry} */
    const entry = { id: newId(), kind: "review", drill: drill.id, at, rating, answer: answer.slice(0, 64), took: at - this.asked };
    this.last = { entry, right, hinted: this.hinted, counted: due && !more };
    this.add([entry]);
  }

  /** Takes the last answer back: a slip of the finger is no answer. False when there is none. */
  takeBack() {
    if (!this.last) return false;
    const { entry, right, hinted, counted } = this.last;
    this.add([{ id: newId(), kind: "undo", drill: entry.drill, at: Math.max(this.clock(), entry.at + 1), undoes: entry.id }]);
    if (!right) this.again = this.again.filter((one) => one.drill.id !== entry.drill);
    if (counted) {
      this.answered--;
      this.right -= right && !hinted ? 1 : 0;
    }
    this.last = null;
    this.asked = this.clock();
    return true;
  }
}
