// Deutsch: was an einer Übungsdatei nicht stimmt, und was zu tun ist. Namen von Schlüsseln und Beispiele bleiben, wie sie in der Datei stehen.

/** Was erwartet wird: nach `expected` im Akkusativ gelesen, nach `is not` und `write` auch. */
const wishes: Record<string, string> = {
  text: 'Text', 'a table': 'eine Tabelle', 'a list': 'eine Liste', 'a number': 'eine Zahl', 'a whole number': 'eine ganze Zahl',
  'a date': 'ein Datum', 'true or false': 'true oder false', 'the version, 1': 'die Fassung, 1',
  'a family': 'eine Familie', 'a list of texts': 'eine Liste von Texten', 'a way to carry on': 'eine Art fortzusetzen', 'a turn': 'eine Wende',
  'a rule for clipping': 'eine Regel zum Kürzen', 'a harmony': 'eine Harmonie', 'an order': 'eine Reihenfolge', 'a move': 'ein Schritt', 'a root': 'ein Grundton',
  'the name of a harmony or { semitones = [...] }': 'der Name einer Harmonie oder { semitones = [...] }',
  'a list of semitones': 'eine Liste von Halbtönen', 'a list of degrees': 'eine Liste von Stufen', 'a list of partials': 'eine Liste von Naturtönen',
  'a list of pitches': 'eine Liste von Tonhöhen', 'a list of marks': 'eine Liste von Zeichen', 'a list of dynamics': 'eine Liste von Lautstärken',
  'a degree such as 5': 'eine Stufe wie 5', 'semitones such as 7': 'Halbtöne wie 7', 'a partial, 1 to 16': 'ein Naturton, 1 bis 16',
  'two numbers such as [0, 6]': 'zwei Zahlen wie [0, 6]', '1 to 24 semitones': '1 bis 24 Halbtöne', 'semitones above the start, 0 to 60': 'Halbtöne über dem Anfang, 0 bis 60',
  'semitones, down when negative': 'Halbtöne, abwärts mit Minus', 'quarter notes a minute': 'Viertel in der Minute',
  'quarter notes a minute, or two of them': 'Viertel in der Minute, oder zwei solche Zahlen', 'two tempi': 'zwei Tempi',
  'group sizes': 'Größen von Gruppen', 'a group size from 1': 'eine Größe einer Gruppe, ab 1', 'a way to slur': 'eine Art zu binden', 'an articulation': 'eine Artikulation',
  'a dynamic': 'eine Lautstärke', 'a number of notes': 'eine Zahl von Tönen', 'a place for breaths': 'eine Stelle zum Atmen', 'a rest': 'eine Pause',
  'times the playing, such as 1.5': 'ein Vielfaches des Spielens, etwa 1.5', 'a number of beats': 'eine Zahl von Schlägen',
  'a pitch such as "C6", "player" or { above = 12 }': 'eine Tonhöhe wie "C6", "player" oder { above = 12 }',
  '"equal" or { beats = 4 }': '"equal" oder { beats = 4 }', '[[level]] tables': 'Tabellen [[level]]', 'a [[level]] table': 'eine Tabelle [[level]]',
  '[[step]] tables': 'Tabellen [[step]]', 'a [[step]] table': 'eine Tabelle [[step]]', 'a table of limits': 'eine Tabelle von Grenzen',
};

/** Wünsche mit einem Beispiel oder Grenzen darin. */
const shaped: [RegExp, string][] = [
  [/^a pitch such as (.+)$/, 'eine Tonhöhe wie $1'],
  [/^a note value such as (.+)$/, 'einen Notenwert wie $1'],
  [/^note values such as (.+)$/, 'Notenwerte wie $1'],
  [/^a metre such as (.+)$/, 'einen Takt wie $1'],
  [/^a table such as (.+)$/, 'eine Tabelle wie $1'],
  [/^a dynamic such as (.+)$/, 'eine Lautstärke wie $1'],
  [/^(-?[\d.]+) to (-?[\d.]+)$/, '$1 bis $2'],
];

/** Was erwartet wird, auf Deutsch; `null`, wenn es keine Worte dafür gibt. */
function wish(text = ''): string | null {
  if (Object.hasOwn(wishes, text)) return wishes[text] ?? null;
  const found = shaped.find(([is]) => is.test(text));
  return found ? text.replace(...found) : null;
}

