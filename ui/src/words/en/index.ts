// English: the catalogue that the others are measured against.
import { book, lesson } from './book';
import { horn } from './horn';
import { play } from './play';
import { player } from './player';
import { routine } from './routine';
import { settings } from './settings';
import { take } from './take';

export const en = {
  app: {
    name: 'waterkey',
    skip: 'Skip to the page',
    nav: 'Pages',
    atTheStand: 'At the stand',
    undo: 'Undo',
    dismiss: 'Put away',
  },
  nav: { horn: 'Horn', routine: 'Routine', play: 'Play', take: 'Take', player: 'Player', settings: 'Settings', book: 'Book', lesson: 'Lesson' },
  state: {
    waiting: 'Coming …',
    again: 'Try again',
    cancel: 'Leave as it was',
    save: 'Save',
    remove: 'Remove',
    more: 'Show more',
    none: 'none',
  },
  failure: {
    unreachable: 'The server does not answer. Is waterkey still running on this machine?',
    'not-found': 'It is not there any more.',
    'bad-request': 'The server could not read that.',
    unprocessable: 'That cannot be. What stands below says why.',
    unauthorized: 'Sign in first.',
    'forbidden-origin': 'The server only answers its own page.',
    'csrf-token': 'This page has been open for too long. Load it again.',
    'forbidden-host': 'The server does not answer to this name.',
    'method-not-allowed': 'The server does not do that.',
    'too-large': 'That is too large for the server.',
    'too-many-requests': 'Too many requests at once. Try again in a moment.',
    timeout: 'That came too slowly. Try again.',
    'unsupported-media-type': 'The server does not take this kind of file.',
    conflict: 'It is there already, or it came with the program and can’t be changed.',
    'range-not-satisfiable': 'That stretch of the sound is not there.',
    busy: 'The store is busy with something else. Try again in a moment.',
    'disk-full': 'The disk is full. Make room, then try again; nothing that was recorded is lost.',
    'not-built': 'This build of waterkey has no engraver, so there is no engraved page. Everything else works.',
    internal: 'A fault in the program. Nothing that was saved is lost; its log says more.',
    unexpected: 'Something went wrong at the server.',
  },
  door: {
    title: 'This waterkey asks for its passphrase',
    passphrase: 'Passphrase',
    open: 'Open',
    wrong: 'That was not it.',
  },
  pitch: {
    flat: (cents: string) => `${cents} cents flat`,
    sharp: (cents: string) => `${cents} cents sharp`,
    true: 'true',
    cents: 'cents',
    kind: { partial: 'partial', pedal: 'pedal', false: 'false note' },
  },
  kit: {
    open: 'open',
    valve: (n: number) => `Valve ${n}`,
    position: (label: string) => `Position ${label}`,
    fingering: 'Fingering',
    note: 'Note',
    rest: 'Rest',
    instrument: 'Instrument',
    mouthpiece: 'Mouthpiece',
    leadpipe: 'Leadpipe',
    player: 'Player',
  },
  own: {
    levels: 'The levels as a file',
    levelsLead: 'Floor, roof, tempo, keys and minutes of each level. Change it and every part follows.',
    advice: 'Your words for each finding',
    adviceLead: 'What to say when something is heard, and which exercise to name. Write it as you would say it.',
    back: 'Back to the set that came with the program',
    gone: (what: string) => `${what}: back to the first set.`,
  },
  caution: {
    title: 'Take care',
    lips: 'Pain, numbness, dizziness or a lip that stops answering: stop and rest. If it stays, see a licensed clinician.',
    ears: 'Brass at the player’s ear is loud: 86–98 dB LAeq was measured in brass sections (Schmidt et al. 2011). NIOSH recommends at most 85 dB(A) for 8 hours, half the time for every 3 dB more. Local rules and licensed practice come first.',
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
