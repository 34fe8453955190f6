/**
 * The log of answers: a set that only grows. What counts depends on the set alone, so that devices may be apart.
 *
 * @typedef {{id: string, kind: "review"|"undo", drill: string, at: number, rating?: number, answer?: string,
 *   took?: number, undoes?: string}} Entry
 */

const before = (one, other) => one.at - other.at || (one.id < other.id ? -1 : one.id > other.id ? 1 : 0);

/** Each entry once, in the log's order. @param {Entry[]} entries */
export function ordered(entries) {
  return [...new Map(entries.map((entry) => [entry.id, entry])).values()].sort(before);
}

/** The reviews that count: those not taken back. An undo may be undone; it only reaches what was before it. */
export function effective(entries) {
  const all = ordered(entries);
  const byId = new Map(all.map((entry) => [entry.id, entry]));
  const gone = new Set();
  const kept = [];
  for (const entry of all.reverse()) {
    if (gone.has(entry.id)) continue;
    if (entry.kind === "review") kept.push(entry);
    else {
      const undone = byId.get(entry.undoes ?? "");
      if (undone && before(undone, entry) < 0) gone.add(undone.id);
    }
  }
  return kept.reverse();
}

/** The state of every drill that was answered. @returns {Map<string, import("./fsrs.js").Memory>} */
export function memories(entries, scheduler) {
  const reviews = new Map();
  for (const entry of effective(entries)) {
    if (!reviews.has(entry.drill)) reviews.set(entry.drill, []);
    reviews.get(entry.drill).push(entry);
  }
  return new Map([...reviews].map(([drill, all]) => [drill, scheduler.rebuilt(all)]));
}

/** An entry as it may come from a file: null for what is none. */
export function checked(row) {
  const uuid = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;
  if (!row || !uuid.test(row.id) || !/^[0-9a-f]{16}$/.test(row.drill) || !Number.isInteger(row.at)) return null;
  if (row.kind === "undo") return uuid.test(row.undoes) ? row : null;
  return row.kind === "review" && [1, 2, 3, 4].includes(row.rating) ? row : null;
}

/** A name for a new entry: a random UUID (RFC 9562, version 4). */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 15) | 64;
  bytes[8] = (bytes[8] & 63) | 128;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
