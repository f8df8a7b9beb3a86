// What was just done, and the way back. Stays until it is used, dismissed or replaced: nothing runs out.
interface Done {
  said: string;
  back: () => Promise<void> | void;
}

let last = $state.raw<Done | null>(null);

export function lastDone(): Done | null {
  return last;
}

export function done(said: string, back: Done['back']): void {
  last = { said, back };
}

export function forget(): void {
  last = null;
}

export async function undo(): Promise<void> {
  const one = last;
  last = null;
  await one?.back();
}
