/** The browser's microphone: opened, its samples handed on a twelfth of a second at a time, and closed again. */

/** Samples a second, as the recogniser takes them. */
export const RATE = 16000;

/**
 * @param {boolean} clear  let the browser take echo and noise out and level the loudness, as suits recognition; without
 *   it the sound comes as it is.
 * @param {(samples: ArrayBuffer) => void} take  16-bit numbers, mono.
 * @returns {Promise<() => void>} closes the microphone.
 * @throws {Error} when it may not be used, or there is none.
 */
export async function listen(clear, take) {
  const stream = await navigator.mediaDevices.getUserMedia({
    audio: { channelCount: 1, echoCancellation: clear, noiseSuppression: clear, autoGainControl: clear },
  });
  const sound = new AudioContext({ sampleRate: RATE });
  const close = () => {
    for (const track of stream.getTracks()) track.stop();
    if (sound.state !== "closed") sound.close();
  };
  try {
    await sound.audioWorklet.addModule("/static/microphone.js");
    const node = new AudioWorkletNode(sound, "microphone", { numberOfOutputs: 0 });
    node.port.onmessage = (event) => take(event.data);
    sound.createMediaStreamSource(stream).connect(node);
  } catch (error) {
    close();
    throw error;
  }
  return close;
}
