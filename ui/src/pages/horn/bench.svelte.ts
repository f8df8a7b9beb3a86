// The horn on the bench: which instrument, how its tube is set, and what the server says about that tube.
import { Newest, Resource } from '../../server/resource.svelte';
import { asFailure, type Failure } from '../../server/failure';
import { instruments, leadpipes, mouthpieces, type TubeQuery } from '../../server/server';
import type { Chart, InstrumentEntry, InstrumentPage, Leadpipe, Length, Mouthpiece, Resonance, StandingWave } from '../../server/shapes';
import { hertzOf, midiOf, nameOfMidi } from '../../words/pitch';

/** Cents from the nearest equal note to a frequency. */
export function nearestCents(hz: number, a4: number): { midi: number; cents: number } {
  const exact = 69 + 12 * Math.log2(hz / a4);
  const midi = Math.round(exact);
  return { midi, cents: (exact - midi) * 100 };
}

/** How long the tube must stand still before its slots are asked for. */
const rest_ms = 220;

export class Bench {
  catalogue = new Resource<InstrumentEntry[]>();
  mouthpieces = new Resource<Mouthpiece[]>();
  leadpipes = new Resource<Leadpipe[]>();
  page = new Resource<InstrumentPage>();
  chart = new Resource<Chart>();

  mouthpiece = $state('');
  leadpipe = $state('');
  temperature = $state(21);
  a4 = $state(440);
  temperament = $state('equal');
  root = $state(10);
  lengthId = $state(0);
  /** Slide position, whole or between; for instruments with a slide. */
  position = $state(1);
  chosen = $state<number | null>(null);

