/**
 * The manuscript: a plain text area whose text is the file's, and behind it a mirror of the same text that carries the
 * moves in figurines above their words, and lines under what is doubtful. The mirror decides the height, so the two
 * always break their lines alike.
 *
 * @typedef {{a: number, z: number, key: string, cls: string, fig?: string}} Decoration
 */

import { make } from "./dom.js";
import { editBetween, movedAll } from "./spans.js";

export class Manuscript {
  /**
   * @param {HTMLTextAreaElement} area
   * @param {HTMLElement} mirror
   * @param {{edited: (edit: import("./spans.js").Edit) => void, moved: () => void}} host
   */
  constructor(area, mirror, host) {
    this.area = area;
    this.mirror = mirror;
    this.host = host;
    this.text = "";
    /** @type {Decoration[]} */
    this.decorations = [];
    this.lines = [];
    this.rows = [];
    this.signs = [];
    this.elements = new Map();
    this.render();
    area.addEventListener("input", () => this.changed());
    document.addEventListener("selectionchange", () => {
      if (this.focused) host.moved();
    });
  }

  get cursor() {
    return this.area.selectionDirection === "backward" ? this.area.selectionStart : this.area.selectionEnd;
  }

  get selected() {
    return this.text.slice(this.area.selectionStart, this.area.selectionEnd);
  }

  /** Whether it is typed into. */
  get focused() {
    return document.activeElement === this.area;
  }

  focus() {
    this.area.focus({ preventScroll: true });
  }

  /** Put the cursor somewhere. */
  select(at) {
    this.area.setSelectionRange(at, at);
  }

  /** Put the cursor somewhere, and show it. */
  goTo(at, focus = true) {
    const where = Math.min(at, this.text.length);
    if (focus) this.focus();
    this.select(where);
    this.show(where);
    this.host.moved();
  }

  /** Scroll so that a place can be seen. */
  show(at) {
    const box = this.boxOf(at);
    if (!box) return;
    const top = document.querySelector(".stand")?.getBoundingClientRect();
    const narrow = top && top.width > innerWidth * 0.8 ? Math.max(0, top.bottom) : 60;
    if (box.top < narrow + 30 || box.bottom > innerHeight - 40) {
      scrollBy({ top: box.top - narrow - (innerHeight - narrow) * 0.35, behavior: "auto" });
    }
  }

  /** The text as it is on the disk, when the page opens. */
  load(text) {
    this.area.value = text;
    this.changed();
  }

  /** Change a stretch of the text so that the browser can undo it; the cursor stays by its words. */
  replace(from, to, insert) {
    const { selectionStart, selectionEnd } = this.area;
    const focused = document.activeElement;
    const [left, top] = [scrollX, scrollY];
    this.focus();
    this.area.setSelectionRange(from, to);
    const done = insert
      ? document.execCommand("insertText", false, insert)
      : from === to || document.execCommand("delete");
    if (!done) {
      this.area.setRangeText(insert, from, to, "end");
      this.changed();
    }
    const by = insert.length - (to - from);
    const shift = (at) => (at < from || (at === from && from !== to) ? at : at >= to ? at + by : from + insert.length);
    this.area.setSelectionRange(shift(selectionStart), shift(selectionEnd));
    if (focused instanceof HTMLElement && focused !== this.area && focused !== document.body) {
      focused.focus({ preventScroll: true });
    }
    scrollTo(left, top);
    this.changed();
  }

  /** Take in what the text area holds now. */
  changed() {
    const now = this.area.value;
    const edit = editBetween(this.text, now);
    if (!edit) return;
    this.text = now;
    this.decorations = movedAll(this.decorations, [edit]);
    this.render();
    this.host.edited(edit);
  }

  /** Show these decorations, in order of their beginnings. */
  decorate(decorations) {
    this.decorations = decorations;
    this.render();
  }

  /** Mark a decoration's words as the ones that the board shows; "" for none. */
  emphasise(key) {
    for (const span of this.now ?? []) span.classList.remove("now");
    this.now = this.elements.get(key) ?? [];
    for (const span of this.now) span.classList.add("now");
  }

  /** How far down the page a place of the text stands, in pixels. */
  topOf(at) {
    const box = this.boxOf(at);
    return box ? box.top + scrollY : 0;
  }

