// The lesson page: one board that follows the words. A state is "so many steps of the talk are done".
/** What the template makes, by id and by selector: of whatever kind it is there. @returns {any} */
const $ = (id) => document.getElementById(id);
/** @returns {any} */
const find = (selector) => document.querySelector(selector);
/** @returns {any[]} */
const findAll = (selector) => [...document.querySelectorAll(selector)];
const data = JSON.parse($("data").textContent);
const last = data.node.length - 1;
const children = data.fen.map(() => []);
for (const [node, parent] of data.parent.entries()) if (parent !== null) children[parent].push(node);

const { Position, fromUci, markWords } = Linewright;
/** @type {import("../board/board.js").Board} */
const board = find("lw-board");
const map = find(".map");
const here = map.querySelector(".here");
const trail = map.querySelector(".trail");
const dots = [];
for (const dot of findAll(".map circle[data-n]")) dots[dot.dataset.n] = dot;

let state = 0;

/** All elements that show a state in the words, and the index entry of each node. */
/** @type {HTMLElement[][]} */
const spots = Array.from({ length: last + 1 }, () => []);
for (const item of findAll("#talk [data-s]:not(.see)")) spots[item.dataset.s]?.push(item);
const entry = [];
for (const item of findAll("#lines [data-n]")) entry[item.dataset.n] = item;
for (const item of findAll("#talk .mv, #talk .jump, #lines li > a:not(:first-child)")) item.tabIndex = -1;

/** What an event came from or lies in, of a kind. @returns {HTMLElement | null} */
function within(event, selector) {
  return event.target.closest?.(selector) ?? null;
}

/** The reader is selecting text. */
function selecting() {
  return !(getSelection()?.isCollapsed ?? true);
}

/** Puts a position on the board, and beneath it what it is called; `words` are its name for the ear. */
function set(shown, label, name, words) {
  board.setAttribute("label", `${data.say.board}: ${words}`);
  board.show({ marks: [], last: "", ...shown });
  $("move").innerHTML = label;
  $("turn").textContent = board.position.turn === "w" ? data.say.to_move_w : data.say.to_move_b;
  $("name").textContent = name;
}

/** The man of a single move goes there visibly; a jump is shown at once. */
function near(node, other) {
  return data.parent[node] === other || data.parent[other] === node;
}

function chart(node) {
  const dot = dots[node];
  here.setAttribute("cx", dot.getAttribute("cx"));
  here.setAttribute("cy", dot.getAttribute("cy"));
  let d = "";
  for (let at = node; at !== null; at = data.parent[at]) {
    const [x, y] = [dots[at].getAttribute("cx"), dots[at].getAttribute("cy")];
    d = d === "" ? `M${x} ${y}` : `${d}L${x} ${y}`;
  }
  trail.setAttribute("d", d);
}

/** Shows a state: board, caption, words, map. `by` says how the reader came: load, keys, words, map. */
function go(to, by) {
  const away = leave();
  const before = state;
  state = Math.max(0, Math.min(last, to));
  const node = data.node[state];
  const marks = data.marks[state] ?? [];
  const glide = by !== "load" && !away && near(node, data.node[before]);
  const where = data.back[state] ? `${data.say.back_to} ${data.label[node]}` : node ? data.label[node] : data.say.start;
  set({ fen: data.fen[node], last: data.uci[node], marks, glide }, where, data.name[node], data.words[node]);
  chart(node);
  for (const item of spots[before]) {
    item.classList.remove("now");
    item.removeAttribute("aria-current");
  }
  entry[data.node[before]]?.removeAttribute("aria-current");
  entry[node]?.setAttribute("aria-current", "step");
  if (state) for (const item of spots[state]) item.classList.add("now");
  const word = $(`s${state}`);
  word?.setAttribute("aria-current", "step");
  follow(word, before, node);
  if (by === "load") return;
  scroll(by !== "words" && (word ?? spots[state][0]), by !== "map" && dots[node]);
  if (by === "time") return; // a reader who listens needs no second voice
  const said = [data.words[node], ...marks.map((mark) => markWords(mark, board.labels))].join(", ");
  board.announce(data.back[state] ? `${data.say.back_to} ${said}` : said);
  address();
}

