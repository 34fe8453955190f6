// The lesson page: one board that follows the words. A state is "so many steps of the talk are done".
const data = JSON.parse(document.getElementById("data").textContent);
const $ = (id) => document.getElementById(id);
const SVG = "http://www.w3.org/2000/svg";
const last = data.node.length - 1;
const children = data.fen.map(() => []);
data.parent.forEach((parent, node) => parent !== null && children[parent].push(node));

const board = document.querySelector(".stand .board");
const men = board.querySelector(".men");
const ground = board.querySelectorAll("use")[1];
const under = document.createElementNS(SVG, "g");
const over = document.createElementNS(SVG, "g");
under.setAttribute("class", "ticks");
over.setAttribute("class", "marks");
men.before(under);
men.after(over);
const map = document.querySelector(".map");
const here = map.querySelector(".here");
const trail = map.querySelector(".trail");
const dots = [];
for (const dot of map.querySelectorAll("circle[data-n]")) dots[dot.dataset.n] = dot;

let state = 0;
let black = data.side === "black";
let shown = new Map(); // square -> the piece's element and sign

/** All elements that show a state in the words, and the index entry of each node. */
const told = Array.from({ length: last + 1 }, () => []);
for (const item of document.querySelectorAll("#talk [data-s]:not(.see)")) told[item.dataset.s]?.push(item);
const entry = [];
for (const item of document.querySelectorAll("#lines [data-n]")) entry[item.dataset.n] = item;
for (const item of document.querySelectorAll("#talk .mv, #talk .jump, #lines li > a:not(:first-child)")) item.tabIndex = -1;

function spot(square) {
  const file = square.charCodeAt(0) - 97;
  const rank = 8 - Number(square[1]);
  return black ? [(7 - file) * 100, (7 - rank) * 100] : [file * 100, rank * 100];
}

function use(name, [x, y], kind) {
  const item = document.createElementNS(SVG, "use");
  item.setAttribute("href", "#" + name);
  item.setAttribute("x", x);
  item.setAttribute("y", y);
  if (kind) item.setAttribute("class", kind);
  return item;
}

function pieces(fen) {
  const found = new Map();
  fen.split(" ")[0].split("/").forEach((row, rank) => {
    let file = 0;
    for (const sign of row) {
      if (sign > "0" && sign < "9") file += Number(sign);
      else found.set("abcdefgh"[file++] + (8 - rank), sign);
    }
  });
  return found;
}

/** Puts a position on the board; only squares that change are touched. */
function set(fen) {
  const wanted = pieces(fen);
  for (const [square, [item, sign]] of shown) {
    if (wanted.get(square) === sign) continue;
    item.remove();
    shown.delete(square);
  }
  for (const [square, sign] of wanted) {
    if (shown.has(square)) continue;
    const white = sign === sign.toUpperCase();
    const item = use((white ? "w" : "b") + sign.toUpperCase(), spot(square));
    men.append(item);
    shown.set(square, [item, sign]);
  }
}

function tick(uci) {
  under.replaceChildren(
    ...(uci ? [uci.slice(0, 2), uci.slice(2, 4)] : []).flatMap((square) => [
      use("tick", spot(square), "halo"),
      use("tick", spot(square)),
    ]),
  );
}

function path(from, to, kind) {
  const [[x1, y1], [x2, y2]] = [spot(from), spot(to)];
  const item = document.createElementNS(SVG, "path");
  const far = Math.hypot(x2 - x1, y2 - y1) || 1;
  const [ux, uy] = [(x2 - x1) / far, (y2 - y1) / far];
  const [ex, ey] = [x2 + 50 - ux * 8, y2 + 50 - uy * 8];
  const [bx, by] = [ex - ux * 26, ey - uy * 26];
  const head = `M${bx - uy * 18} ${by + ux * 18}L${ex} ${ey}L${bx + uy * 18} ${by - ux * 18}`;
  item.setAttribute("d", `M${x1 + 50} ${y1 + 50}L${ex} ${ey}${head}`);
  item.setAttribute("class", kind);
  return item;
}

