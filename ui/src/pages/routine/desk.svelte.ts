// The writing desk: which exercise lies on it, its text, and what the server makes of it for whom.
import { Resource } from '../../server/resource.svelte';
import { exercises, parts } from '../../server/server';
import type { Checked, ExerciseEntry, ExerciseText, Expanded, Levels, PlayerInput, Print, Source } from '../../server/shapes';
import { bare, quoted, rawValue, withValue } from '../../parts/toml-lines';

/** Long enough that a word is not checked letter by letter, short enough to feel at once. */
const pause_ms = 180;

/** Nobody in particular on an instrument: the usual compass, nothing set. */
export function nobodyOn(instrument: string): PlayerInput {
  return { name: '', instrument, reading: null, level: null, floor: null, roof: null, stretch_floor: null, stretch_roof: null, pedals: false, minutes_a_day: 30, load_a_day: null, words: '' };
}

export class Desk {
  library = new Resource<ExerciseEntry[]>();
  levels = new Resource<Levels>();
  opened = new Resource<ExerciseText>();
  checked = new Resource<Checked>();
  expanded = new Resource<Expanded>();
  engraved = new Resource<{ pages: string[] }>();

  text = $state('');
  edited = $state(false);
  /** A player's id, or `on:` and an instrument's. */
  forWhom = $state('');
  level = $state('');
  print = $state<Required<Print>>({ paper: 'a4', large_print: false, fingerings: 'always' });
  #timer: ReturnType<typeof setTimeout> | undefined;

  source = $derived<Source | null>(
    this.text && this.forWhom
      ? {
          text: this.text,
          player: this.forWhom.startsWith('on:') ? nobodyOn(this.forWhom.slice(3)) : this.forWhom,
          ...(this.level ? { level: this.level } : {}),
        }
      : null,
  );

  async open(id: string): Promise<void> {
    const one = await this.opened.load(() => exercises.one(id));
    if (!one) return;
    this.text = one.text;
    this.edited = false;
    this.work();
  }

  /** A new exercise, nobody's yet. */
  begin(text: string): void {
    this.opened.put(null);
    this.write(text);
  }

  write(text: string): void {
    this.text = text;
    this.edited = true;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.work(), pause_ms);
  }

  /** Checks the text and, when it can be read, writes and engraves the part. */
  work(): void {
    clearTimeout(this.#timer);
    const text = this.text;
    if (!text) return;
    void this.checked.load((signal) => exercises.check(text, { signal })).then((checked) => {
      if (checked?.ok) this.expand();
    });
  }

  expand(): void {
    const source = this.source;
    if (!source) return;
    void this.expanded.load((signal) => parts.expand(source, { signal }));
    void this.engraved.load((signal) => parts.engraving(source, { ...this.print }, { signal }));
  }

  get title(): string {
    return bare(rawValue(this.text, 'title') ?? '');
  }

  /** Keeps the text: over the old one when it is the user's own, otherwise under an id of its own. */
  async keep(): Promise<ExerciseText> {
    const now = this.opened.value;
    const id = bare(rawValue(this.text, 'id') ?? '');
    if (now && !now.own && id === now.id) this.text = withValue(this.text, 'id', quoted(`own-${id}`));
    const over = now?.own && id === now.id;
    const kept = over ? await exercises.change(now.id, this.text) : await exercises.add(this.text);
    this.opened.put(kept);
    this.text = kept.text;
    this.edited = false;
    await this.library.load(() => exercises.all());
    return kept;
  }
}
