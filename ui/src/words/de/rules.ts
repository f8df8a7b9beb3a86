// Deutsch: was das Programm aus Regeln zusammensetzt – Namen der Zeilen, Ausgelassenes, Raum und Mikrofon.
import { pitchName } from '../pitch';
import said from '../../../../crates/routine/words/de.json';
import { library } from './library';
import { reason } from './reasons';

/** `B-flat` und `B-flat4` als Tonname. */
const tone = (name: string) => pitchName(name.trim().replace(/-double-flat/, 'bb').replace(/-double-sharp/, 'x').replace(/-flat/, 'b').replace(/-sharp/, '#').replace(/ /g, ''));
const comma = (figure: string) => figure.replaceAll('.', ',');

/** Womit eine Zeile beginnt: ein Ton oder eine Rohrlänge. */
const start = (name = '') => ruled(name) ?? tone(name);

/** Gründe für Ausgelassenes. */
const whys: Record<string, string> = said.reasons;

/** Wie in einer Lücke steht, was gefunden wurde: so, als Tonname, als Text mit eigenen Worten, als Anfang einer Zeile. */
const ways: Record<string, (found: string) => string> = { tone, start, text: (found) => (Object.hasOwn(library, found) ? library[found] : null) ?? given(found) };

/** Sätze mit Lücken aus der Datei, die auch gedruckte Seiten lesen. */
const built = said.built.map(({ is, say }): [RegExp, (...found: string[]) => string] => [
  new RegExp(is),
  (...found) => say.replace(/\{(\d)(?::(\w+))?\}/g, (_, group: string, way = '') => (ways[way] ?? String)(found[Number(group) - 1] ?? '')),
]);

/** Sätze mit Lücken: woran man sie erkennt, und wie sie auf Deutsch lauten. */
const rules: [RegExp, (...found: string[]) => string][] = [
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
  [/^the part of this take is damaged; the repair makes it free playing$/, () => 'die Stimme dieser Aufnahme ist beschädigt; das Richten macht freies Spiel daraus'],
  [/^the report of this take is damaged; repair, then hear it again$/, () => 'der Bericht dieser Aufnahme ist beschädigt; richten, dann neu hören'],
  [/^the curves of this take are damaged; repair, then hear it again$/, () => 'die Kurven dieser Aufnahme sind beschädigt; richten, dann neu hören'],
  [/^texts that an older program kept plain: (.+)$/, (count) => `von einem älteren Programm ungepackt abgelegte Texte: ${count}`],
  ...built,
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
  const chosen = reason(text);
  if (chosen !== null) return chosen;
  for (const [is, say] of rules) {
    const found = is.exec(text);
    if (found) return say(...found.slice(1));
  }
  return null;
}
