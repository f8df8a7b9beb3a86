// The microphone with all of the browser's own processing off, as blocks of samples.
import captureAddress from './capture.worklet.ts?worker&url';

export type MicrophoneTrouble = 'denied' | 'missing' | 'insecure' | 'failed';
export class MicrophoneError extends Error {
  constructor(readonly trouble: MicrophoneTrouble) {
    super(trouble);
    this.name = 'MicrophoneError';
  }
}

export interface Block {
  /** Index of the first sample since the start. */
  first: number;
  samples: Float32Array<ArrayBuffer>;
}

const asked: MediaTrackConstraints = { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 };

export class Microphone {
  /** Called with each block, from the moment it is set. */
  heard: (block: Block) => void = () => {};
  /** Called when the microphone goes away. */
  gone: () => void = () => {};

  private constructor(
    private readonly stream: MediaStream,
    readonly context: AudioContext,
    /** True when the browser kept some of its processing on although asked not to. */
    readonly processed: boolean,
    /** How old a sound is when its block is handed over, as far as the browser says: the buffer of the microphone and that of the audio thread, ms. */
    readonly latency_ms: number,
  ) {}

  static async open(): Promise<Microphone> {
    if (!window.isSecureContext || !navigator.mediaDevices?.getUserMedia) throw new MicrophoneError('insecure');
    let stream: MediaStream;
    try {
      stream = await navigator.mediaDevices.getUserMedia({ audio: asked, video: false });
    } catch (error) {
      const name = error instanceof DOMException ? error.name : '';
      throw new MicrophoneError(name === 'NotAllowedError' ? 'denied' : name === 'NotFoundError' ? 'missing' : 'failed');
    }
    const track = stream.getAudioTracks()[0];
    const got: MediaTrackSettings & { latency?: number } = track?.getSettings() ?? {};
    const context = new AudioContext({ latencyHint: 'interactive' });
    const one = new Microphone(stream, context, Boolean(got.echoCancellation || got.noiseSuppression || got.autoGainControl), 1000 * ((got.latency ?? 0) + (context.baseLatency || 0)));
    try {
      await context.audioWorklet.addModule(captureAddress);
      const node = new AudioWorkletNode(context, 'capture', { numberOfInputs: 1, numberOfOutputs: 1, channelCount: 1, channelCountMode: 'explicit' });
      node.port.onmessage = (event: MessageEvent<Block>) => one.heard(event.data);
      // Some browsers only run what reaches the loudspeaker; it does so in silence.
      const silence = context.createGain();
      silence.gain.value = 0;
      context.createMediaStreamSource(stream).connect(node).connect(silence).connect(context.destination);
      if (context.state === 'suspended') await context.resume();
    } catch {
      one.close();
      throw new MicrophoneError('failed');
    }
    track?.addEventListener('ended', () => one.gone());
    return one;
  }

  get sampleRate(): number {
    return this.context.sampleRate;
  }

  close(): void {
    for (const track of this.stream.getTracks()) track.stop();
    void this.context.close().catch(() => {});
  }
}
