// One take as it is played: microphone, line to the ear, and what the page shows of both.
import { Microphone, MicrophoneError, type MicrophoneTrouble } from '../../live/microphone';
import { LiveStream, type LinkState, type StartWith } from '../../live/stream';
import type { Message, StateMessage } from '../../live/messages';
import type { Part, Take } from '../../server/shapes';
import { click } from '../../sound/tone';
import { reach } from '../../sound/context';
import { Follower, type Phase } from './follow';
import { Recent } from './recent';
import { slurFrom, type ShownSlur } from './slur';

/** Runs something once the picture that is being made has been painted. */
function afterPaint(run: () => void): void {
  const { port1, port2 } = new MessageChannel();
  port1.onmessage = () => {
    port1.close();
    run();
  };
  port2.postMessage(null);
}

export type Stage = 'idle' | 'asking' | 'counting' | 'listening' | 'saving' | 'saved' | 'dropped';

export class Session {
  stage = $state<Stage>('idle');
  trouble = $state<MicrophoneTrouble | 'lost' | null>(null);
  processed = $state(false);
  beat = $state(0);
  line = $state(0);
  note = $state<string | null>(null);
  phase = $state<Phase>('waiting');
  rest_left_s = $state(0);
  now = $state.raw<StateMessage | null>(null);
  slur = $state.raw<ShownSlur | null>(null);
  /** How far off each note was when it ended, by its id; null when it could not be told. */
  played = $state.raw<Record<string, number | null>>({});
  link = $state<LinkState>('closed');
  held_s = $state(0);
  gaps = $state.raw<{ seconds: number }[]>([]);
  delay_ms = $state<number | null>(null);
  take = $state.raw<Take | null>(null);
  heard = $state(false);
  levelAlone = $state(false);
  recent = new Recent();

  #microphone: Microphone | null = null;
  #stream: LiveStream | null = null;
  #follower: Follower | null = null;
  #part: Part | null = null;
  /** The newest state, until the next picture shows it. */
  #next: StateMessage | null = null;
  handsFree = true;

  lay(part: Part | null): void {
    this.#part = part;
    this.#follower = new Follower(part?.lines ?? []);
    this.#show();
  }

  turnTo(line: number): void {
    this.#follower?.turnTo(line);
    this.#show();
  }

  async begin(start: Omit<StartWith, 'sample_rate'>, count: { beats: number; tempo: number }): Promise<void> {
    if (this.stage === 'asking' || this.stage === 'counting' || this.stage === 'listening') return;
    this.#reset();
    this.stage = 'asking';
    try {
      this.#microphone = await Microphone.open();
    } catch (error) {
      this.trouble = error instanceof MicrophoneError ? error.trouble : 'failed';
      this.stage = 'idle';
      return;
    }
    this.processed = this.#microphone.processed;
    if (count.beats > 0) await this.#countIn(count.beats, count.tempo);
    const microphone = this.#microphone;
    // Left while counting.
    if (!microphone) return;
    const stream = new LiveStream({ ...start, sample_rate: microphone.sampleRate });
    this.#stream = stream;
    stream.changed = (state) => (this.link = state);
    stream.said = (message) => this.#hear(message);
    microphone.heard = (block) => {
      stream.push(block);
      if (this.link !== 'open') this.held_s = stream.held_s;
    };
    microphone.gone = () => this.finish('stop');
    this.link = 'opening';
    this.stage = 'listening';
  }

  finish(how: 'stop' | 'discard'): void {
    if (this.stage === 'counting' || this.stage === 'asking') {
      this.leave();
      return;
    }
    if (this.stage !== 'listening') return;
    this.#microphone?.close();
    this.#microphone = null;
    this.stage = 'saving';
    this.now = null;
    this.#stream?.finish(how);
  }

