// Deutsch: die Wörter des Berichts als Seite, die das Programm englisch schreibt.
import { pitchName } from '../pitch';

const comma = (figure = '') => figure.replaceAll('.', ',');

/** Warum etwas nicht zu messen war. */
const whys: Record<string, string> = {
  'the note is too short': 'der Ton ist zu kurz',
  'the sound is too close to the noise': 'zu nah am Geräusch',
  'the echo of the room covers it': 'der Hall des Raums verdeckt es',
  'the recording is overloaded there': 'die Aufnahme ist dort übersteuert',
  'the note does not settle': 'der Ton kommt nicht zur Ruhe',
  'there is nothing to compare it with': 'nichts zum Vergleichen',
  'the recording is cut there': 'die Aufnahme ist dort abgeschnitten',
  'there are too few notes': 'zu wenige Töne',
  'there is none': 'nichts davon da',
  'the note is slurred': 'der Ton ist gebunden',
  'the level is not calibrated': 'der Pegel ist nicht kalibriert',
};
/** Ein Wert mit Einheit, oder warum es keinen gibt. */
export const value = (text = ''): string => {
  const why = /^not measured: (.+)$/.exec(text)?.[1];
  return why ? `nicht gemessen: ${whys[why] ?? why}` : comma(text).replace(/ dB apart$/, ' dB auseinander').replace(/ cents$/, ' Cent');
};

export const phrases: Record<string, string> = {
  Take: 'Aufnahme',
  'The part as it was heard': 'Die Stimme, wie sie gehört wurde',
  'Notes as asked': 'Töne wie verlangt',
  'Notes heard': 'Gehörte Töne',
  Slurs: 'Bindungen',
  Pitch: 'Tonhöhe',
  'Spread of pitch': 'Streuung der Tonhöhe',
  'Wander in a note': 'Unruhe im Ton',
  Slur: 'Bindung',
  Attack: 'Ansprache',
  Level: 'Pegel',
  'Sound level': 'Schallpegel',
  'What stands out': 'Was auffällt',
  'Nothing goes beyond its limit.': 'Nichts geht über seine Grenze hinaus.',
  'Line by line': 'Zeile für Zeile',
  'Notes that nothing asked for': 'Töne, die niemand verlangt hat',
  'Other notes': 'Andere Töne',
  'All figures of this line': 'Alle Zahlen dieser Zeile',
  'Room and microphone': 'Raum und Mikrofon',
  'Take care': 'Achtgeben',
  'The same top note': 'Derselbe Spitzenton',
  note: 'Ton',
  fingering: 'Griff',
  cents: 'Cent',
  wander: 'Unruhe',
  'vibrato Hz': 'Vibrato Hz',
  'vibrato cents': 'Vibrato Cent',
  scoop: 'Anschleifen',
  'attack ms': 'Ansprache ms',
  'release ms': 'Ausklang ms',
  sag: 'Absinken',
  'level LKFS': 'Pegel LKFS',
  brightness: 'Helligkeit',
  'harmonics to noise dB': 'Ton über Geräusch dB',
  slur: 'Bindung',
  'dip dB': 'Einbruch dB',
  'overshoot cents': 'Überschießen Cent',
  caught: 'hängen geblieben',
  none: 'keiner',
  'not heard': 'nicht gehört',
  wrong: 'falsch',
  level: 'Pegel',
  line: 'Zeile',
  'starts below, semitones': 'beginnt darunter, Halbtöne',
  'sound apart dB': 'Klang auseinander dB',
  'another note sounded in its place': 'ein anderer Ton klang an seiner Stelle',
  'Nothing was asked for: the notes are given as they were heard.': 'Nichts war verlangt: die Töne stehen da, wie sie zu hören waren.',
};

/** Sätze mit Lücken; `given` sagt Namen von Zeilen. */
export const patterns: [RegExp, (given: (text: string) => string, ...found: string[]) => string][] = [
  [/^The take is what was asked for: (\d+) of (\d+) notes of the lines played\.(?: It stops after (\d+) of the (\d+) notes of its last line\.)?$/, (_, heard, asked, done, all) =>
    `Die Aufnahme ist, was verlangt war: ${heard} von ${asked} Tönen der gespielten Zeilen.${done ? ` Sie hört nach ${done} der ${all} Töne ihrer letzten Zeile auf.` : ''}`],
  [/^(\d+) of (\d+)$/, (_, some, all) => `${some} von ${all}`],
  [/^(\d+) wrong, (\d+) missing, (\d+) extra$/, (_, wrong, missing, extra) => `${wrong} falsch, ${missing} fehlen, ${extra} zu viel`],
  [/^a partial caught in (\d+)$/, (_, count) => `in ${count} blieb ein Naturton hängen`],
  [/^in (\d+:[\d.]+)$/, (_, time) => `in ${comma(time)}`],
  [/^(\d+:[\d.]+) to (\d+:[\d.]+)$/, (_, from, to) => `${comma(from)} bis ${comma(to)}`],
  [/^(.+), time (\d+)$/, (given, label = '', time) => `${given(label)}, ${time}. Mal`],
  [/^Pitch and level of line (.+): (\d+) of (\d+) notes as asked, (\d+) flat, (\d+) sharp\. The table below has the figures\.$/, (given, label = '', heard, asked, flat, sharp) =>
    `Tonhöhe und Pegel der Zeile ${given(label)}: ${heard} von ${asked} Tönen wie verlangt, ${flat} zu tief, ${sharp} zu hoch. Die Tabelle darunter nennt die Zahlen.`],
  [/^Pitch and level of line (.+)$/, (given, label = '') => `Tonhöhe und Pegel der Zeile ${given(label)}`],
  [/^Notes of line (.+)$/, (given, label = '') => `Töne der Zeile ${given(label)}`],
  [/^not ([A-G](?:♭|♯|b|#|x)*-?\d)$/, (_, name = '') => `nicht ${pitchName(name)}`],
  [/^(\S+) sounded in its place$/, (_, name = '') => `${pitchName(name)} klang an seiner Stelle`],
  [/^(\S+) to (\S+)$/, (_, from = '', to = '') => `${pitchName(from)} zu ${pitchName(to)}`],
  [/^(\S+) in (\d+) lines: sound (.+), level (.+), pitch (.+)\.$/, (_, name = '', lines, sound, level, pitch) => `${pitchName(name)} in ${lines} Zeilen: Klang ${value(sound)}, Pegel ${value(level)}, Tonhöhe ${value(pitch)}.`],
  [/^± is a 95 % interval\. A4 = ([\d.]+) Hz\. Flat is blue with ▼, sharp is orange with ▲, both only beyond 5 cents and beyond the interval\. Made with (.+)\.$/, (_, a4, made) =>
    `± ist ein Intervall von 95 %. a¹ = ${comma(a4)} Hz. Zu tief ist blau mit ▼, zu hoch orange mit ▲, beides nur jenseits von 5 Cent und jenseits des Intervalls. Erstellt mit ${made}.`],
];

/** Hängen gebliebene Naturtöne, durch Strichpunkte getrennt. */
export const partials = (text: string) =>
  text.split('; ').map((one) => one.replace(/^partial (\d+), (.+)$/, (_, partial: string, held: string) => `${partial}. Naturton, ${value(held)}`)).join('; ');
