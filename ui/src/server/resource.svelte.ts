// Something asked of the server, with its three faces: waiting, failed, here.
import { asFailure, type Failure } from './failure';

export class Resource<T> {
  value = $state.raw<T | null>(null);
  failure = $state.raw<Failure | null>(null);
  waiting = $state(false);
  #turn = 0;
  #stop: AbortController | null = null;

  /** Asks; a newer question drops the older one. The last good value stays until the new one is here. */
  async load(question: (signal: AbortSignal) => Promise<T>): Promise<T | null> {
    const turn = ++this.#turn;
    this.#stop?.abort();
    this.#stop = new AbortController();
    this.waiting = true;
    try {
      const value = await question(this.#stop.signal);
      if (turn !== this.#turn) return null;
      this.value = value;
      this.failure = null;
      this.waiting = false;
      return value;
    } catch (error) {
      if (turn !== this.#turn) return null;
      this.failure = asFailure(error);
      this.waiting = false;
      return null;
    }
  }

  put(value: T | null): void {
    this.#turn++;
    this.#stop?.abort();
    this.value = value;
    this.failure = null;
    this.waiting = false;
  }
}

/** Runs the newest question only, one at a time: while one is under way, later ones replace each other. */
export class Newest<T> {
  #busy = false;
  #next: (() => Promise<T>) | null = null;

  constructor(private readonly done: (value: T) => void, private readonly failed: (failure: Failure) => void) {}

  ask(question: () => Promise<T>): void {
    this.#next = question;
    if (!this.#busy) void this.#run();
  }

  async #run(): Promise<void> {
    this.#busy = true;
    while (this.#next) {
      const question = this.#next;
      this.#next = null;
      try {
        this.done(await question());
      } catch (error) {
        this.failed(asFailure(error));
      }
    }
    this.#busy = false;
  }
}
