// The last seconds of what was heard live, for the strips and the delay.

export interface Sample {
  at_s: number;
  f0_hz: number | null;
  level_db: number;
}

const keep_s = 12;
const delays = 200;

export class Recent {
  samples: Sample[] = [];
  #delays: number[] = [];

  add({ at_s, f0_hz, level_db }: Sample): void {
    this.samples.push({ at_s, f0_hz, level_db });
    const cut = at_s - keep_s;
    while (this.samples[0] && this.samples[0].at_s < cut) this.samples.shift();
  }

  between(from_s: number, to_s: number): Sample[] {
    return this.samples.filter((one) => one.at_s >= from_s && one.at_s <= to_s);
  }

  /** Takes one delay in and gives the 95th percentile of the last ones. */
  delay_p95(delay_ms: number): number {
    this.#delays.push(delay_ms);
    if (this.#delays.length > delays) this.#delays.shift();
    const sorted = [...this.#delays].sort((a, b) => a - b);
    return sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * 0.95))] ?? delay_ms;
  }

  /** Median level of the sounding samples of the last seconds; null when there are too few. */
  steadyLevel(seconds: number): number | null {
    const last = this.samples.at(-1)?.at_s ?? 0;
    const levels = this.between(last - seconds, last).filter((one) => one.f0_hz !== null).map((one) => one.level_db).sort((a, b) => a - b);
    return levels.length < 10 ? null : (levels[Math.floor(levels.length / 2)] ?? null);
  }
}
