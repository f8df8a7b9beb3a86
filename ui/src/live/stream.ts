// The line to the ear: sends blocks, keeps what is not yet safe, takes up again after a break.
import { encode, type SentBlock } from './frames';
import { parsed, type Message } from './messages';
import type { Block } from './microphone';
import { Ring } from './ring';

const keep_s = 60;
const first_wait_ms = 250;
const longest_wait_ms = 3000;

export interface StartWith {
  sample_rate: number;
  instrument: string;
  player?: string;
  exercise?: string;
  text?: string;
  level?: string;
  title?: string;
}
export type LinkState = 'opening' | 'open' | 'broken' | 'closed';
/** The part of WebSocket that is used, so that a test can stand in for it. */
export type Socket = Pick<WebSocket, 'send' | 'close' | 'binaryType' | 'onopen' | 'onmessage' | 'onclose'>;

export class LiveStream {
  said: (message: Message) => void = () => {};
  changed: (state: LinkState) => void = () => {};
  #socket: Socket | null = null;
  #state: LinkState = 'opening';
  #take: string | null = null;
  #seq = 0;
  /** Where the microphone was when the take began: a count-in is not part of it. */
  #origin: number | null = null;
  /** The page's clock when the take's first sample sounded, as the quickest block tells it. */
  #zero_ms = Infinity;
  #ready = false;
  #wait = first_wait_ms;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #last: string | null = null;
  readonly ring: Ring;

  constructor(
    private readonly start: StartWith,
    private readonly open: () => Socket = () => new WebSocket(`${location.origin.replace(/^http/, 'ws')}/api/live`),
  ) {
    this.ring = new Ring(keep_s * start.sample_rate);
    this.#connect();
  }

  get state(): LinkState {
    return this.#state;
  }

  /** Seconds held here because they are not yet safe at the server. */
  get held_s(): number {
    return this.ring.samples / this.start.sample_rate;
  }

  push(block: Block): void {
    this.#origin ??= block.first;
    const first = block.first - this.#origin;
    this.#zero_ms = Math.min(this.#zero_ms, performance.now() - ((first + block.samples.length) / this.start.sample_rate) * 1000);
    const one: SentBlock = { seq: this.#seq++, first, samples: block.samples };
    this.ring.add(one);
    if (this.#ready) this.#send(one);
  }

  /** How long ago a moment of the take sounded, milliseconds. */
  age_ms(at_s: number): number {
    return performance.now() - this.#zero_ms - at_s * 1000;
  }

  /** Ends the take; the server saves it and hears it whole. Said again after a break if need be. */
  finish(how: 'stop' | 'discard'): void {
    this.#last = JSON.stringify({ type: how });
    if (this.#ready) this.#socket?.send(this.#last);
  }

  close(): void {
    clearTimeout(this.#timer);
    this.#set('closed');
    this.#ready = false;
    this.#socket?.close();
    this.#socket = null;
  }

  #set(state: LinkState): void {
    if (this.#state === state || this.#state === 'closed') return;
    this.#state = state;
    this.changed(state);
  }

  #connect(): void {
    const socket = this.open();
    socket.binaryType = 'arraybuffer';
    socket.onopen = () => {
      const hello = this.#take ? { type: 'resume', take: this.#take } : { type: 'start', format: 'f32', ...this.start };
      socket.send(JSON.stringify(hello));
    };
    socket.onmessage = (event) => {
      const message = typeof event.data === 'string' ? parsed(event.data) : null;
      if (message) this.#hear(message);
    };
    socket.onclose = () => {
      if (socket !== this.#socket || this.#state === 'closed') return;
      this.#ready = false;
      this.#set('broken');
      this.#timer = setTimeout(() => this.#connect(), this.#wait);
      this.#wait = Math.min(longest_wait_ms, this.#wait * 2);
    };
    this.#socket = socket;
  }

  #hear(message: Message): void {
    if (message.type === 'ready') {
      this.#take = message.take;
      this.#ready = true;
      this.#wait = first_wait_ms;
      this.#set('open');
      this.#again(message.next_seq);
      if (this.#last) this.#socket?.send(this.#last);
    } else if (message.type === 'ack') this.ring.release(message.durable_seq);
    else if (message.type === 'resend') this.#again(message.from_seq);
    else if (message.type === 'error' && message.fatal) {
      this.said(message);
      this.close();
      return;
    }
    this.said(message);
  }

  /** Sends everything from a block on; says so when the oldest of it is no longer held. */
  #again(from: number): void {
    const oldest = this.ring.oldest;
    if (oldest && oldest.seq > from) this.#socket?.send(JSON.stringify({ type: 'skip', to_seq: oldest.seq, to_sample: oldest.first }));
    for (const one of this.ring.from(from)) this.#send(one);
  }

  #send(block: SentBlock): void {
    this.#socket?.send(encode(block, performance.now()));
  }
}
