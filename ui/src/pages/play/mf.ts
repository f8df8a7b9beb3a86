// What this player calls mezzo-forte at this microphone, kept in the browser that hears it.
const key = (player: string) => `waterkey-mf-${player}`;

export function keptMf(player: string): number | null {
  const kept = Number(localStorage.getItem(key(player)) ?? 'none');
  return Number.isFinite(kept) ? kept : null;
}

export function keepMf(player: string, level_db: number): void {
  localStorage.setItem(key(player), String(level_db));
}
