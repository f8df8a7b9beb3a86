// Who stands at the stand: the player that Play records for and Routine writes for.
import { Resource } from './server/resource.svelte';
import { players } from './server/server';
import type { Player } from './server/shapes';

const kept = 'waterkey-player';
let chosen = $state(localStorage.getItem(kept) ?? '');
export const everyone = new Resource<Player[]>();

export function loadEveryone(): Promise<Player[] | null> {
  return everyone.load(() => players.all());
}

/** The chosen player, or the first when the choice is gone; null when there is none. */
export function who(): Player | null {
  const all = everyone.value ?? [];
  return all.find((one) => one.id === chosen) ?? all[0] ?? null;
}

export function choose(player: string): void {
  chosen = player;
  localStorage.setItem(kept, player);
}
