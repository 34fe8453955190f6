/** The prompter: words now and next, the next move, the clocks, and the keys that move the stage. */

import "/element/index.js";
import { Dictation } from "./dictate.js";
import { byId, make, only, talkName } from "./dom.js";
import { Loudness, click } from "./loudness.js";
import { Room, actOf } from "./room.js";

/** Seconds that the pace looks back, and that it needs. */
const BACK = 60;
const NEEDS = 12;

const stillness = matchMedia("(prefers-reduced-motion: reduce)");
/** @type {import("/element/index.js").Board} */
const board = only("lw-board");
/** @type {import("./room_messages").ScriptShown | null} */
let script = null;
/** @type {import("./room_messages").SceneShown | null} */
let scene = null;
/** The run's clock: seconds spent when the message came, and when it came. */
let run = { on: false, spent: 0, resting: false, finished: "", came: 0 };
/** Stops come to on the walk: seconds spent, and words said until then. @type {[number, number][]} */
let reached = [];

const room = new Room(
  talkName(),
  { script: takeScript, scene: takeScene, run: takeRun, clapped: () => say("clap noted"), trouble: takeTrouble },
  (open) => say(open ? "in step" : "no connection; trying again"),
);

function say(words) {
  byId("state").textContent = words;
}

function takeTrouble({ why, todo }) {
  byId("trouble").textContent = `${why}. ${todo}`;
  if (scene) takeScene(scene);
}

function takeScript(/** @type {import("./room_messages").ScriptShown} */ message) {
  script = message;
  writeOut(script);
  only("h1").textContent = message.title;
  byId("parts").replaceChildren(
    ...message.parts.map((part) =>
      make(
        "li",
        {},
        make("button", { type: "button", onclick: () => room.act({ do: "go", to: part.first, by: "keys" }) }, part.name),
        make("span", { class: "soft" }, clock(part.seconds)),
      ),
    ),
  );
  if (scene) takeScene(scene);
}

/** The whole talk as it flows, each stop's words in a piece of their own: those with which to press the key are bold. */
function writeOut(/** @type {import("./room_messages").ScriptShown} */ script) {
  const paragraphs = [make("p")];
  script.stops.forEach((stop, number) => {
    stop.text.split("\n\n").forEach((text, index) => {
      if (index || (stop.breaks && paragraphs.at(-1).childNodes.length)) paragraphs.push(make("p"));
      const words = text.split(" ");
      const own = index ? 0 : Math.min(stop.own, words.length);
      const move = own > 0 && make("b", {}, words.slice(0, own).join(" "));
      const rest = (own && own < words.length ? " " : "") + words.slice(own).join(" ");
      paragraphs.at(-1).append(make("span", { "data-stop": number }, move, rest), " ");
    });
  });
  byId("script").replaceChildren(...paragraphs);
}

/** Marks the words to be said now, and brings them to a third of the sheet's height. */
function place(at) {
  const sheet = byId("script");
  let first = null;
  for (const piece of sheet.querySelectorAll("[data-stop]")) {
    const stop = Number(piece.dataset.stop);
    piece.classList.toggle("said", stop < at);
    piece.classList.toggle("now", stop === at);
    piece.removeAttribute("id");
    if (stop === at) first ??= piece;
  }
  if (!first) return;
  first.id = "now";
  const top = first.getBoundingClientRect().top - sheet.getBoundingClientRect().top + sheet.scrollTop;
  sheet.scrollTo({ top: top - sheet.clientHeight / 4, behavior: stillness.matches ? "instant" : "smooth" });
}

function takeScene(/** @type {import("./room_messages").SceneShown} */ message) {
  const moved = !scene || scene.at !== message.at;
  scene = message;
  const stops = script?.stops ?? [];
  board.side = message.side;
  board.show({ fen: message.fen, marks: message.marks, last: message.last });
  byId("line").textContent = message.line;
  byId("name").textContent = message.name;
  byId("off").hidden = !message.aside;
  document.body.classList.toggle("away", message.aside);
  press("aside", message.aside);
  press("pause", message.paused);
  if (!script) return;
  const [now, next, then] = [0, 1, 2].map((far) => stops[message.at + far]);
  byId("next").textContent = next?.label ?? "the end";
  byId("then").textContent = then ? `then ${then.label}` : "";
  if (moved || byId("now") === null) place(message.at);
  [...byId("parts").querySelectorAll("button")].forEach((button, part) => {
    if (part === now?.part) button.setAttribute("aria-current", "step");
    else button.removeAttribute("aria-current");
  });
  if (moved && run.on) reached.push([spent(), stops.slice(0, message.at).reduce((sum, stop) => sum + stop.count, 0)]);
  tick();
}