  resonances = $state.raw<Resonance[]>([]);
  wave = $state.raw<StandingWave | null>(null);
  failure = $state.raw<Failure | null>(null);
  #rest: ReturnType<typeof setTimeout> | undefined;
  #tube = new Newest<[Resonance[], StandingWave | null]>(
    ([resonances, wave]) => {
      this.resonances = resonances;
      this.wave = wave;
      this.failure = null;
    },
    (failure) => (this.failure = failure),
  );

  instrument = $derived(this.page.value?.instrument ?? null);
  lengths = $derived<Length[]>(this.instrument?.lengths ?? []);
  length = $derived(this.lengths.find((one) => one.id === this.lengthId) ?? this.lengths[0] ?? null);
  hasSlide = $derived(this.lengths.some((one) => one.position !== null));
  resonance = $derived(this.chosen === null ? null : (this.resonances[this.chosen] ?? null));

  async open(instrument: string): Promise<void> {
    const page = await this.page.load(() => instruments.one(instrument));
    if (!page) return;
    this.lengthId = page.instrument.lengths[0]?.id ?? 0;
    this.position = 1;
    this.chosen = null;
    this.wave = null;
    this.mouthpiece = '';
    this.leadpipe = '';
    await Promise.all([this.loadChart(), this.loadMouthpieces(), this.loadLeadpipes()]);
    this.measure();
  }

  get #family(): string {
    return (this.instrument?.id ?? '').replace(/^own-/, '').split('-')[0] ?? '';
  }

  /** The leadpipes that were made for this kind of horn; none for most. */
  loadLeadpipes(): Promise<Leadpipe[] | null> {
    const family = this.page.value?.bore ? this.#family : '';
    return this.leadpipes.load(async () => (family ? (await leadpipes.all()).filter((one) => one.id.startsWith(`${family}-`)) : []));
  }

  loadMouthpieces(): Promise<Mouthpiece[] | null> {
    // Those made for this horn stand first, by the first word of their names.
    const fits = (one: Mouthpiece) => Number(one.id.replace(/^own-/, '').startsWith(this.#family));
    return this.mouthpieces.load(async () => (await mouthpieces.all()).sort((a, b) => fits(b) - fits(a)));
  }

  /** Puts a mouthpiece on; the bore's own for the empty name. */
  wear(mouthpiece: string): void {
    this.mouthpiece = mouthpiece;
    this.measure();
    void this.loadChart();
  }

  /** Puts a leadpipe in; the bore's own for the empty name. */
  blowThrough(leadpipe: string): void {
    this.leadpipe = leadpipe;
    this.measure();
    void this.loadChart();
  }

  loadChart(): Promise<Chart | null> {
    const page = this.page.value;
    if (!page) return Promise.resolve(null);
    const depth = page.bore ? 'bore' : 'ideal';
    return this.chart.load((signal) =>
      instruments.chart(
        page.instrument.id,
        { depth, a4: this.a4, temperature_c: this.temperature, mouthpiece: this.mouthpiece || null, leadpipe: this.leadpipe || null, temperament: this.temperament, root: this.root },
        { signal },
      ),
    );
  }

  /** How much further the slide is out than its whole position, mm; two legs of tube grow with it. */
  get extension_mm(): number {
    const length = this.length;
    const open = this.lengths[0];
    if (!length || !open || length.position === null || this.position <= length.position) return 0;
    const next = this.lengths.find((one) => one.position === (length.position ?? 0) + 1 && one.valves === length.valves);
    if (!next) return 0;
    const speed_of_sound = 331.3 * Math.sqrt(1 + this.temperature / 273.15);
    const tube_mm = (speed_of_sound / (2 * open.fundamental)) * 1000;
    return (tube_mm * (next.ratio - length.ratio) * (this.position - length.position)) / 2;
  }

  /** Asks for the tube as it is set now. While it moves only frequencies are asked for, and only the newest question counts; once it rests, blowing pressure and slot width follow. */
  measure(): void {
    clearTimeout(this.#rest);
    this.#ask(false);
    this.#rest = setTimeout(() => this.#ask(true), rest_ms);
  }

  #ask(slots: boolean): void {
    const page = this.page.value;
    if (!page) return;
    if (!page.bore) {
      this.resonances = this.#ideal();
      this.wave = null;
      return;
    }
    const query: TubeQuery = {
      instrument: page.instrument.id,
      mouthpiece: this.mouthpiece || null,
      leadpipe: this.leadpipe || null,
      temperature_c: this.temperature,
      length: this.lengthId,
      extension_mm: Number(this.extension_mm.toFixed(2)),
      a4: this.a4,
      slots,
    };
    const chosen = this.chosen;
    const before = this.resonances;
    this.#tube.ask(async () => {
      const { resonances } = await instruments.resonances(query);
      const one = resonances[chosen ?? Math.min(2, resonances.length - 1)];
      const wave = one ? await instruments.wave(query, one.frequency_hz) : null;
      const known = (n: number) => (slots ? {} : { threshold_pa: before[n]?.threshold_pa ?? null, slot_cents: before[n]?.slot_cents ?? null });
      return [resonances.map((each, n) => ({ ...each, ...known(n) })), wave];
    });
  }

  /** Without a bore: the whole-number partials of this length, all alike in strength. */
  #ideal(): Resonance[] {
    const ways = Object.values(this.chart.value?.notes ?? {}).flat();
    return ways
      .filter((way) => way.length === this.lengthId && way.kind !== 'false')
      .sort((a, b) => a.partial - b.partial)
      .map((way) => {
        const { midi, cents } = nearestCents(way.frequency, this.a4);
        return { partial: way.partial, frequency_hz: way.frequency, height: 1e8, q: 30, cents, nearest: nameOfMidi(midi), threshold_pa: null, slot_cents: null };
      });
  }

  set(length: number): void {
    this.lengthId = length;
    const position = this.lengths.find((one) => one.id === length)?.position;
    if (position) this.position = position;
    this.measure();
  }

  /** Toggles a valve or rotor (bit); stays put when the instrument has no such combination. */
  press(bit: number): void {
    const now = this.length;
    if (!now) return;
    const valves = now.valves ^ (1 << bit);
    const next = this.lengths.find((one) => one.valves === valves && one.position === now.position) ?? this.lengths.find((one) => one.valves === valves);
    if (next) this.set(next.id);
  }

  slide(position: number): void {
    const valves = this.length?.valves ?? 0;
    const whole = this.lengths.filter((one) => one.valves === valves && one.position !== null && one.position <= position + 1e-9);
    const under = whole.reduce<Length | null>((best, one) => (best === null || (one.position ?? 0) > (best.position ?? 0) ? one : best), null);
    if (under) this.lengthId = under.id;
    this.position = position;
    this.measure();
  }

  choose(index: number): void {
    this.chosen = index;
    this.measure();
  }

  /** As the player reads it: the written name of a sounding key; the sounding name when the chart has none. */
  writtenOf(sounding: string): string {
    const midi = midiOf(sounding);
    return (midi !== null && this.chart.value?.written[String(midi)]) || sounding;
  }

  hertzOf(midi: number): number {
    return hertzOf(midi, this.a4);
  }

  /** After its instrument was removed: the first of the catalogue. */
  async forget(): Promise<void> {
    const all = await this.catalogue.load(() => instruments.all());
    if (all?.[0]) await this.open(all[0].id);
  }

  /** After an instrument was brought back. */
  async recall(instrument: string): Promise<void> {
    await this.catalogue.load(() => instruments.all());
    await this.open(instrument);
  }

  async keep(text: string): Promise<InstrumentPage> {
    const page = this.page.value;
    if (!page) throw asFailure('no instrument');
    const kept = page.own ? await instruments.change(page.instrument.id, text) : await instruments.add(text);
    await this.catalogue.load(() => instruments.all());
    await this.open(kept.instrument.id);
    return kept;
  }
}
