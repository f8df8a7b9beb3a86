// What went wrong at the server, as one kind of error with a code the page can put into words.
import type { Diagnostic } from './shapes';

/** A refused or failed request. `code` is the server's, or `unreachable` when nothing answered. */
export class Failure extends Error {
  constructor(
    readonly code: string,
    readonly status: number,
    readonly detail: string,
    readonly diagnostics: Diagnostic[] = [],
    readonly retryAfter: number | null = null,
  ) {
    super(detail || code);
    this.name = 'Failure';
  }

  /** Worth trying again without any change. */
  get passing(): boolean {
    return ['unreachable', 'busy', 'too-many-requests'].includes(this.code);
  }
}

/** Anything thrown, as a Failure. */
export function asFailure(error: unknown): Failure {
  if (error instanceof Failure) return error;
  return new Failure('unexpected', 0, error instanceof Error ? error.message : String(error));
}

/** Reads an RFC 9457 answer. */
export async function failureFrom(answer: Response): Promise<Failure> {
  const wait = Number(answer.headers.get('retry-after'));
  const retryAfter = Number.isFinite(wait) && wait > 0 ? wait : null;
  try {
    const body = (await answer.json()) as { code?: string; detail?: string; title?: string; diagnostics?: Diagnostic[] };
    return new Failure(body.code ?? 'unexpected', answer.status, body.detail ?? body.title ?? '', body.diagnostics ?? [], retryAfter);
  } catch {
    return new Failure('unexpected', answer.status, answer.statusText, [], retryAfter);
  }
}
