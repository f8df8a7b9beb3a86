// What exercises and instruments are called: lists name them by id, and a reader wants the name.
import { Resource } from './server/resource.svelte';
import { exercises, instruments } from './server/server';
import { given } from './words/given';
import type { ExerciseEntry, InstrumentEntry } from './server/shapes';

const library = new Resource<ExerciseEntry[]>();
const catalogue = new Resource<InstrumentEntry[]>();

/** Asks for the names anew; a page that shows them does so when it opens. The last known stay meanwhile. */
export function loadNames(): void {
  void library.load(() => exercises.all());
  void catalogue.load(() => instruments.all());
}

/** The title of an exercise, if it is (still) in the library. */
export function exerciseName(id: string | null): string | undefined {
  const title = library.value?.find((one) => one.id === id)?.title;
  return title === undefined ? undefined : given(title);
}

/** The name of an instrument; its id until the name is here. */
export function instrumentName(id: string): string {
  return given(catalogue.value?.find((one) => one.id === id)?.name ?? id);
}
