/**
 * Ranges of a text that is being edited: where they are after an edit, and what an edit was.
 *
 * @typedef {{at: number, removed: number, inserted: number}} Edit  at `at`, so many characters gave way to so many.
 * @typedef {{a: number, z: number}} Span  half-open.
 */

/** The one edit that makes `after` of `before`; null when they are equal. */
export function editBetween(before, after) {
  if (before === after) return null;
  const least = Math.min(before.length, after.length);
  let head = 0;
  while (head < least && before.charCodeAt(head) === after.charCodeAt(head)) head += 1;
  let tail = 0;
  while (
    tail < least - head &&
    before.charCodeAt(before.length - 1 - tail) === after.charCodeAt(after.length - 1 - tail)
  ) {
    tail += 1;
  }
  return { at: head, removed: before.length - head - tail, inserted: after.length - head - tail };
}

/** Where a span is after an edit; null when the edit changed what it held. */
export function moved(span, edit) {
  const end = edit.at + edit.removed;
  if (span.z <= edit.at) return span;
  if (span.a >= end && !(span.a === edit.at && edit.removed === 0 && span.a === span.z)) {
    const by = edit.inserted - edit.removed;
    return by ? { ...span, a: span.a + by, z: span.z + by } : span;
  }
  return null;
}

/** The spans that are left after edits, in order. */
export function movedAll(spans, edits) {
  let out = spans;
  for (const edit of edits) out = out.map((span) => moved(span, edit)).filter((span) => span !== null);
  return out;
}