  /** Lets everything go, for instance when the page is left. A take under way is finished, not lost. */
  leave(): void {
    if (this.stage === 'listening') this.finish('stop');
    else {
      this.#microphone?.close();
      this.#microphone = null;
      if (this.stage !== 'saving' && this.stage !== 'saved') this.stage = 'idle';
    }
  }

  #reset(): void {
    this.#stream?.close();
    this.trouble = null;
    this.take = null;
    this.heard = false;
    this.slur = null;
    this.played = {};
    this.gaps = [];
    this.delay_ms = null;
    this.recent = new Recent();
    this.lay(this.#part);
  }

  async #countIn(beats: number, tempo: number): Promise<void> {
    this.stage = 'counting';
    const context = await reach();
    const start = context.currentTime + 0.08;
    const step = 60 / tempo;
    for (let n = 0; n < beats; n++) click(context, start + n * step, n === 0);
    for (let n = 0; n < beats && this.stage === 'counting'; n++) {
      this.beat = n + 1;
      const until = start + (n + 1) * step;
      await new Promise((on) => setTimeout(on, Math.max(0, (until - context.currentTime) * 1000)));
    }
    this.beat = 0;
  }

  #hear(message: Message): void {
    switch (message.type) {
      case 'ready':
        this.held_s = 0;
        break;
      case 'state':
        this.#state(message);
        break;
      case 'note':
        if (message.note) this.played = { ...this.played, [message.note]: message.pitch_cents };
        break;
      case 'slur':
        this.slur = slurFrom(message, this.recent);
        break;
      case 'gap':
        this.gaps = [...this.gaps, message];
        break;
      case 'saved':
        this.take = message.take;
        this.stage = 'saved';
        break;
      case 'heard':
        this.heard = true;
        this.#stream?.close();
        break;
      case 'discarded':
        this.stage = 'dropped';
        this.#stream?.close();
        break;
      case 'error':
        // A take that can't be kept just now is tried again by the line itself; anything else ends the wait.
        if (message.fatal || (this.stage === 'saving' && !['busy', 'disk-full'].includes(message.code))) {
          this.trouble = 'lost';
          this.#microphone?.close();
          this.#microphone = null;
          if (this.stage !== 'saved') this.stage = 'idle';
          this.#stream?.close();
        }
        break;
      default:
    }
  }

  #state(said: StateMessage): void {
    // A program that does not follow pitch live sends the level alone; the take is heard all the same.
    this.levelAlone = !('f0_hz' in said);
    const message: StateMessage = { ...said, f0_hz: said.f0_hz ?? null, confidence: said.confidence ?? 0, line: said.line ?? null, note: said.note ?? null };
    // The trace shows what sounded when: the pitch belongs to the moment it was heard at.
    this.recent.add({ ...message, at_s: message.heard_s ?? message.at_s });
    const index = typeof message.line === 'number' ? message.line : (this.#part?.lines.findIndex((one) => one.id === message.line) ?? -1);
    this.#follower?.hear({ at_s: message.at_s, sounding: message.f0_hz !== null && message.confidence > 0.3, line: index >= 0 ? index : null, note: message.note });
    if (this.#next === null) requestAnimationFrame(() => this.#draw());
    this.#next = message;
    if (this.handsFree && this.#follower?.phase === 'over' && this.#part) this.finish('stop');
  }

  /** Once a picture: states come oftener, and only the newest is worth drawing. */
  #draw(): void {
    const message = this.#next;
    this.#next = null;
    if (!message || this.stage !== 'listening') return;
    this.now = message;
    this.#show();
    afterPaint(() => {
      const age_ms = this.#stream?.age_ms(message.heard_s ?? message.at_s);
      if (age_ms !== undefined && this.#microphone && this.stage === 'listening') this.delay_ms = this.recent.delay_p95(age_ms + this.#microphone.latency_ms);
    });
  }

  #show(): void {
    const follower = this.#follower;
    if (!follower) return;
    this.line = follower.line;
    this.note = follower.note;
    this.phase = follower.phase;
    this.rest_left_s = follower.rest_left_s;
  }
}
