// Deutsch: warum eine Stimme diesen Griff wählt, Stück für Stück zusammengesetzt wie im Programm.

const slides: Record<string, string> = { first: 'erster', second: 'zweiter', third: 'dritter', fourth: 'vierter', main: 'Stimm' };

/** Die Stücke, aus denen eine Begründung besteht. */
const pieces: [RegExp, (...found: string[]) => string][] = [
  [/^usual first choice$/, () => 'übliche erste Wahl'],
  [/^first of those that are allowed$/, () => 'die erste der erlaubten'],
  [/^one length for the whole line$/, () => 'eine Rohrlänge für die ganze Zeile'],
  [/^(\w+) slide (\d+) mm out$/, (slide = '', out) => `${slide === 'main' ? 'Stimmzug' : `${slides[slide] ?? slide} Zug`} ${out} mm ausgezogen`],
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
  const said = (rest ?? text).split(', ').map(piece);
  if (said.some((one) => one === null)) return null;
  return (pick === undefined ? '' : `${pick} statt ${first}: `) + said.join(', ');
}