const REST = 300; // ms without a step
let resting = 0;

/** Puts the state into the page's address once the reader rests: browsers are slow at it and ration it. */
function address() {
  clearTimeout(resting);
  resting = setTimeout(
    () => history.replaceState(null, "", state ? `#s${state}` : location.pathname + location.search),
    REST,
  );
}

let game = null; // a model game on the board: its number, and how many of its moves are played
let ply = 0;
let elsewhere = false; // another reading is on the board
const moves = data.games.map((one, at) => one.uci.map((_, i) => find(`[data-g="${at}.${i + 1}"]`)));

/** Puts a model game on the board after some of its moves. */
function show(number, to) {
  const glide = game === number && Math.abs(to - ply) === 1;
  leave();
  [game, ply] = [number, to];
  const { node, uci } = data.games[game];
  const start = Position.of(data.fen[node]);
  const { fen, turn } = uci.slice(0, ply).reduce((position, move) => position.play(fromUci(move)), start);
  const at = ply ? moves[game][ply - 1] : null;
  const words = at ? at.lastElementChild.textContent : data.words[node];
  const shown = at?.firstElementChild.innerHTML;
  const full = at?.lastElementChild.textContent.split(",")[0];
  const label = at && turn === "w" && !/^\d/.test(shown) ? `${full}…${shown}` : shown;
  const name = at?.closest("p").previousElementSibling.firstChild.textContent ?? "";
  set({ fen, last: ply ? uci[ply - 1] : data.uci[node], glide }, at ? label : data.label[node], name, words);
  board.announce(words);
  at?.setAttribute("aria-current", "step");
  if (document.activeElement?.matches("[data-g]")) at?.focus({ preventScroll: true });
  scroll(at, null);
}

/** Takes a model game or another reading off the board; whether there was one. */
function leave() {
  const away = game !== null || elsewhere;
  if (game !== null && ply) moves[game][ply - 1].removeAttribute("aria-current");
  game = null;
  elsewhere = false;
  return away;
}

/** One step within a model game; before its first move, or by a fork's key, back to the talk. */
function step(way) {
  const last = data.games[game].uci.length;
  const to = { first: 0, last, back: ply - 1, on: Math.min(ply + 1, last) }[way];
  if (to === undefined || to < 0) go(state, "keys");
  else show(game, to);
}

function move(way) {
  if (game !== null) step(way);
  else seek(ways[way](), "keys");
}

let frame = 0;

/** Brings the words and the map's dot into sight with the next frame; of several steps in one only the last. */
function scroll(word, dot) {
  cancelAnimationFrame(frame);
  frame = requestAnimationFrame(() => {
    if (word) word.scrollIntoView({ block: "nearest" });
    if (dot) reveal(dot);
  });
}

/** Keeps exactly one move of the words in the tab order, and the focus on it if a move had it. */
function follow(word, before, node) {
  const active = document.activeElement;
  const [old, next] = [$(`s${before || 1}`), word ?? $("s1")];
  if (old) old.tabIndex = -1;
  if (next) next.tabIndex = 0;
  if (active?.matches("#talk .mv, #talk .jump")) word?.focus({ preventScroll: true });
  if (active?.matches("#lines .mv")) entry[node]?.focus({ preventScroll: true });
}

/** Scrolls the map's sheet, never the page, so that a dot is seen. */
function reveal(dot) {
  const sheet = map.parentElement;
  const [box, at] = [sheet.getBoundingClientRect(), dot.getBoundingClientRect()];
  if (at.top < box.top + 24 || at.bottom > box.bottom - 8) sheet.scrollTop += at.top - box.top - box.height / 2;
  if (at.left < box.left + 8 || at.right > box.right - 8) sheet.scrollLeft += at.left - box.left - box.width / 2;
}

const forks = data.node.flatMap((node, at) => (children[node].length > 1 ? [at] : []));
const ways = {
  first: () => 0,
  last: () => last,
  back: () => state - 1,
  on: () => state + 1,
  up: () => forks.findLast((at) => at < state) ?? 0,
  down: () => forks.find((at) => at > state) ?? last,
};
const keys = { ArrowLeft: "back", ArrowRight: "on", ArrowUp: "up", ArrowDown: "down", Home: "first", End: "last" };

