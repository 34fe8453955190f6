/** In the browser's sound thread: the microphone's samples as 16-bit numbers, a twelfth of a second at a time. */

const CHUNK = 1280;

class Microphone extends AudioWorkletProcessor {
  constructor() {
    super();
    this.held = new Int16Array(CHUNK);
    this.count = 0;
  }

  process(inputs) {
    const samples = inputs[0]?.[0] ?? [];
    for (const sample of samples) {
      this.held[this.count] = Math.max(-1, Math.min(1, sample)) * 32767;
      this.count += 1;
      if (this.count === CHUNK) {
        this.port.postMessage(this.held.buffer, [this.held.buffer]);
        this.held = new Int16Array(CHUNK);
        this.count = 0;
      }
    }
    return true;
  }
}

registerProcessor("microphone", Microphone);