function takeRun(/** @type {import("./room_messages").RunShown} */ message) {
  if (message.on && !run.on) {
    reached = [[message.spent, 0]];
    byId("trouble").textContent = "";
  }
  run = { ...message, came: performance.now() };
  byId("run").textContent = run.on ? "Finish the run" : "Begin a run";
  if (message.finished) say(`kept as ${message.finished}`);
  else if (run.on) say("the run is going");
  tick();
}

/** Seconds of the run, pauses left out. */
function spent() {
  return run.spent + (run.on && !run.resting ? (performance.now() - run.came) / 1000 : 0);
}

/** Words a minute over the last while, null when that says nothing yet. */
function pace() {
  const now = spent();
  const since = reached.filter(([at]) => at <= now - BACK).at(-1) ?? reached[0];
  const last = reached.at(-1);
  if (!since || !last || last[0] - since[0] < NEEDS || last[1] <= since[1]) return null;
  return ((last[1] - since[1]) / (last[0] - since[0])) * 60;
}

function tick() {
  if (!script || !scene) return;
  const now = spent();
  const sum = (stops) => stops.reduce((all, stop) => all + stop.seconds, 0);
  const planned = sum(script.stops.slice(0, scene.at));
  const here = script.stops[scene.at]?.seconds ?? 0;
  const since = run.on ? Math.max(0, now - (reached.at(-1)?.[0] ?? 0)) : 0;
  const left = Math.max(0, here - since) + sum(script.stops.slice(scene.at + 1));
  const late = now - planned - Math.min(since, here);
  write("spent", clock(now));
  write("left", clock(left));
  write("plan", !run.on ? clock(planned + here + sum(script.stops.slice(scene.at + 1))) : Math.abs(late) < 5 ? "in time" : `${clock(Math.abs(late))} ${late > 0 ? "late" : "early"}`);
  const words = pace();
  write("pace", words === null ? `plan ${script.rate}` : `${Math.round(words)} (plan ${script.rate})`);
}

function write(id, text) {
  if (byId(id).textContent !== text) byId(id).textContent = text;
}

function clock(seconds) {
  const whole = Math.round(seconds);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

function press(act, on) {
  only(`[data-act="${act}"]`).setAttribute("aria-pressed", String(on));
}

function act(name) {
  byId("trouble").textContent = "";
  if (name === "clap") room.act({ do: "clap", late: click() });
  else room.press(name === "pause" && scene?.paused ? "on" : name);
}

addEventListener("keydown", (event) => {
  const name = actOf(event);
  if (!name) return;
  event.preventDefault();
  act(name);
});
document.addEventListener("click", (event) => {
  const target = /** @type {Element} */ (event.target);
  const button = /** @type {HTMLElement | null} */ (target.closest("[data-act], [data-mark]"));
  const piece = /** @type {HTMLElement | null} */ (target.closest("[data-stop]"));
  if (piece && getSelection()?.isCollapsed) room.act({ do: "go", to: Number(piece.dataset.stop), by: "keys" });
  // A button that was pointed at lets go of the keys: the next space goes on, it does not press again.
  if (event.detail) target.closest("button")?.blur();
  if (button?.dataset.act) act(button.dataset.act);
  if (button?.dataset.mark) marking(button);
});

/** Marks by touch: one shape is chosen, or none and the board takes moves. */
function marking(button) {
  const on = button.getAttribute("aria-pressed") !== "true";
  for (const other of document.querySelectorAll("[data-mark]")) other.setAttribute("aria-pressed", String(on && other === button));
  if (on) board.setAttribute("marking", button.dataset.mark);
  else board.removeAttribute("marking");
}

// The room says what stands on the board: the element only proposes.
board.addEventListener("lw-move", (event) => {
  event.preventDefault();
  room.act({ do: "play", uci: event.detail.uci });
});
board.addEventListener("lw-mark", (event) => {
  event.preventDefault();
  room.act({ do: "mark", marks: event.detail.marks });
  board.announce(event.detail.words);
});

byId("run").addEventListener("click", () => room.act({ do: run.on ? "finish" : "begin" }));

const loudness = new Loudness((levels, every) => room.act({ do: "loud", level: levels, every }));
byId("loud").addEventListener("click", async () => {
  try {
    byId("loud").setAttribute("aria-pressed", String(await loudness.toggle()));
  } catch (error) {
    say(`the microphone can’t be heard: ${error.message}`);
  }
});

const voice = byId("voice");
const dictation = new Dictation(voice, {
  phrase: (text) => room.act({ do: "said", text }),
  state: say,
  about: () => scene?.name ?? "",
});
const show = dictation.show.bind(dictation);
dictation.show = (on) => {
  show(on);
  voice.textContent = on ? "Stop following" : "Follow my voice";
};
voice.addEventListener("click", () => dictation.toggle());

setInterval(tick, 500);
