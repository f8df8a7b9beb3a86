// One request: session token, JSON both ways, one retry when the token has gone stale.
import { Failure, failureFrom } from './failure';
import type { Session } from './shapes';

type Query = Record<string, string | number | boolean | null | undefined>;
export interface Ask {
  query?: Query;
  json?: unknown;
  body?: BodyInit;
  signal?: AbortSignal;
}

let session: Promise<Session> | null = null;

/** The session, asked for once; `again` asks anew. */
export function currentSession(again = false): Promise<Session> {
  if (!session || again) {
    session = plain<Session>('GET', '/api/session', {}, null);
    session.catch(() => (session = null));
  }
  return session;
}

export function setSession(next: Session): void {
  session = Promise.resolve(next);
}

export function address(path: string, query: Query = {}): string {
  const set = new URLSearchParams();
  for (const [name, value] of Object.entries(query)) {
    if (value !== null && value !== undefined && value !== '') set.set(name, String(value));
  }
  const text = set.toString();
  return text ? `${path}?${text}` : path;
}

async function send(method: string, path: string, ask: Ask, token: string | null): Promise<Response> {
  const headers = new Headers();
  if (token) headers.set('x-waterkey-token', token);
  if (ask.json !== undefined) headers.set('content-type', 'application/json');
  else if (ask.body instanceof Blob && ask.body.type) headers.set('content-type', ask.body.type);
  const body = ask.json !== undefined ? JSON.stringify(ask.json) : ask.body;
  try {
    return await fetch(address(path, ask.query), {
      method,
      headers,
      credentials: 'same-origin',
      ...(body === undefined ? {} : { body }),
      ...(ask.signal ? { signal: ask.signal } : {}),
    });
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') throw error;
    throw new Failure('unreachable', 0, '');
  }
}

async function plain<T>(method: string, path: string, ask: Ask, token: string | null): Promise<T> {
  const answer = await send(method, path, ask, token);
  if (!answer.ok) throw await failureFrom(answer);
  if (answer.status === 204) return undefined as T;
  return (await answer.json()) as T;
}

/** Asks and gives the raw answer; throws a Failure for anything but success. */
export async function raw(method: string, path: string, ask: Ask = {}): Promise<Response> {
  const changing = method !== 'GET';
  const token = changing ? (await currentSession()).token : null;
  let answer = await send(method, path, ask, token);
  if (changing && answer.status === 403) {
    const failure = await failureFrom(answer);
    if (failure.code !== 'csrf-token') throw failure;
    answer = await send(method, path, ask, (await currentSession(true)).token);
  }
  if (!answer.ok) throw await failureFrom(answer);
  return answer;
}

/** Asks and gives the JSON. */
export async function ask<T>(method: string, path: string, ask: Ask = {}): Promise<T> {
  const answer = await raw(method, path, ask);
  if (answer.status === 204) return undefined as T;
  return (await answer.json()) as T;
}
