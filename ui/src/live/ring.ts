// Blocks that the server has not yet got safely on disk, so that a broken line loses nothing.
import type { SentBlock } from './frames';

export class Ring {
  #blocks: SentBlock[] = [];
  #samples = 0;

  constructor(private readonly most: number) {}

  /** Adds the newest block; the oldest go when more than the allowed samples are held. */
  add(block: SentBlock): void {
    this.#blocks.push(block);
    this.#samples += block.samples.length;
    while (this.#samples > this.most && this.#blocks.length > 1) this.#drop();
  }

  /** Lets go of everything below a sequence number. */
  release(below: number): void {
    while (this.#blocks[0] && this.#blocks[0].seq < below) this.#drop();
  }

  #drop(): void {
    this.#samples -= this.#blocks.shift()?.samples.length ?? 0;
  }

  /** The blocks from a sequence number on, oldest first. */
  from(seq: number): SentBlock[] {
    return this.#blocks.filter((one) => one.seq >= seq);
  }

  get oldest(): SentBlock | null {
    return this.#blocks[0] ?? null;
  }

  get samples(): number {
    return this.#samples;
  }
}
