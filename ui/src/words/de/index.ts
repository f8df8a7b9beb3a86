// Deutsch: dieselben Schlüssel wie das Englische; ein fehlender ist ein Typfehler.
import { book, lesson } from './book';
import { horn } from './horn';
import { play } from './play';
import { player } from './player';
import { routine } from './routine';
import { settings } from './settings';
import { take } from './take';

export const de = {
  app: {
    name: 'waterkey',
    skip: 'Zum Inhalt',
    nav: 'Seiten',
    atTheStand: 'Am Pult',
    undo: 'Rückgängig',
    dismiss: 'Weglegen',
  },
  nav: { horn: 'Instrument', routine: 'Übungen', play: 'Spielen', take: 'Aufnahme', player: 'Spieler', settings: 'Einstellungen', book: 'Heft', lesson: 'Stunde' },
  state: {
    waiting: 'Kommt …',
    again: 'Noch einmal versuchen',
    cancel: 'Lassen, wie es war',
    save: 'Sichern',
    remove: 'Entfernen',
    more: 'Mehr zeigen',
    none: 'keine',
  },
  failure: {
    unreachable: 'Der Server antwortet nicht. Läuft waterkey noch auf diesem Rechner?',
    busy: 'Der Speicher ist gerade beschäftigt. Gleich noch einmal versuchen.',
    tooMany: 'Zu viele Anfragen auf einmal. Gleich noch einmal versuchen.',
    diskFull: 'Die Platte ist voll. Platz schaffen und noch einmal versuchen; nichts Aufgenommenes geht verloren.',
    notBuilt: 'Dieses waterkey wurde ohne Notenstecher gebaut, darum gibt es keine gestochene Seite. Alles andere geht.',
    notFound: 'Das ist nicht mehr da.',
    unauthorized: 'Erst anmelden.',
    unexpected: 'Beim Server ist etwas schiefgegangen.',
  },
  door: {
    title: 'Dieses waterkey fragt nach seinem Kennsatz',
    passphrase: 'Kennsatz',
    open: 'Öffnen',
    wrong: 'Das war er nicht.',
  },
  pitch: {
    flat: (cents: string) => `${cents} Cent zu tief`,
    sharp: (cents: string) => `${cents} Cent zu hoch`,
    true: 'stimmt',
    cents: 'Cent',
    kind: { partial: 'Naturton', pedal: 'Pedalton', false: 'Faktitius' },
  },
  kit: {
    open: 'offen',
    valve: (n: number) => `Ventil ${n}`,
    position: (label: string) => `${label}. Lage`,
    fingering: 'Griff',
    note: 'Ton',
    rest: 'Pause',
    instrument: 'Instrument',
    mouthpiece: 'Mundstück',
    player: 'Spieler',
  },
  own: {
    levels: 'Die Stufen als Datei',
    levelsLead: 'Boden, Dach, Tempo, Tonarten und Minuten jeder Stufe. Jede Änderung wirkt auf alle Stimmen.',
    advice: 'Ihre Worte zu jedem Befund',
    adviceLead: 'Was zu sagen ist, wenn etwas zu hören war, und welche Übung dazu gehört. So schreiben, wie Sie es sagen würden.',
    back: 'Zurück zu dem Satz, der dem Programm beilag',
    gone: (what: string) => `${what}: wieder der erste Satz.`,
  },
  caution: {
    title: 'Achtgeben',
    lips: 'Schmerz, Taubheit, Schwindel oder eine Lippe, die nicht mehr anspricht: aufhören und ausruhen. Bleibt es, gehört es zu einer zugelassenen ärztlichen Fachperson.',
    ears: 'Blech ist am Ohr der Spielenden laut: 86–98 dB LAeq wurden in Blechbläsergruppen gemessen (Schmidt u. a. 2011). NIOSH empfiehlt höchstens 85 dB(A) für 8 Stunden, bei je 3 dB mehr nur die halbe Zeit. Örtliche Regeln und ärztlicher Rat gehen vor.',
  },
  horn,
  routine,
  play,
  take,
  player,
  settings,
  book,
  lesson,
} as const;
