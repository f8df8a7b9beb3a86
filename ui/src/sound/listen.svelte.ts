// Listening to a take: from a place, at full or half speed, with pitch kept.

export class Listen {
  at_s = $state(0);
  playing = $state(false);
  rate = $state(1);
  failed = $state(false);
  #audio: HTMLAudioElement;
  #frame = 0;
  #until: number | null = null;

  constructor(address: string) {
    this.#audio = new Audio();
    this.#audio.preload = 'metadata';
    this.#audio.src = address;
    this.#audio.preservesPitch = true;
    this.#audio.addEventListener('ended', () => this.pause());
    this.#audio.addEventListener('error', () => (this.failed = true));
  }

  /** Plays from a place, or from where it stands; stops at `until_s` when given. */
  async play(from_s: number | null = null, until_s: number | null = null): Promise<void> {
    if (from_s !== null) this.#audio.currentTime = from_s;
    this.#until = until_s;
    this.#audio.playbackRate = this.rate;
    try {
      await this.#audio.play();
      this.playing = true;
      this.#follow();
    } catch {
      this.playing = false;
    }
  }

  pause(): void {
    this.#audio.pause();
    this.playing = false;
    cancelAnimationFrame(this.#frame);
  }

  seek(at_s: number): void {
    this.#audio.currentTime = at_s;
    this.at_s = at_s;
    this.#until = null;
  }

  speed(rate: number): void {
    this.rate = rate;
    this.#audio.playbackRate = rate;
  }

  close(): void {
    this.pause();
    this.#audio.removeAttribute('src');
    this.#audio.load();
  }

  #follow(): void {
    cancelAnimationFrame(this.#frame);
    this.#frame = requestAnimationFrame(() => {
      this.at_s = this.#audio.currentTime;
      if (this.#until !== null && this.at_s >= this.#until) this.pause();
      else if (this.playing) this.#follow();
    });
  }
}
