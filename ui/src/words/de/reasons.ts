// Deutsch: warum eine Stimme diesen Griff wählt, Stück für Stück zusammengesetzt wie im Programm.

const counted: Record<string, string> = { first: '1.', second: '2.', third: '3.', fourth: '4.', fifth: '5.' };
const sides: Record<string, string> = { '': '', 'B-flat': ' der B-Seite', F: ' der F-Seite' };

/** Der Zug, wie er in der Datei der Bohrung heißt. */
function slide(name: string): string {
  if (name === 'main') return 'Stimmzug';
  const [, count = '', side = ''] = /^(\w+) valve(?: slide)?(?:, (B-flat|F) side)?$/.exec(name) ?? [];
  return counted[count] ? `Zug des ${counted[count]} Ventils${sides[side] ?? ''}` : `Zug „${name}“`;
}

/** Die Stücke, aus denen eine Begründung besteht. */
const pieces: [RegExp, (...found: string[]) => string][] = [
  [/^usual first choice$/, () => 'übliche erste Wahl'],
  [/^first of those that are allowed$/, () => 'die erste der erlaubten'],
  [/^one length for the whole line$/, () => 'eine Rohrlänge für die ganze Zeile'],
  [/^(.+) slide (\d+) mm out$/, (name = '', out) => `${slide(name)} ${out} mm ausgezogen`],
  [/^as true$/, () => 'ebenso rein'],
  [/^(\d+) cents truer$/, (cents) => `${cents} Cent reiner`],
  [/^(\d+) cents less true$/, (cents) => `${cents} Cent weniger rein`],
  [/^(\d+) % better backed by the tube$/, (share) => `vom Rohr ${share} % besser gestützt`],
  [/^(\d+) % less backed by the tube$/, (share) => `vom Rohr ${share} % weniger gestützt`],
  [/^stays on the length of the note before$/, () => 'bleibt auf der Rohrlänge des Tons davor'],
  [/^(\d+) positions? less of slide$/, (count) => `${count} ${count === '1' ? 'Lage' : 'Lagen'} weniger Zugweg`],
  [/^(\d+) positions? more of slide$/, (count) => `${count} ${count === '1' ? 'Lage' : 'Lagen'} mehr Zugweg`],
  [/^the slide keeps its direction$/, () => 'der Zug behält seine Richtung'],
  [/^the slur is not smeared$/, () => 'die Bindung verschmiert nicht'],
  [/^no extra motion$/, () => 'keine zusätzliche Bewegung'],
  [/^one fewer valve move$/, () => 'eine Ventilbewegung weniger'],
  [/^one more valve move$/, () => 'eine Ventilbewegung mehr'],
  [/^(\d+) fewer valve moves$/, (count) => `${count} Ventilbewegungen weniger`],
  [/^(\d+) more valve moves$/, (count) => `${count} Ventilbewegungen mehr`],
];

function piece(text: string): string | null {
  for (const [is, say] of pieces) {
    const found = is.exec(text);
    if (found) return say(...found.slice(1));
  }
  return null;
}

/** Eine Begründung auf Deutsch; `null` für anderes. */
export function reason(text: string): string | null {
  const [, pick, first, rest] = /^(\S+) rather than (\S+): (.+)$/.exec(text) ?? [];
  // Der Name eines Zugs kann selbst ein Komma haben.
  const said = (rest ?? text).split(/, (?!(?:B-flat|F) side)/).map(piece);
  if (said.some((one) => one === null)) return null;
  return (pick === undefined ? '' : `${pick} statt ${first}: `) + said.join(', ');
}