document.addEventListener("keydown", (event) => {
  const way = event.key === "Escape" && game !== null ? "up" : keys[event.key];
  if (!way || within(event, "audio, video") || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  move(way);
});

document.addEventListener("click", (event) => {
  if (event.metaKey || event.ctrlKey || event.shiftKey) return;
  const item = within(event, "[data-s], [data-g], [data-go], [data-other], #turned, #playing, .map");
  if (!item) return;
  if (item.id === "playing") return media.paused ? media.play() : media.pause();
  if (item.id === "turned") return turn();
  if (item.matches(".map")) return nearest(event);
  if (item.dataset.go) return move(item.dataset.go);
  if (item.dataset.g) {
    event.preventDefault();
    const [number, to] = item.dataset.g.split(".").map(Number);
    return show(number, to);
  }
  if (item.dataset.other) return other(data.other[item.dataset.other]);
  if (!item.matches("a") && selecting()) return;
  event.preventDefault();
  const word = data.t && item.dataset.w && wordAt(item, event);
  if (word !== undefined && word !== null && word !== "") hear(data.t[word]);
  else if (data.at) hear(data.at[Number(item.dataset.s)]);
  go(Number(item.dataset.s), item.closest("#lines") ? "map" : "words");
});

function turn() {
  board.side = board.side === "black" ? "white" : "black";
  pressed();
}

function pressed() {
  $("turned").setAttribute("aria-pressed", String(board.side === "black"));
}

/** Another reading of unsure words, on the board until the next step. */
function other(reading) {
  leave();
  elsewhere = true;
  const { perhaps, other_reading } = data.say;
  set({ fen: reading.fen, glide: false }, `${perhaps} ${reading.label}`, other_reading, reading.words);
  board.announce(`${perhaps} ${reading.words}`);
}

/** The state that first showed the dot nearest to a touch of the map. */
function nearest(event) {
  let best = null;
  let least = 24;
  for (const dot of dots) {
    const box = dot.getBoundingClientRect();
    const far = Math.hypot(event.clientX - (box.left + box.right) / 2, event.clientY - (box.top + box.bottom) / 2);
    if (far < least) [best, least] = [dot, far];
  }
  if (best) seek(data.node.indexOf(Number(best.dataset.n)), "map");
}

// Wiping across the board: to the left a step on, to the right a step back.
/** @type {HTMLElement} */
const plate = find(".stand .diagram");
const WIPE = 36; // CSS pixels, a finger's width; less is a touch
let touch = null;
plate.addEventListener("touchstart", (event) => {
  touch = event.touches.length === 1 ? [event.touches[0].clientX, event.touches[0].clientY] : null;
}, { passive: true });
plate.addEventListener("touchend", (event) => {
  if (!touch) return;
  const [x, y] = [event.changedTouches[0].clientX - touch[0], event.changedTouches[0].clientY - touch[1]];
  touch = null;
  if (Math.abs(x) > WIPE && Math.abs(x) > 1.5 * Math.abs(y)) move(x < 0 ? "on" : "back");
}, { passive: true });

// The recording: board and words follow its time, and a touch of a word takes it there.
const media = $("media");
const runs = data.t ? findAll("#talk [data-w]").sort((a, b) => a.dataset.w - b.dataset.w) : [];

/** How many of the rising times lie at or before a moment. */
function upto(times, now) {
  let [low, high] = [0, times.length];
  while (low < high) {
    const mid = (low + high) >> 1;
    if (times[mid] <= now) low = mid + 1;
    else high = mid;
  }
  return low;
}

function hear(time) {
  if (media && time !== undefined) media.currentTime = time;
}

/** Goes to a state, the recording with it. */
function seek(to, by) {
  const at = Math.max(0, Math.min(last, to));
  if (data.at) hear(data.at[at]);
  go(at, by);
}

/** The number of the talk's word that was touched. */
function wordAt(run, event) {
  const spot = document.caretPositionFromPoint?.(event.clientX, event.clientY);
  const range = spot ? null : document.caretRangeFromPoint?.(event.clientX, event.clientY);
  const [node, offset] = spot ? [spot.offsetNode, spot.offset] : [range?.startContainer, range?.startOffset];
  if (!node || !run.contains(node)) return Number(run.dataset.w);
  return Number(run.dataset.w) + (node.textContent ?? "").slice(0, offset).split(/\s+/).length - 1;
}

/** Marks the word being said, where the browser can. */
function say(word) {
  if (!window.Highlight) return;
  CSS.highlights.delete("said");
  /** @type {HTMLElement | undefined} */
  const run = runs[upto(runs.map((item) => Number(item.dataset.w)), word) - 1];
  const text = run?.firstChild;
  if (!text) return;
  const words = [...(text.textContent ?? "").matchAll(/\S+/g)];
  const found = words[word - Number(run.dataset.w)];
  if (!found) return;
  const range = new Range();
  range.setStart(text, found.index);
  range.setEnd(text, found.index + found[0].length);
  CSS.highlights.set("said", new Highlight(range));
}

let saying = -1;

function listen() {
  const now = media.currentTime + 0.02;
  const to = Math.max(0, upto(data.at, now) - 1);
  if (to !== state || game !== null) go(to, "time");
  const word = upto(data.t, now) - 1;
  if (word !== saying) say(word);
  saying = word;
  if (!media.paused) requestAnimationFrame(listen);
}

if (media && data.at) {
  media.addEventListener("play", listen);
  media.addEventListener("seeked", () => media.paused && listen());
}
for (const kind of ["play", "pause"]) {
  media?.addEventListener(kind, () => $("playing").setAttribute("aria-pressed", String(!media.paused)));
}

/**
 * Notes stand beside their sentences. Where a passage's take more room than its words, those are folded to a line of
 * evidence, or to their heads, that neither fail nor ask anything; a touch or the focus unfolds one. Where there is no
 * margin all of these are folded.
 */
const wide = matchMedia("(min-width: 76.01rem)");
const noted = findAll("#talk :is(p, h2, h3, h4, h5, h6)").filter((block) => block.querySelector(".note"));
const SLACK = 2; // lines that notes may reach below their words

function fold() {
  for (const note of document.querySelectorAll(".note.short, .note.bare")) note.classList.remove("short", "bare");
  let left = noted;
  for (const way of ["short", "bare"]) {
    left = wide.matches ? left.filter(crowded) : way === "short" ? left : [];
    for (const block of left) for (const note of block.querySelectorAll(".note:not(.fails, :has(.others))")) note.classList.add(way);
  }
}

function crowded(block) {
  const below = (kind) => [...block.children].findLast((item) => item.matches(kind)).getBoundingClientRect().bottom;
  return below(".note") > below(":not(.note)") + SLACK * parseFloat(getComputedStyle(block).lineHeight);
}

/** On paper nothing unfolds: notes go below their passage, and come back after. */
const moved = [];
function toPaper() {
  for (const block of noted) {
    const below = document.createElement("div");
    below.className = "apparatus";
    for (const note of block.querySelectorAll(".note")) {
      const place = document.createComment("");
      note.replaceWith(place);
      moved.push([place, note]);
      below.append(note);
    }
    (block.closest(".passage") ?? block).after(below);
  }
}

function fromPaper() {
  for (const [place, note] of moved.splice(0)) place.replaceWith(note);
  for (const below of document.querySelectorAll(".apparatus")) below.remove();
}

if (noted.length) {
  fold();
  document.fonts.ready.then(fold);
  wide.addEventListener("change", fold);
  addEventListener("beforeprint", toPaper);
  addEventListener("afterprint", fromPaper);
  document.addEventListener("click", (event) => {
    const note = within(event, ".note.short, .note.bare");
    if (note && !within(event, "a, button") && !selecting()) note.classList.toggle("whole");
  });
}

document.documentElement.classList.remove("still");
board.labels = data.labels;
pressed();
const hash = /^#s(\d+)$/.exec(location.hash);
go(hash ? Number(hash[1]) : 0, "load");
