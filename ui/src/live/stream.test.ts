import { beforeEach, describe, expect, it, vi } from 'vitest';
import { encode } from './frames';
import { LiveStream, type Socket } from './stream';

class FakeSocket implements Socket {
  sent: (string | ArrayBuffer)[] = [];
  binaryType: BinaryType = 'blob';
  onopen: Socket['onopen'] = null;
  onmessage: Socket['onmessage'] = null;
  onclose: Socket['onclose'] = null;
  send(data: unknown) {
    this.sent.push(data as string | ArrayBuffer);
  }
  close() {}
  say(message: unknown) {
    this.onmessage?.call(this as unknown as WebSocket, { data: JSON.stringify(message) } as MessageEvent);
  }
  up() {
    this.onopen?.call(this as unknown as WebSocket, new Event('open'));
  }
  down() {
    this.onclose?.call(this as unknown as WebSocket, new Event('close') as CloseEvent);
  }
  get blocks() {
    return this.sent.filter((one) => typeof one !== 'string').map((one) => new DataView(one as ArrayBuffer).getUint32(4, true));
  }
  get words() {
    return this.sent.filter((one) => typeof one === 'string').map((one) => JSON.parse(one as string) as Record<string, unknown>);
  }
}

const block = (n: number) => ({ first: n * 512, samples: new Float32Array(512).fill(n) });
let sockets: FakeSocket[];
function begin() {
  return new LiveStream({ sample_rate: 48000, instrument: 'trumpet-bflat' }, () => {
    const one = new FakeSocket();
    sockets.push(one);
    return one;
  });
}
const at = (n: number) => sockets[n] as FakeSocket;

describe('frames', () => {
  it('puts the header where the server reads it', () => {
    const view = new DataView(encode({ seq: 7, first: 5_000_000_000, samples: new Float32Array([0.5, -1]) }, 12.25));
    expect([view.getUint8(0), view.getUint8(1), view.getUint32(4, true), Number(view.getBigUint64(8, true)), view.getFloat64(16, true)]).toEqual([1, 0, 7, 5_000_000_000, 12.25]);
    expect([view.byteLength, view.getFloat32(24, true), view.getFloat32(28, true)]).toEqual([32, 0.5, -1]);
  });
});

describe('live stream', () => {
  beforeEach(() => {
    sockets = [];
    vi.useFakeTimers();
  });

  it('holds blocks until the server is ready, then sends them in order', () => {
    const stream = begin();
    at(0).up();
    stream.push(block(0));
    stream.push(block(1));
    expect(at(0).blocks).toEqual([]);
    at(0).say({ type: 'ready', take: 't', next_seq: 0, next_sample: 0, part: null });
    stream.push(block(2));
    expect(at(0).blocks).toEqual([0, 1, 2]);
    expect(stream.state).toBe('open');
  });

  it('takes the same take up again after a break and loses nothing', () => {
    const stream = begin();
    at(0).up();
    at(0).say({ type: 'ready', take: 't', next_seq: 0, next_sample: 0, part: null });
    for (let n = 0; n < 4; n++) stream.push(block(n));
    at(0).say({ type: 'ack', next_seq: 3, durable_seq: 2 });
    at(0).down();
    stream.push(block(4));
    expect(stream.state).toBe('broken');
    vi.advanceTimersByTime(300);
    at(1).up();
    expect(at(1).words).toEqual([{ type: 'resume', take: 't' }]);
    at(1).say({ type: 'ready', take: 't', next_seq: 2, next_sample: 1024, part: null });
    expect(at(1).blocks).toEqual([2, 3, 4]);
    expect(stream.state).toBe('open');
  });

  it('says which blocks it no longer has', () => {
    const stream = begin();
    at(0).up();
    at(0).say({ type: 'ready', take: 't', next_seq: 0, next_sample: 0, part: null });
    for (let n = 0; n < 4; n++) stream.push(block(n));
    at(0).say({ type: 'ack', next_seq: 4, durable_seq: 3 });
    at(0).say({ type: 'resend', from_seq: 1 });
    expect(at(0).words.at(-1)).toEqual({ type: 'skip', to_seq: 3, to_sample: 3 * 512 });
  });

  it('finishes after the break that came first', () => {
    const stream = begin();
    at(0).up();
    at(0).say({ type: 'ready', take: 't', next_seq: 0, next_sample: 0, part: null });
    stream.push(block(0));
    at(0).down();
    stream.finish('stop');
    vi.advanceTimersByTime(300);
    at(1).up();
    at(1).say({ type: 'ready', take: 't', next_seq: 0, next_sample: 0, part: null });
    expect(at(1).words.at(-1)).toEqual({ type: 'stop' });
    expect(at(1).blocks).toEqual([0]);
  });
});