function mark(marks) {
  over.replaceChildren(
    ...marks.flatMap(([shape, ...squares]) =>
      ["halo ", ""].flatMap((halo) =>
        shape === "path"
          ? squares.slice(1).map((square, i) => path(squares[i], square, `${halo}mark path`))
          : squares.map((square) => use(shape, spot(square), `${halo}mark ${shape}`)),
      ),
    ),
  );
}

function caption(label, fen, name, words) {
  $("move").innerHTML = label;
  const turn = fen.split(" ")[1] === "w" ? "White to move" : "Black to move";
  $("turn").textContent = turn;
  $("name").textContent = name;
  board.setAttribute("aria-label", `Board: ${words}, ${turn}`);
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
  const before = state;
  state = Math.max(0, Math.min(last, to));
  const node = data.node[state];
  set(data.fen[node]);
  tick(data.uci[node]);
  mark(data.marks[state] ?? []);
  const where = data.back[state] ? `Back to ${data.label[node]}` : node ? data.label[node] : "The start position";
  caption(where, data.fen[node], data.name[node], data.words[node]);
  chart(node);
  for (const item of told[before]) item.classList.remove("now"), item.removeAttribute("aria-current");
  entry[data.node[before]]?.removeAttribute("aria-current");
  entry[node]?.setAttribute("aria-current", "step");
  if (state) for (const item of told[state]) item.classList.add("now");
  const word = $("s" + state);
  word?.setAttribute("aria-current", "step");
  follow(word, before, node);
  if (by === "load") return;
  const marks = (data.marks[state] ?? []).map(([shape, ...on]) => `, ${shape} on ${on.join(" to ")}`).join("");
  $("live").textContent = (data.back[state] ? "Back to " : "") + data.words[node] + marks;
  history.replaceState(null, "", state ? "#s" + state : location.pathname + location.search);
  scroll(by !== "words" && (word ?? told[state][0]), by !== "map" && dots[node]);
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
  const [old, next] = [$("s" + (before || 1)), word ?? $("s1")];
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
  const way = keys[event.key];
  if (!way || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  go(ways[way](), "keys");
});

document.addEventListener("click", (event) => {
  if (event.metaKey || event.ctrlKey || event.shiftKey) return;
  const item = event.target.closest("[data-s], [data-go], [data-other], #turned, .map");
  if (!item) return;
  if (item.id === "turned") return turn();
  if (item.matches(".map")) return nearest(event);
  if (item.dataset.go) return go(ways[item.dataset.go](), "keys");
  if (item.dataset.other) return other(data.other[item.dataset.other]);
  if (!item.matches("a") && !getSelection().isCollapsed) return; // the reader is selecting text
  event.preventDefault();
  go(Number(item.dataset.s), item.closest("#lines") ? "map" : "words");
});

function turn() {
  black = !black;
  $("turned").setAttribute("aria-pressed", String(black));
  ground.setAttribute("href", black ? "#co-b" : "#co-w");
  for (const [item] of shown.values()) item.remove();
  shown.clear();
  go(state, "load");
}

/** Another reading of unsure words, on the board until the next step. */
function other(reading) {
  set(reading.fen);
  tick("");
  mark([]);
  caption(`Perhaps ${reading.label}`, reading.fen, "another reading of unsure words", reading.words);
  $("live").textContent = `Perhaps ${reading.words}`;
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
  if (best) go(data.node.indexOf(Number(best.dataset.n)), "map");
}

document.documentElement.classList.remove("still");
men.replaceChildren();
ground.setAttribute("href", black ? "#co-b" : "#co-w");
$("turned").setAttribute("aria-pressed", String(black));
const hash = /^#s(\d+)$/.exec(location.hash);
go(hash ? Number(hash[1]) : 0, "load");
