/**
 * The model of memory FSRS-6, as the Python library `fsrs` (py-fsrs) computes it, without its random fuzz; checked
 * against the library on random answers. Times are milliseconds since 1970 UTC.
 *
 * @typedef {{state: "learning"|"review"|"relearning", step: number, stability: number, difficulty: number,
 *   due: number, last: number, reviews: number, lapses: number}} Memory
 */

export const DAY = 86_400_000;
const LEARNING = [60_000, 600_000];
const RELEARNING = [600_000];
const LEAST_STABILITY = 0.001;
const AGAIN = 1;
const HARD = 2;
const GOOD = 3;
const EASY = 4;

/** Rounds halves to the even number, as Python does. */
export function round(x) {
  const low = Math.floor(x);
  const rest = x - low;
  return rest < 0.5 || (rest === 0.5 && low % 2 === 0) ? low : low + 1;
}

const clamp = (x, low, high) => Math.min(Math.max(x, low), high);

export class Scheduler {
  /**
   * @param {number[]} weights the 21 weights.
   * @param {number} retention the chance of remembering at which something is asked again.
   * @param {number} longest interval in days.
   */
  constructor(weights, retention, longest) {
    this.w = weights;
    this.retention = retention;
    this.longest = longest;
    this.decay = -weights[20];
    this.factor = 0.9 ** (1 / this.decay) - 1;
  }

  /** The chance that it is remembered: the forgetting curve, in whole days. */
  remembered(memory, now) {
    const days = Math.max(0, Math.floor((now - memory.last) / DAY));
    return (1 + (this.factor * days) / memory.stability) ** this.decay;
  }

  /**
   * The memory after all reviews, in order; null after none.
   *
   * @param {{rating: number, at: number}[]} reviews
   */
  rebuilt(reviews) {
    const none = /** @type {Memory | null} */ (null);
    return reviews.reduce((memory, review) => this.after(memory, review.rating, review.at), none);
  }

  /**
   * The memory after one more review.
   *
   * @param {Memory | null} memory
   * @returns {Memory}
   */
  after(memory, rating, at) {
    if (!memory) {
      const fresh = { state: "learning", step: 0, stability: Math.max(this.w[rating - 1], LEAST_STABILITY), due: at };
      const first = { ...fresh, difficulty: clamp(this.firstDifficulty(rating), 1, 10), last: at, reviews: 1, lapses: 0 };
      return this.stepped(first, rating, at);
    }
    const sameDay = Math.floor((at - memory.last) / DAY) < 1;
    const stability = sameDay ? this.soonStability(memory, rating) : this.laterStability(memory, rating, at);
    const difficulty = this.nextDifficulty(memory.difficulty, rating);
    const lapses = memory.lapses + (memory.state !== "learning" && rating === AGAIN ? 1 : 0);
    return this.stepped({ ...memory, stability, difficulty, lapses, last: at, reviews: memory.reviews + 1 }, rating, at);
  }

  /** Moves a memory on along its learning steps, or by its interval. */
  stepped(memory, rating, at) {
    if (memory.state === "review") {
      return rating === AGAIN ? { ...memory, state: "relearning", step: 0, due: at + RELEARNING[0] } : this.reviewed(memory, at);
    }
    const steps = memory.state === "learning" ? LEARNING : RELEARNING;
    const { step } = memory;
    if (rating === AGAIN) return { ...memory, step: 0, due: at + steps[0] };
    if (step >= steps.length || rating === EASY || (rating === GOOD && step + 1 === steps.length)) return this.reviewed(memory, at);
    if (rating === GOOD) return { ...memory, step: step + 1, due: at + steps[step + 1] };
    let wait = steps[step];
    if (step === 0) wait = steps.length === 1 ? steps[0] * 1.5 : (steps[0] + steps[1]) / 2;
    return { ...memory, due: at + wait };
  }

  reviewed(memory, at) {
    return { ...memory, state: "review", step: 0, due: at + this.interval(memory.stability) * DAY };
  }

  /** Days until it is remembered with the target's chance only. */
  interval(stability) {
    return clamp(round((stability / this.factor) * (this.retention ** (1 / this.decay) - 1)), 1, this.longest);
  }

  firstDifficulty(rating) {
    return this.w[4] - Math.E ** (this.w[5] * (rating - 1)) + 1;
  }

  nextDifficulty(difficulty, rating) {
    const change = -(this.w[6] * (rating - 3));
    const damped = difficulty + ((10 - difficulty) * change) / 9;
    return clamp(this.w[7] * this.firstDifficulty(EASY) + (1 - this.w[7]) * damped, 1, 10);
  }

  /** After another review on the same day. */
  soonStability({ stability }, rating) {
    let grows = Math.E ** (this.w[17] * (rating - 3 + this.w[18])) * stability ** -this.w[19];
    if (rating !== AGAIN) grows = Math.max(grows, 1);
    return Math.max(stability * grows, LEAST_STABILITY);
  }

  laterStability(memory, rating, at) {
    const { stability, difficulty } = memory;
    const w = this.w;
    const forgotten = 1 - this.remembered(memory, at);
    if (rating === AGAIN) {
      const long =
        w[11] * difficulty ** -w[12] * ((stability + 1) ** w[13] - 1) * Math.E ** (forgotten * w[14]);
      return Math.max(Math.min(long, stability / Math.E ** (w[17] * w[18])), LEAST_STABILITY);
    }
    const gain =
      Math.E ** w[8] * (11 - difficulty) * stability ** -w[9] * (Math.E ** (forgotten * w[10]) - 1);
    return Math.max(stability * (1 + gain * (rating === HARD ? w[15] : 1) * (rating === EASY ? w[16] : 1)), LEAST_STABILITY);
  }
}
