/** Dictation: the microphone's sound goes to the desk, phrases come back as words. */

/** Samples a second that the recogniser takes. */
const RATE = 16000;

export class Dictation {
  /**
   * @param {HTMLButtonElement} button
   * @param {{phrase: (text: string) => void, state: (words: string) => void, about: () => string}} told
   */
  constructor(button, told) {
    this.button = button;
    this.told = told;
    this.stopping = null;
  }

  toggle() {
    if (this.stopping) this.stopping();
    else this.start();
  }

  async start() {
    this.show(true);
    let stream = null;
    try {
      stream = await navigator.mediaDevices.getUserMedia({
        audio: { channelCount: 1, echoCancellation: true, noiseSuppression: true, autoGainControl: true },
      });
    } catch (error) {
      this.told.state(`the microphone can’t be heard: ${error.message}`);
      this.show(false);
      return;
    }
    const socket = new WebSocket(`${location.origin.replace(/^http/, "ws")}/dictate?about=${encodeURIComponent(this.told.about())}`);
    const sound = new AudioContext({ sampleRate: RATE });
    const done = () => {
      this.stopping = null;
      this.show(false);
      for (const track of stream.getTracks()) track.stop();
      if (sound.state !== "closed") sound.close();
    };
    this.stopping = () => {
      for (const track of stream.getTracks()) track.stop();
      if (socket.readyState === WebSocket.OPEN) socket.send(JSON.stringify({ do: "end" }));
      else socket.close();
      this.stopping = () => socket.close();
    };
    socket.addEventListener("close", done);
    socket.addEventListener("message", (event) => this.take(JSON.parse(event.data), socket));
    this.told.state("loading the speech model");
    await sound.audioWorklet.addModule("/static/microphone.js");
    const node = new AudioWorkletNode(sound, "microphone", { numberOfOutputs: 0 });
    node.port.onmessage = (event) => {
      if (socket.readyState === WebSocket.OPEN && this.listening) socket.send(event.data);
    };
    sound.createMediaStreamSource(stream).connect(node);
  }

  take(message, socket) {
    if (message.what === "ready") {
      this.listening = true;
      this.told.state("listening");
    } else if (message.what === "speaking") this.button.classList.toggle("speaking", message.now);
    else if (message.what === "phrase") this.told.phrase(message.text);
    else if (message.what === "ended") socket.close();
    else if (message.what === "trouble") this.told.state(`${message.why}. ${message.todo}`);
  }

  show(on) {
    this.listening &&= on;
    this.button.setAttribute("aria-pressed", String(on));
    this.button.textContent = on ? "Stop dictating" : "Dictate";
    this.button.classList.remove("speaking");
  }
}
