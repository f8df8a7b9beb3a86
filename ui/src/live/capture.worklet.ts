// Runs in the audio thread: gathers the microphone's samples into blocks and hands them over with their place since the start.
declare const currentFrame: number;
declare const sampleRate: number;
declare class AudioWorkletProcessor {
  readonly port: MessagePort;
}
declare function registerProcessor(name: string, processor: new () => AudioWorkletProcessor): void;

// Two quanta: a longer block would keep the picture waiting, a shorter one only makes more messages.
const block = 256;
// The first moments of a stream stutter while the sound card starts: counting begins once this
// many quanta (some 90 ms) have come without a hole.
const settled = 32;
/** A busy machine may never get that far: after a second it begins all the same, and shows its holes. */
const patience_s = 1;

class Capture extends AudioWorkletProcessor {
  #start = -1;
  #woke = -1;
  #steady = 0;
  #next = -1;
  #held = new Float32Array(block);
  #count = 0;
  #first = 0;

  process(inputs: Float32Array[][]): boolean {
    const samples = inputs[0]?.[0];
    // Nothing connected or the microphone skipped: the next block's place shows the hole.
    if (!samples) return true;
    if (this.#start < 0) {
      this.#steady = currentFrame === this.#next ? this.#steady + 1 : 0;
      this.#next = currentFrame + samples.length;
      if (this.#woke < 0) this.#woke = currentFrame;
      if (this.#steady < settled && currentFrame - this.#woke < patience_s * sampleRate) return true;
      this.#start = currentFrame;
    }
    const at = currentFrame - this.#start;
    if (this.#count > 0 && at !== this.#first + this.#count) this.#hand();
    if (this.#count === 0) this.#first = at;
    this.#held.set(samples, this.#count);
    this.#count += samples.length;
    if (this.#count + samples.length > block) this.#hand();
    return true;
  }

  #hand(): void {
    const samples = this.#held.slice(0, this.#count);
    this.port.postMessage({ first: this.#first, samples }, [samples.buffer]);
    this.#count = 0;
  }
}

registerProcessor('capture', Capture);
