// Deutsch: was das Programm aus Regeln zusammensetzt – Namen der Zeilen, Ausgelassenes, Raum und Mikrofon.
import { pitchName } from '../pitch';
import { library } from './library';

/** `B-flat` und `B-flat4` als Tonname. */
const tone = (name: string) => pitchName(name.trim().replace(/-double-flat/, 'bb').replace(/-double-sharp/, 'x').replace(/-flat/, 'b').replace(/-sharp/, '#').replace(/ /g, ''));
const comma = (figure: string) => figure.replaceAll('.', ',');

/** Womit eine Zeile beginnt: ein Ton oder eine Rohrlänge. */
const start = (name = '') => ruled(name) ?? tone(name);

/** Gründe für Ausgelassenes. */
const whys: Record<string, string> = {
  'the highest note of the chart': 'der höchste Ton der Grifftabelle',
  'the lowest note of the chart': 'der tiefste Ton der Grifftabelle',
  "the top of the instrument's usual compass": 'das obere Ende des üblichen Umfangs',
  "the bottom of the instrument's usual compass": 'das untere Ende des üblichen Umfangs',
  'the roof of the level': 'das Dach der Stufe',
  'the floor of the level': 'der Boden der Stufe',
  "the top of the player's range today": 'das obere Ende des Umfangs von heute',
  "the bottom of the player's range today": 'das untere Ende des Umfangs von heute',
  'the roof of the exercise': 'das Dach der Übung',
  'the floor of the exercise': 'der Boden der Übung',
  'the moving roof of the line': 'das wandernde Dach der Zeile',
  'the roof that suits the whole class': 'das Dach, das der ganzen Klasse passt',
  'the floor that suits the whole class': 'der Boden, der der ganzen Klasse passt',
  "no fingering, or only a pedal or false note that the player's settings do not ask for": 'kein Griff, oder nur ein Pedalton oder Faktitius, der beim Spieler nicht verlangt ist',
  'a line has at most 512 notes': 'eine Zeile hat höchstens 512 Noten',
  'an exercise has at most 20000 notes': 'eine Übung hat höchstens 20 000 Noten',
  'a partial beyond 16': 'ein Naturton über dem 16.',
  'the start is not a note of the harmony': 'der Anfangston gehört nicht zum Akkord oder zur Leiter',
  'the leap does not land on a note of the harmony': 'der Sprung landet auf keinem Ton des Akkords oder der Leiter',
  "a key further from the open tube's than the level goes": 'eine Tonart, die weiter von der des offenen Rohrs liegt, als die Stufe geht',
  'no length of this tube carries the series': 'keine Rohrlänge trägt diese Naturtöne',
  'a note without a fingering': 'ein Ton ohne Griff',
  'the minutes for this exercise are spent': 'die Minuten für diese Übung sind verbraucht',
  'the travel passes its end without landing on it; it stops at the last start before': 'die Reise geht über ihr Ende hinweg, ohne darauf zu landen; sie hört beim letzten Anfang davor auf',
  'the end of the travel': 'das Ende der Reise',
};

