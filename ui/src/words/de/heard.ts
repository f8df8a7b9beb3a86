// Deutsch: was das Ohr findet, in ganzen Sätzen.
import type { FoundAt, Heard } from '../heard';

/** „E5 (von C, 0:03,4)“, so weit es etwas davon gibt. */
const at = ({ note, where }: FoundAt) => [note, where && `(${where})`].filter(Boolean).join(' ');
const most = (one: FoundAt) => (at(one) ? `, am meisten ${at(one)}` : '');

export const heard: Heard = {
  units: { cents: 'Cent', note: 'Ton', notes: 'Töne', 'dB RMS': 'dB' },
  findings: {
    'take-off-pitch': ({ size, low }) => `Die ganze Aufnahme liegt ${size} zu ${low ? 'tief' : 'hoch'}. Erst stimmen, dann auf einzelne Töne sehen.`,
    flat: (one) => `Zu tief, ${one.size}${most(one)}.`,
    sharp: (one) => `Zu hoch, ${one.size}${most(one)}.`,
    wander: (one) => `Der Ton hält seine Höhe nicht, ${one.size}${most(one)}.`,
    scoop: (one) => `Der Ton wird neben seiner Höhe begonnen, ${one.size}${most(one)}.`,
    'slow-attack': (one) => `Der Ton braucht ${one.size}, bis er ruhig steht${most(one)}.`,
    chipped: (one) => `Gekickst: ein anderer Naturton klang ${one.size} lang zuerst${most(one)}.`,
    caught: (one) => `In der Bindung blieb ein anderer Naturton hängen, ${one.size}${most(one)}.`,
    'slow-slur': (one) => `Die Bindung dauert ${one.size}${most(one)}.`,
    dip: (one) => `In der Bindung fällt der Pegel um ${one.size}${most(one)}.`,
    overshoot: (one) => `Die Bindung schießt ${one.size} über den neuen Ton hinaus${most(one)}.`,
    sag: (one) => `Beim Aufhören rutscht der Ton um ${one.size}${most(one)}.`,
    'uneven-level': (one) => `Die Linie ist ungleich laut, ${one.size}${most(one)}.`,
    'uneven-sound': (one) => `Die Klangfarbe ist entlang der Linie ungleich, ${one.size}${most(one)}.`,
    'roof-changes': (one) => `Der höchste Ton ${one.note} klingt nicht jedes Mal gleich: ${one.size} auseinander.`,
    'wrong-note': (one) => `Anders als verlangt: ${one.size}, zuerst ${at(one)}.`,
    'missing-note': (one) => `Nicht zu hören: ${one.size}, zuerst ${at(one)}.`,
    loud: (one) => `Am Mikrofon werden ${one.size} erreicht: auf die Ohren achten.`,
  },
  verdicts: {
    silence: 'Es ist nichts zu hören: Ist das richtige Mikrofon gewählt und nicht stumm?',
    noise: 'Es ist etwas zu hören, aber nichts mit einer Tonhöhe: Geräusch, oder das Mikrofon steht zu weit weg.',
    speech: 'Das klingt nach Sprechen oder Singen, nicht nach einem Blechblasinstrument.',
    struck: 'Das klingt nach einem Klavier oder einer Zupfsaite, nicht nach einem Blechblasinstrument.',
    several: 'Es spielt mehr als einer zugleich; gemessen werden kann nur einer.',
    'other-exercise': 'Das ist eine andere Übung als die, gegen die gehört wurde.',
    moved: 'Die Linien stimmen, aber alle um ein Intervall verschoben: ein anderes Instrument oder eine andere Stimmung?',
    'octave-off': 'Die Linien stimmen, aber in einer anderen Oktave.',
    'rate-lie': 'Alle Töne liegen im Verhältnis zweier Abtastraten daneben: Die Datei nennt eine falsche Rate.',
    'too-little': 'Zu wenige Töne, um zu sagen, was gespielt wurde.',
  },
  faults: {
    clipped: 'Die Aufnahme ist übersteuert: Mikrofon weiter weg oder weniger Aussteuerung.',
    hum: 'Netzbrummen liegt unter dem Ton.',
    dropouts: 'Stellenweise fehlt der Ton.',
    'near-silent': 'Die Aufnahme ist fast stumm: mehr Aussteuerung.',
    offset: 'Dem Ton liegt eine Gleichspannung bei; sie wurde vor dem Messen abgezogen.',
    'rate-differs': 'Datei und Sender nennen verschiedene Abtastraten.',
    'cut-short': 'Die Datei hört auf, bevor sie es sagt: ein Stück fehlt.',
    damaged: 'Teile der Datei waren nicht zu lesen; dort steht Stille.',
    'not-numbers': 'Einige Abtastwerte waren keine Zahlen; dort steht Stille.',
  },
};