/** Ganze Sätze. */
const sentences: Record<string, string> = {
  'begin the file with version = 1': 'die Datei mit version = 1 beginnen',
  'give it a name in lower-case words with hyphens': 'ihr einen Namen aus kleingeschriebenen Wörtern mit Bindestrichen geben',
  'give it a title': 'ihr einen Titel geben',
  'write one of the eight families, such as "scales"': 'eine der acht Familien schreiben, etwa "scales"',
  'say in one sentence what it is for': 'in einem Satz sagen, wozu sie dient',
  'write figure = { degrees = [1, 3, 5] }, { intervals = ... } or { partials = ... }': 'figure = { degrees = [1, 3, 5] }, { intervals = ... } oder { partials = ... } schreiben',
  'write note values, as in rhythm = "1/4 1/4 1/2"': 'Notenwerte schreiben, wie in rhythm = "1/4 1/4 1/2"',
  'write quarter notes a minute, as in tempo = [60, 88]': 'Viertel in der Minute schreiben, wie in tempo = [60, 88]',
  'write semitones above the root, as in [0, 3, 7]': 'Halbtöne über dem Grundton schreiben, wie in [0, 3, 7]',
  'write semitones above the root, as in [0, 3, 5, 6, 7, 10]': 'Halbtöne über dem Grundton schreiben, wie in [0, 3, 5, 6, 7, 10]',
  'a figure is one of degrees, intervals and partials': 'eine Figur besteht aus Stufen, Intervallen oder Naturtönen',
  'keep one of the three': 'eines von dreien behalten',
  'write the first and the last length, as in [0, 6]': 'die erste und die letzte Länge schreiben, wie in [0, 6]',
  'write the first start, as in from = "C5"': 'den ersten Anfang schreiben, wie in from = "C5"',
  'write the last start, as in to = "F#4"': 'den letzten Anfang schreiben, wie in to = "F#4"',
  'write the calmest and the quickest, as in [60, 88]': 'das ruhigste und das schnellste schreiben, wie in [60, 88]',
  'write one [[level]] for each level': 'für jede Stufe ein [[level]] schreiben',
  'give the level a short name': 'der Stufe einen kurzen Namen geben',
  'give the level a name for people': 'der Stufe einen Namen für Menschen geben',
  'write the highest note, as in "G5"': 'den höchsten Ton schreiben, wie in "G5"',
  'write the lowest note, as in "G3"': 'den tiefsten Ton schreiben, wie in "G3"',
  'write the most sharps or flats, 0 to 7': 'die meisten Kreuze oder Be schreiben, 0 bis 7',
  'write minutes for one exercise': 'Minuten für eine Übung schreiben',
  'raise the roof or lower the floor': 'das Dach heben oder den Boden senken',
  'write one [[step]] for each exercise': 'für jede Übung ein [[step]] schreiben',
  'name an exercise by its id': 'eine Übung mit ihrer id nennen',
  'not a finite number': 'keine endliche Zahl',
  'use lower-case letters, digits and hyphens, as in one-roof-major': 'kleine Buchstaben, Ziffern und Bindestriche nehmen, wie in one-roof-major',
  'the title is empty': 'der Titel ist leer',
  'give the exercise a name': 'der Übung einen Namen geben',
  'the purpose is empty': 'der Zweck ist leer',
  'the list is not ascending from 0 within one octave': 'die Liste steigt nicht von 0 an innerhalb einer Oktave',
  'degrees need a harmony': 'Stufen brauchen eine Harmonie',
  'add a line such as harmony = "major-triad"': 'eine Zeile wie harmony = "major-triad" hinzufügen',
  'a degree beyond 60': 'eine Stufe jenseits von 60',
  'keep degrees within -60 and 60': 'Stufen zwischen -60 und 60 halten',
  'an interval wider than four octaves': 'ein Intervall weiter als vier Oktaven',
  'write semitones from the start, -48 to 48': 'Halbtöne vom Anfang aus schreiben, -48 bis 48',
  'intervals stand by themselves': 'Intervalle stehen für sich',
  'leave the harmony out, or write the figure in degrees': 'die Harmonie weglassen oder die Figur in Stufen schreiben',
  'write partials 1 to 16': 'Naturtöne 1 bis 16 schreiben',
  'partials stand by themselves': 'Naturtöne stehen für sich',
  'the figure has no notes': 'die Figur hat keine Töne',
  'write at least one': 'mindestens einen schreiben',
  'write 1 to 36, or -1 to -36': '1 bis 36 schreiben, oder -1 bis -36',
  'land on a note of the harmony, or add root = "landing"': 'auf einem Ton der Harmonie landen oder root = "landing" hinzufügen',
  'partials travel through lengths, and nothing else does': 'Naturtöne wandern durch Längen, und nur sie',
  'write travel = { lengths = [0, 6] } with partials, { from, to, by } with degrees or intervals': 'mit Naturtönen travel = { lengths = [0, 6] } schreiben, mit Stufen oder Intervallen { from, to, by }',
  'a travel by 0 semitones never arrives': 'eine Wanderung um 0 Halbtöne kommt nie an',
  'a move wider than two octaves': 'ein Schritt weiter als zwei Oktaven',
  'bring the ends nearer': 'die Enden näher zusammenrücken',
  'a length more than 24 semitones below the open tube': 'eine Länge mehr als 24 Halbtöne unter dem offenen Rohr',
  'write 0 for the open tube to 6 for the longest of three valves': '0 für das offene Rohr bis 6 für das längste mit drei Ventilen schreiben',
  'write 1 to 64 notes': '1 bis 64 Töne schreiben',
  'start on one of its notes': 'auf einem ihrer Töne anfangen',
  'start on its notes, or leave the root out': 'auf ihren Tönen anfangen oder den Grundton weglassen',
  'a figure carried upward needs a roof': 'eine aufwärts fortgesetzte Figur braucht ein Dach',
  'add roof = "player", or a note such as "G5"': 'roof = "player" hinzufügen oder einen Ton wie "G5"',
  'a figure carried downward needs a floor': 'eine abwärts fortgesetzte Figur braucht einen Boden',
  'add floor = "F#3" or another note': 'floor = "F#3" oder einen anderen Ton hinzufügen',
  'lower the starts or raise the roof': 'die Anfänge senken oder das Dach heben',
  'raise the starts or lower the floor': 'die Anfänge heben oder den Boden senken',
  'the last value is a rest': 'der letzte Wert ist eine Pause',
  'write a note value, as in 1/2': 'einen Notenwert schreiben, wie in 1/2',
  'a slur group of no notes': 'eine Bindung über keine Töne',
  'write sizes from 1, as in [2, 1, 1]': 'Größen ab 1 schreiben, wie in [2, 1, 1]',
  'an empty list': 'eine leere Liste',
  'write at least one mark': 'mindestens ein Zeichen schreiben',
  'write at least one dynamic': 'mindestens eine Lautstärke schreiben',
  'a rhythm needs at least one note, as in 1/4': 'ein Rhythmus braucht mindestens einen Ton, wie in 1/4',
  'a rhythm has at most 64 values': 'ein Rhythmus hat höchstens 64 Werte',
  'a breath after no notes': 'ein Atem nach keinem Ton',
  'write 1 to 255, or "auto"': '1 bis 255 schreiben, oder "auto"',
};

