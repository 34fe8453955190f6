/** The stage: only the board, as the room shows it. Keys work here too, for a window that has the focus. */

import "/element/index.js";
import { byId, only, talkName } from "./dom.js";
import { Room, actOf } from "./room.js";

/** @type {import("/element/index.js").Board} */
const board = only("lw-board");
const [line, name] = [byId("line"), byId("name")];
/** @type {import("./room_messages").SceneShown | null} */
let scene = null;

const room = new Room(talkName(), {
  scene(message) {
    const first = scene === null;
    scene = message;
    board.side = scene.side;
    board.show({ fen: scene.fen, marks: scene.marks, last: scene.last, glide: !first });
    if (line.textContent !== scene.line) line.textContent = scene.line;
    if (name.textContent !== scene.name) name.textContent = scene.name;
  },
});

addEventListener("keydown", (event) => {
  if (event.key === "f" && !event.ctrlKey && !event.metaKey) {
    document.documentElement.requestFullscreen?.();
    return;
  }
  const act = actOf(event);
  if (!act || act === "clap") return;
  event.preventDefault();
  room.press(act === "pause" && scene?.paused ? "on" : act);
});
