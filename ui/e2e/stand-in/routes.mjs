// What the stand-in answers.
import { chart, compare, entries, instruments, resonances, wave } from './horns.mjs';

const get = (path, give) => ({ method: 'GET', path, give });
const post = (path, give) => ({ method: 'POST', path, give });
const put = (path, give) => ({ method: 'PUT', path, give });
const del = (path, give) => ({ method: 'DELETE', path, give });
const number = (query, name) => Number(query.get(name) ?? 0);

export const routes = [
  get(/^\/api\/session$/, () => ({ token: 'test', signed_in: true, needs_passphrase: false, network: false })),
  get(/^\/api\/health$/, ({ studio }) => ({ status: 'ok', version: '0.1.0', engraver: true, takes: studio.takes.length, recording: 0 })),
  get(/^\/api\/settings$/, ({ studio }) => studio.settings),
  put(/^\/api\/settings$/, ({ studio, json }) => (studio.settings = json)),
  get(/^\/api\/instruments$/, ({ studio }) => (studio.bare ? [] : entries)),
  get(/^\/api\/mouthpieces$/, () => ['medium', 'deep'].map((id) => ({ id, name: `${id} cup`, own: false, text: `id = "${id}"\n` }))),
  get(/^\/api\/leadpipes$/, () => ['trumpet-narrow', 'trumpet-wide'].map((id, n) => ({ id, from_mm: 9, to_mm: 11.5 + n / 10, length_mm: 220, source: 'invented' }))),
  get(/^\/api\/instruments\/([^/]+)$/, ({ parts }) => ({ instrument: instruments[parts[0]], own: false, bore: true, text: `# ${instruments[parts[0]].name}\nid = "${parts[0]}"\n` })),
  get(/^\/api\/instruments\/([^/]+)\/bore$/, ({ parts }) => ({ own: false, text: `id = "${parts[0]}"\n` })),
  get(/^\/api\/instruments\/([^/]+)\/chart$/, ({ parts }) => chart(parts[0])),
  get(/^\/api\/instruments\/([^/]+)\/resonances$/, ({ parts, query }) => resonances(parts[0], number(query, 'length'), number(query, 'extension_mm'))),
  get(/^\/api\/instruments\/([^/]+)\/standing-wave$/, ({ parts, query }) => wave(parts[0], number(query, 'length'), number(query, 'frequency_hz'))),
  post(/^\/api\/compare$/, () => compare()),
  get(/^\/api\/exercises$/, ({ studio }) => studio.exercises),
  post(/^\/api\/exercises\/check$/, ({ json }) => ({ ok: !json.text.includes('oops'), diagnostics: json.text.includes('oops') ? [{ severity: 'error', message: 'unknown key `oops`', line: 3, column: 1, help: 'Did you mean `roof`?' }] : [], formatted: null })),
  get(/^\/api\/exercises\/([^/]+)$/, ({ studio, parts }) => ({ ...studio.exercises.find((one) => one.id === parts[0]), text: studio.text, diagnostics: [] })),
  get(/^\/api\/advice$/, () => ({ text: '# What to say\n' })),
  get(/^\/api\/levels$/, () => ({ text: '', levels: [{ id: 'first-year' }, { id: 'middle' }] })),
  post(/^\/api\/parts$/, ({ studio }) => ({ part: studio.part, diagnostics: [] })),
  post(/^\/api\/parts\/engraving$/, ({ studio }) => ({ pages: [studio.engraving] })),
  get(/^\/api\/routines$/, () => [{ id: 'first-quarter', title: 'A first quarter hour', purpose: 'Everything once.', minutes: 15, exercises: ['held-breath'] }]),
  post(/^\/api\/books$/, () => ({ bytes: Buffer.from('%PDF-1.4\n'), kind: 'application/pdf' })),
  get(/^\/api\/players$/, ({ studio }) => studio.players),
  post(/^\/api\/players$/, ({ studio, json }) => (studio.players.push({ ...json, id: `p${studio.players.length + 1}`, created_ms: 0, changed_ms: 0 }), studio.players.at(-1))),
  put(/^\/api\/players\/([^/]+)$/, ({ studio, parts, json }) => Object.assign(studio.players.find((one) => one.id === parts[0]), json)),
  del(/^\/api\/players\/([^/]+)$/, ({ studio, parts }) => void (studio.gone = studio.players.splice(studio.players.findIndex((one) => one.id === parts[0]), 1)[0])),
  post(/^\/api\/players\/([^/]+)\/restore$/, ({ studio }) => (studio.players.push(studio.gone), studio.gone)),
  get(/^\/api\/players\/([^/]+)\/progress$/, ({ studio, query }) => ({ series: studio.series.filter((one) => (query.get('zone') ?? one.zone) === one.zone && (query.get('skill') ?? one.skill) === one.skill) })),
  get(/^\/api\/players\/([^/]+)\/load$/, ({ studio }) => studio.load),
  get(/^\/api\/players\/([^/]+)\/advice$/, ({ studio }) => studio.advice),
  get(/^\/api\/lessons$/, ({ studio }) => studio.lessons),
  get(/^\/api\/lessons\/([^/]+)$/, ({ studio, parts }) => studio.lessons.find((one) => one.id === parts[0]) ?? { status: 404, code: 'not-found', detail: 'no such lesson' }),
  post(/^\/api\/lessons$/, ({ studio, json }) => (studio.lessons.unshift({ ...json, id: `l${studio.lessons.length}`, created_ms: 0, changed_ms: 0 }), studio.lessons[0])),
  del(/^\/api\/lessons\/([^/]+)$/, ({ studio, parts }) => void (studio.lessons = studio.lessons.filter((one) => one.id !== parts[0]))),
  get(/^\/api\/takes$/, ({ studio }) => ({ takes: studio.takes, next: null, total: studio.takes.length })),
  get(/^\/api\/takes\/([^/]+)$/, ({ studio, parts }) => studio.takePages[parts[0]] ?? { status: 404, code: 'not-found', detail: 'no such take' }),
  get(/^\/api\/takes\/([^/]+)\/curves$/, ({ studio, query }) => studio.curves(number(query, 'from_s'), number(query, 'to_s'))),
  get(/^\/api\/takes\/([^/]+)\/spectrum$/, ({ studio, query }) => studio.spectrum(number(query, 'at_s'))),
  get(/^\/api\/takes\/([^/]+)\/engraving$/, ({ studio }) => ({ pages: [studio.engraving] })),
  get(/^\/api\/takes\/([^/]+)\/compare\//, ({ studio }) => ({ measures: studio.compared })),
  get(/^\/api\/takes\/([^/]+)\/audio$/, ({ studio }) => ({ bytes: studio.audio, kind: 'audio/wav' })),
  post(/^\/api\/takes\/([^/]+)\/notes$/, ({ studio, parts, json }) => {
    const note = { ...json, id: `n${Date.now()}`, take: parts[0], created_ms: 0, changed_ms: 0 };
    studio.takePages[parts[0]].notes.push(note);
    return note;
  }),
  del(/^\/api\/takes\/([^/]+)\/notes\/([^/]+)$/, ({ studio, parts }) => void (studio.takePages[parts[0]].notes = studio.takePages[parts[0]].notes.filter((one) => one.id !== parts[1]))),
];
