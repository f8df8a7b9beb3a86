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
    'not-found': 'Das ist nicht mehr da.',
    'bad-request': 'Das konnte der Server nicht lesen.',
    unprocessable: 'Das geht nicht. Warum, steht darunter.',
    unauthorized: 'Erst anmelden.',
    'forbidden-origin': 'Der Server antwortet nur seiner eigenen Seite.',
    'csrf-token': 'Diese Seite steht schon zu lange offen. Neu laden.',
    'forbidden-host': 'Unter diesem Namen antwortet der Server nicht.',
    'method-not-allowed': 'Das tut der Server nicht.',
    'too-large': 'Das ist dem Server zu groß.',
    'too-many-requests': 'Zu viele Anfragen auf einmal. Gleich noch einmal versuchen.',
    timeout: 'Das kam zu langsam. Noch einmal versuchen.',
    'unsupported-media-type': 'Diese Art Datei nimmt der Server nicht.',
    conflict: 'Das gibt es schon, oder es lag dem Programm bei und ist nicht zu ändern.',
    'range-not-satisfiable': 'Diese Stelle des Klangs gibt es nicht.',
    busy: 'Der Speicher ist gerade beschäftigt. Gleich noch einmal versuchen.',
    'disk-full': 'Die Platte ist voll. Platz schaffen und noch einmal versuchen; nichts Aufgenommenes geht verloren.',
    'not-built': 'Dieses waterkey wurde ohne Notenstecher gebaut, darum gibt es keine gestochene Seite. Alles andere geht.',
    internal: 'Ein Fehler im Programm. Nichts Gesichertes ist verloren; das Protokoll sagt mehr.',
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
    leadpipe: 'Mundrohr',
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