  /** Where a place of the text is on the screen. */
  boxOf(at) {
    const before = this.text.slice(0, at);
    const row = this.rows[before.split("\n").length - 1];
    if (!row) return null;
    let left = at - before.lastIndexOf("\n") - 1;
    const nodes = document.createTreeWalker(row, NodeFilter.SHOW_TEXT);
    for (let node = nodes.nextNode(); node; node = nodes.nextNode()) {
      const size = node.textContent?.length ?? 0;
      if (left < size) {
        const range = document.createRange();
        range.setStart(node, left);
        range.setEnd(node, left + 1);
        return range.getBoundingClientRect();
      }
      left -= size;
    }
    const boxes = row.getClientRects();
    return row.lastChild ? rangeEnd(row) : boxes[boxes.length - 1];
  }

  // -- the mirror ------------------------------------------------------------------------------------------

  /** Draw the rows whose text or decorations changed. */
  render() {
    const lines = this.text.split("\n");
    const old = this.lines;
    let head = 0;
    const least = Math.min(old.length, lines.length);
    while (head < least && old[head] === lines[head]) head += 1;
    let tail = 0;
    while (tail < least - head && old[old.length - 1 - tail] === lines[lines.length - 1 - tail]) tail += 1;
    const gone = this.rows.splice(head, old.length - head - tail);
    this.signs.splice(head, gone.length);
    const before = this.rows[head] ?? null;
    for (const row of gone) row.remove();
    const fresh = [];
    for (let i = head; i < lines.length - tail; i += 1) {
      const row = make("div", { class: "ln" });
      fresh.push(row);
      this.mirror.insertBefore(row, before);
    }
    this.rows.splice(head, 0, ...fresh);
    this.signs.splice(head, 0, ...fresh.map(() => null));
    this.lines = lines;
    this.drawRows();
  }

  drawRows() {
    const held = this.decorations;
    let next = 0;
    let start = 0;
    let open = [];
    for (let i = 0; i < this.lines.length; i += 1) {
      const end = start + this.lines[i].length;
      open = open.filter((d) => d.z > start);
      while (next < held.length && held[next].a <= end) {
        open.push(held[next]);
        next += 1;
      }
      const here = open.filter((d) => d.a <= end && (d.z > start || d.a === d.z));
      const sign = here.map((d) => `${d.a - start},${d.z - start},${d.cls},${d.fig ?? ""},${d.key}`).join(";");
      if (this.signs[i] !== sign) {
        this.signs[i] = sign;
        this.drawRow(this.rows[i], this.lines[i], start, here);
      }
      start = end + 1;
    }
  }

  drawRow(row, line, start, here) {
    if (!here.length) {
      row.textContent = line || "\u200b";
      return;
    }
    const cuts = new Set([0, line.length]);
    for (const d of here) {
      cuts.add(Math.max(0, d.a - start));
      cuts.add(Math.min(line.length, d.z - start));
      // The figurine stands above the first word: the others may be on the next line.
      const word = d.fig && d.a >= start ? line.slice(d.a - start, d.z - start).search(/\s/) : -1;
      if (word > 0) cuts.add(d.a - start + word);
    }
    const at = [...cuts].sort((a, b) => a - b);
    const parts = [];
    const shown = new Set();
    for (let i = 0; i + 1 < at.length; i += 1) {
      const [from, to] = [at[i] + start, at[i + 1] + start];
      const over = here.filter((d) => d.a < to && d.z > from);
      const words = line.slice(at[i], at[i + 1]);
      if (!over.length) {
        parts.push(words);
        continue;
      }
      const fresh = over.filter((d) => !shown.has(d.key));
      const span = make("span", { class: [...new Set(over.map((d) => d.cls))].join(" ") }, words);
      const fig = fresh.find((d) => d.fig)?.fig;
      if (fig) span.dataset.fig = fig;
      for (const d of over) {
        if (!shown.has(d.key) && d.a >= start) this.elements.set(d.key, []);
        shown.add(d.key);
        this.elements.get(d.key)?.push(span);
      }
      parts.push(span);
    }
    row.replaceChildren(...parts);
    if (!line) row.append("\u200b");
  }
}

/** Where a row's text ends. */
function rangeEnd(row) {
  const range = document.createRange();
  range.selectNodeContents(row);
  const boxes = range.getClientRects();
  return boxes[boxes.length - 1] ?? row.getBoundingClientRect();
}