/** Sätze mit Lücken. */
const gaps: [RegExp, (...found: string[]) => string | null][] = [
  [/^expected (.+), found (.+)$/, (wanted, kind) => both(wish(wanted), wish(kind), (a, b) => `erwartet: ${a}; gefunden: ${b}`)],
  [/^`(.*)` is missing$/, (key) => `\`${key}\` fehlt`],
  [/^`(.*)` is not a key here$/, (key) => `\`${key}\` ist hier kein Schlüssel`],
  [/^`(.*)` is not an identifier$/, (id) => `\`${id}\` ist keine Kennung`],
  [/^`(.*)` is not a pitch: write .*$/, (text) => `\`${text}\` ist keine Tonhöhe: einen Buchstaben A-G schreiben, dann b oder # falls nötig, dann die Oktave (-2 bis 12), wie in Bb4 oder F#3`],
  [/^`(.*)` is not a note value: write .*$/, (text) => `\`${text}\` ist kein Notenwert: 1/4 für ein Viertel schreiben, 1/4. punktiert, 1/8t in einer Triole, r1/4 für eine Pause`],
  [/^`(.*)` is not a metre: write .*$/, (text) => `\`${text}\` ist kein Takt: 4/4, 3/4, 6/8 ... schreiben, oder free`],
  [/^`(.*)` is not (.+)$/, (text, what) => both(wish(what), '', (a) => `\`${text}\` passt hier nicht; gefragt ist: ${a}`)],
  [/^did you mean `(.*)`\?$/, (near) => `war \`${near}\` gemeint?`],
  [/^write one of (.+)$/, (words) => `eines schreiben von ${words}`],
  [/^(.+) is out of range$/, (number) => `${number} liegt außerhalb der Grenzen`],
  [/^version (.+) is not known$/, (version) => `Fassung ${version} ist nicht bekannt`],
  [/^this program reads version (.+)$/, (version) => `dieses Programm liest Fassung ${version}`],
  [/^the roof (.+) lies below the floor (.+)$/, (roof, floor) => `das Dach ${roof} liegt unter dem Boden ${floor}`],
  [/^(.+) numbers$/, (count) => `${count} Zahlen`],
  [/^(.+) tempi$/, (count) => `${count} Tempi`],
  [/^(.+) steps$/, (count) => `${count} Schritte`],
  [/^(.+) starts$/, (count) => `${count} Anfänge`],
  [/^(.+) repeats$/, (count) => `${count} Wiederholungen`],
  [/^(.+) beats$/, (count) => `${count} Schläge`],
  [/^(.+) times the playing$/, (count) => `das ${count}-fache des Spielens`],
  [/^degree (.+) is not in (.+)$/, (degree, harmony) => `Stufe ${degree} ist nicht in ${chromatic(harmony)}`],
  [/^its degrees in one octave are (.+); an octave adds 7$/, (degrees) => `ihre Stufen in einer Oktave sind ${degrees}; eine Oktave zählt 7 dazu`],
  [/^partial (.+) is out of reach$/, (partial) => `Naturton ${partial} ist außer Reichweite`],
  [/^leave out (.+), or write the figure in degrees$/, (field) => `${field} weglassen oder die Figur in Stufen schreiben`],
  [/^(.+) notes in a figure$/, (count) => `${count} Töne in einer Figur`],
  [/^write at most (.+) and carry them on$/, (most) => `höchstens ${most} schreiben und sie fortsetzen`],
  [/^a leap of (.+) semitones leaves (.+)$/, (leap, harmony) => `ein Sprung von ${leap} Halbtönen verlässt ${chromatic(harmony)}`],
  [/^a leap of (.+) semitones$/, (leap) => `ein Sprung von ${leap} Halbtönen`],
  [/^from (.+) to (.+) is more than seven octaves$/, (from, to) => `von ${from} bis ${to} sind es mehr als sieben Oktaven`],
  [/^every line would start above the roof (.+)$/, (roof) => `jede Zeile würde über dem Dach ${roof} anfangen`],
  [/^every line would start below the floor (.+)$/, (floor) => `jede Zeile würde unter dem Boden ${floor} anfangen`],
  [/^a tempo of (.+) quarter notes a minute$/, (tempo) => `ein Tempo von ${tempo} Vierteln in der Minute`],
  [/^(\S+) is not in (.+) on (\S+)$/, (tone, harmony, root) => `${tone} ist nicht in ${chromatic(harmony)} auf ${root}`],
  [/^not TOML: (.*)$/s, (fault) => `kein TOML: ${fault}`],
  [/^write (.+)$/, (what) => both(wish(what) ?? what ?? null, '', (a) => `${a} schreiben`)],
];

const chromatic = (harmony = '') => (harmony === 'the chromatic scale' ? 'der chromatischen Leiter' : harmony);

function both(first: string | null, second: string | null, say: (first: string, second: string) => string): string | null {
  return first === null || second === null ? null : say(first, second);
}

/** Was an einer Datei nicht stimmt oder zu tun ist; `null`, wenn es keine Worte dafür gibt. */
export function diagnosed(text: string): string | null {
  if (Object.hasOwn(sentences, text)) return sentences[text] ?? null;
  for (const [is, say] of gaps) {
    const found = is.exec(text);
    if (found) return say(...found.slice(1));
  }
  return null;
}
