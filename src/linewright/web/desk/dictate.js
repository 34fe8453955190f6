/** Dictation: the microphone's sound goes to the desk, phrases come back as words. */

import { listen } from "./listening.js";

export class Dictation {
  /**
   * @param {HTMLButtonElement} button
   * @param {{phrase: (text: string) => void, state: (words: string) => void, about: () => string}} host
   */
  constructor(button, host) {
    this.button = button;
    this.host = host;
    /** @type {WebSocket | null} */
    this.socket = null;
    this.close = () => {};
  }

  toggle() {
    if (this.socket) this.stop();
    else this.start();
  }

  /** The model is loaded first; the microphone is only open while it is heard. */
  start() {
    const about = encodeURIComponent(this.host.about());
    const socket = new WebSocket(`${location.origin.replace(/^http/, "ws")}/dictate?about=${about}`);
    this.socket = socket;
    this.show(true);
    this.host.state("loading the speech model");
    socket.addEventListener("message", (event) => this.take(JSON.parse(event.data)));
    socket.addEventListener("close", () => {
      this.close();
      this.socket = null;
      this.show(false);
    });
  }

  /** What was said before is still heard. */
  stop() {
    this.close();
    if (this.socket?.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify({ do: "end" }));
    else this.socket?.close();
  }

  /** @param {import("./dictation_messages").ToDictation} message */
  take(message) {
    if (message.what === "ready" && this.socket) this.listen(this.socket);
    else if (message.what === "speaking") this.button.classList.toggle("speaking", message.now);
    else if (message.what === "phrase") this.host.phrase(message.text);
    else if (message.what === "ended") this.socket?.close();
    else if (message.what === "trouble") this.host.state(`${message.why}. ${message.todo}`);
  }

  /** @param {WebSocket} socket */
  async listen(socket) {
    const open = () => socket.readyState === WebSocket.OPEN;
    try {
      this.close = await listen(true, (samples) => open() && socket.send(samples));
    } catch (error) {
      this.host.state(`the microphone can’t be used: ${error.message}`);
      socket.close();
      return;
    }
    if (open()) this.host.state("listening");
    else this.close();
  }

  show(on) {
    this.button.setAttribute("aria-pressed", String(on));
    this.button.textContent = on ? "Stop dictating" : "Dictate";
    this.button.classList.remove("speaking");
  }
}