/** Sätze mit Lücken: woran man sie erkennt, und wie sie auf Deutsch lauten. */
const rules: [RegExp, (...found: string[]) => string][] = [
  [/^from ([A-G](?:-(?:double-)?(?:flat|sharp))?)$/, (note) => `von ${tone(note ?? '')}`],
  [/^position (.+)$/, (label) => `${label}. Lage`],
  [/^open tube$/, () => 'offenes Rohr'],
  [/^on ([0-9T].*)$/, (label) => `auf ${label}`],
  [/^(.+), again$/, (label) => `${given(label ?? '')}, noch einmal`],
  [/^(.+) \(rest\)$/, (label) => `${given(label ?? '')} (Pause)`],
  [/^(\d+) semitones below the open tube$/, (count) => `${count} Halbtöne unter dem offenen Rohr`],
  [/^(\d+) lines, from (.+) to (.+)$/, (count, first, last) => `${count} Zeilen, von ${start(first)} bis ${start(last)}`],
  [/^the line from (.+)$/, (first) => `die Zeile von ${start(first)}`],
  [/^(\d+) notes? in (\d+) lines, from (.+) to (.+)$/, (notes, lines, first, last) => `${notes} ${notes === '1' ? 'Note' : 'Noten'} in ${lines} Zeilen, von ${start(first)} bis ${start(last)}`],
  [/^(\d+) notes? of the line from (.+)$/, (notes, first) => `${notes} ${notes === '1' ? 'Note' : 'Noten'} der Zeile von ${start(first)}`],
  [/^the (\d+) minutes for this exercise are spent$/, (minutes) => `die ${minutes} Minuten für diese Übung sind verbraucht`],
  [/^(\d+) minutes of playing are more than the (\d+) of a day's limit: .*$/, (minutes, limit) => `${minutes} Minuten Spielen sind mehr als die ${limit} des Tages: etwas weglassen oder den Tag teilen`],
  [/^a load of (\d+) minutes is more than the (\d+) of a day's limit: .*$/, (minutes, limit) => `Eine Belastung von ${minutes} Minuten ist mehr als die ${limit} des Tages: weniger, tiefer oder leiser spielen und mehr ruhen`],
  [/^The playing stands (\d+) dB above the noise: quiet enough .*$/, (above) => `Das Spiel liegt ${above} dB über dem Geräusch: ruhig genug für jedes Maß.`],
  [/^The playing stands (-?\d+) dB above the noise: too near .*$/, (above) => `Das Spiel liegt ${above} dB über dem Geräusch: zu wenig für Maße des Klangs. Näher ans Mikrofon gehen oder einen ruhigeren Raum suchen.`],
  [/^The echo dies away in (.+) s: good enough .*$/, (time) => `Der Hall verklingt in ${comma(time ?? '')} s: gut genug, um Bindungen zu beurteilen.`],
  [/^The echo dies away in (.+) s: slur times hold.*$/, (time) => `Der Hall verklingt in ${comma(time ?? '')} s: Zeiten von Bindungen stimmen, doch ein hängen gebliebener Naturton kann entgehen. Näher am Mikrofon ist es besser.`],
  [/^The echo takes (.+) s to die away.*$/, (time) => `Der Hall braucht ${comma(time ?? '')} s, bis er verklingt: zu lang, um Bindungen zu beurteilen. Näher ans Mikrofon gehen oder in einen Raum mit Vorhängen.`],
  [/^No note stops with time enough after it.*$/, () => 'Kein Ton hört mit genug Zeit danach auf, darum ist der Hall nicht zu bestimmen: einmal nach einem kurzen lauten Ton eine Pause lassen.'],
  [/^The microphone is cut off between notes.*$/, () => 'Das Mikrofon wird zwischen den Tönen abgeschnitten: Geräuschunterdrückung ausschalten, sonst sind Anfang und Ende der Töne nicht die gespielten.'],
  [/^The noise rises by (.+) dB after a note stops.*$/, (rise) => `Das Geräusch steigt nach jedem Ton um ${comma(rise ?? '')} dB: automatische Aussteuerung ausschalten, sonst sind die Pegel nicht die gespielten.`],
  [/^Nothing is heard above 7 kHz.*$/, () => 'Über 7 kHz ist nichts zu hören: eine Telefon- oder Headset-Verbindung. Tonhöhen stimmen; die Helligkeit ist mit anderen Aufnahmen nicht zu vergleichen.'],
  [/^At (\d+) dB\(A\) where the microphone stands, NIOSH \(98-126\) recommends at most ([\d.]+) (hours|minutes|seconds) a day.*$/, (level, time, unit) =>
    `Bei ${level} dB(A) am Ort des Mikrofons empfiehlt NIOSH (98-126) höchstens ${comma(time ?? '')} ${{ hours: 'Stunden', minutes: 'Minuten', seconds: 'Sekunden' }[unit ?? ''] ?? ''} am Tag. Am eigenen Ohr kann es lauter sein. Örtliche Regeln gehen vor; die Ohren ausruhen und wegen eines Gehörschutzes eine Fachperson fragen.`],
  [/^Today's (\d+) minutes of playing are used up: rest now\.$/, (minutes) => `Die ${minutes} Minuten von heute sind gespielt: jetzt ruhen.`],
  [/^Four fifths of today's playing are used up: keep some for later\.$/, () => 'Vier Fünftel des Spielens von heute sind verbraucht: etwas für später aufheben.'],
  [/^Today's load is used up: play low and soft, or rest\.$/, () => 'Die Belastung von heute ist erreicht: tief und leise spielen oder ruhen.'],
  [/^There was less rest than playing: rest as long as you play\.$/, () => 'Es gab weniger Pause als Spielen: so lange ruhen wie spielen.'],
  [/^Pain, numbness, dizziness or a lip that stops responding: stop and rest\. Trouble that stays .*$/, () => 'Schmerz, Taubheit, Schwindel oder eine Lippe, die nicht mehr anspricht: aufhören und ausruhen. Was bleibt, gehört zu einer zugelassenen ärztlichen Fachperson.'],
  [/^pedal on (.+), (.+): an ordinary partial is there too$/, (label, off) => `Pedalton auf ${label}, ${offSaid(off)}: ein gewöhnlicher Naturton ist auch da`],
  [/^pedal on (.+), (.+): no resonance of its own, its harmonics carry it$/, (label, off) => `Pedalton auf ${label}, ${offSaid(off)}: ohne eigene Resonanz, seine Teiltöne tragen ihn`],
  [/^false note an octave below partial (\d+) on (.+), (.+): carried by every second harmonic$/, (partial, label, off) => `Faktitius eine Oktave unter dem ${partial}. Naturton auf ${label}, ${offSaid(off)}: jeder zweite Teilton trägt ihn`],
  [/^partial (\d+) on (.+) is not used by choice: (.+)$/, (partial, label, off) => `${partial}. Naturton auf ${label}, wird gemieden: ${offSaid(off)}`],
  [/^usual first choice: partial (\d+) on (.+?), (.+)$/, (partial, label, off) => `übliche erste Wahl: ${partial}. Naturton auf ${label}, ${offSaid(off)}`],
  [/^alternate: partial (\d+) on (.+?), (.+)$/, (partial, label, off) => `Hilfsgriff: ${partial}. Naturton auf ${label}, ${offSaid(off)}`],
  [/^the database is damaged \((.*)\); restore a backup if it stays so$/, (fault) => `die Datenbank ist beschädigt (${fault}); bleibt es so, eine Sicherung einspielen`],
  [/^the sound of this take is missing or unreadable; import an archive that holds it$/, () => 'der Klang dieser Aufnahme fehlt oder ist nicht zu lesen; ein Archiv hereinholen, das ihn enthält'],
  [/^the sound of this take is damaged; import an archive that holds it \(what is left is set aside\)$/, () => 'der Klang dieser Aufnahme ist beschädigt; ein Archiv hereinholen, das ihn enthält (was übrig ist, wird beiseitegelegt)'],
  [/^the size written down was wrong$/, () => 'die vermerkte Größe stimmte nicht'],
  [/^this sound belongs to no take; the repair makes a take of it$/, () => 'dieser Klang gehört zu keiner Aufnahme; das Richten macht eine daraus'],
  // In Stimmen mit mehreren Übungen steht der Titel voran.
  [/^([^:]+): (.+)$/, (title = '', what = '') => `${Object.hasOwn(library, title) ? library[title] : title}: ${given(what)}`],
];

/** Wie weit ein Griff daneben liegt. */
function offSaid(off = ''): string {
  const slide = /^(.+) there, true with the slide at ([\d.]+)$/.exec(off);
  if (slide) return `dort ${offSaid(slide[1])}, mit dem Zug bei ${comma(slide[2] ?? '')} stimmt er`;
  const cents = /^(\d+) cents (sharp|flat)$/.exec(off);
  return cents ? `${cents[1]} Cent zu ${cents[2] === 'sharp' ? 'hoch' : 'tief'}` : off === 'true' ? 'stimmt' : off;
}

/** Ein Teil eines Satzes, soweit es dafür deutsche Worte gibt. */
const given = (text: string) => ruled(text) ?? text;

/** Was nach Regeln gebaut ist, auf Deutsch; `null` für anderes. */
export function ruled(text: string): string | null {
  if (Object.hasOwn(whys, text)) return whys[text] ?? null;
  for (const [is, say] of rules) {
    const found = is.exec(text);
    if (found) return say(...found.slice(1));
  }
  return null;
}
