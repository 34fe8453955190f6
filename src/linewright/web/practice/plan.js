/**
 * A day's practice: what is due, evened out over the days, then what is new, each at the end of its line.
 * `tests/practice/test_page_modules.py` checks it.
 *
 * @typedef {{drill: string, reach: number, path: string[]}} Wish
 * @typedef {{drills: string[], due: string[]}} Run
 */

import { DAY, round } from "./fsrs.js";
import { ordered } from "./log.js";

const SECONDS = 12;
const PACE_KNOWN = 20;
/** Something new costs this many answers on its first day. */
export const NEW_COSTS = 3;
const FUZZ = [[2.5, 7, 0.15], [7, 20, 0.1], [20, Infinity, 0.05]];

/** @typedef {import("./fsrs.js").Memory} Memory */

const byText = (one, other) => (one < other ? -1 : one > other ? 1 : 0);

/** The range of days that an interval may become. */
export function fuzzRange(interval, longest) {
  if (interval < 2.5) return [interval, interval];
  const delta = FUZZ.reduce((sum, [start, end, part]) => sum + part * Math.max(Math.min(interval, end) - start, 0), 1);
  const [low, high] = [Math.max(2, round(interval - delta)), Math.min(round(interval + delta), longest)];
  return [Math.min(low, high), high];
}

/**
 * For each drill the day on which it is asked again.
 *
 * @param {Map<string, Memory>} known
 * @returns {Map<string, number>}
 */
export function spread(known, pace, minutes, longest) {
  const room = Math.max(1, Math.trunc((minutes * 60) / pace));
  const load = new Map();
  const days = new Map();
  const inOrder = [...known].sort(([a, x], [b, y]) => x.due - y.due || byText(a, b));
  for (const [drill, memory] of inOrder) {
    const own = Math.floor(memory.due / DAY);
    let best = own;
    if (memory.state === "review" && (load.get(own) ?? 0) >= room) {
      const [low, high] = fuzzRange(Math.floor((memory.due - memory.last) / DAY), longest);
      const base = Math.floor(memory.last / DAY);
      let least = null;
      for (let day = base + low; day <= base + high; day++) {
        const cost = [load.get(day) ?? 0, Math.abs(day - own), day];
        if (!least || cost[0] - least[0] < 0 || (cost[0] === least[0] && (cost[1] - least[1] || cost[2] - least[2]) < 0)) least = cost;
      }
      best = least ? least[2] : own;
    }
    days.set(drill, best);
    load.set(best, (load.get(best) ?? 0) + 1);
  }
  return days;
}

/**
 * What to practise now.
 *
 * @param {Wish[]} wishes
 * @param {Map<string, Memory>} known
 * @param {import("./fsrs.js").Scheduler} scheduler
 * @returns {Run[]}
 */
export function planDay(wishes, known, now, minutes, pace, scheduler) {
  const byId = new Map(wishes.map((wish) => [wish.drill, wish]));
  const wished = (drill) => /** @type {Wish} */ (byId.get(drill));
  const remembered = (drill) => /** @type {Memory} */ (known.get(drill));
  const days = spread(new Map([...known].filter(([drill]) => byId.has(drill))), pace, minutes, scheduler.longest);
  const today = Math.floor(now / DAY);
  const worth = (drill) => {
    const memory = remembered(drill);
    return (wished(drill).reach + 0.01) * (1 - scheduler.remembered(memory, now)) * (1 + memory.difficulty / 10);
  };
  const due = [...days]
    .filter(([drill, day]) => (remembered(drill).state === "review" ? day <= today : remembered(drill).due <= now))
    .map(([drill]) => ({ drill, worth: worth(drill) }))
    .sort((one, other) => other.worth - one.worth || byText(one.drill, other.drill))
    .map(({ drill }) => drill);
  const fresh = wishes
    .filter((wish) => !known.has(wish.drill))
    .sort((a, b) => b.reach - a.reach || a.path.length - b.path.length || byText(a.drill, b.drill))
    .map((wish) => wish.drill);
  let left = (minutes * 60) / pace;
  const costs = [...due.map((drill) => ({ drill, cost: 1 })), ...fresh.map((drill) => ({ drill, cost: NEW_COSTS }))];
  const wanted = new Set(due);
  const played = new Set();
  const runs = [];
  for (const { drill, cost } of costs) {
    if (played.has(drill)) continue;
    if (left < cost && runs.length) break;
    const way = wished(drill).path.filter((other) => known.has(other) && !played.has(other));
    const asked = [...way, drill];
    runs.push({ drills: asked, due: asked.filter((other) => other === drill || wanted.has(other)) });
    for (const other of asked) played.add(other);
    left -= cost + way.length;
  }
  return runs;
}

/** Seconds that an answer takes this pupil. */
export function paceOf(entries) {
  const took = ordered(entries).slice(-100).map((entry) => (entry.took ?? 0) / 1000).filter(Boolean);
  took.sort((a, b) => a - b);
  return took.length >= PACE_KNOWN ? Math.max(3, took[Math.floor(took.length / 2)]) : SECONDS;
}

/** Minutes of practice due on each of the coming days, today first. */
export function dailyLoad(known, pace, minutes, now, count, longest) {
  const load = Array(count).fill(0);
  const today = Math.floor(now / DAY);
  for (const day of spread(known, pace, minutes, longest).values()) {
    if (day < today + count) load[Math.max(0, day - today)] += pace / 60;
  }
  return load;
}
