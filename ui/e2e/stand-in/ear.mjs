// A stand-in for the live line: keeps the blocks it gets, acknowledges them, says what it is told to hear, and can be cut.
import { WebSocketServer } from 'ws';

/** `hear` makes a state message's figures from a block; frames are read as the server reads them. */
export function ear(server, hear = () => ({})) {
  const sockets = new WebSocketServer({ server, path: '/api/live' });
  const heard = { blocks: [], starts: [], resumes: 0, gaps: 0, duplicates: 0, repeated: 0 };
  let next = 0;
  sockets.on('connection', (socket) => {
    const say = (message) => socket.send(JSON.stringify(message));
    socket.on('message', (data, binary) => {
      if (!binary) {
        const message = JSON.parse(data);
        if (message.type === 'start') heard.starts.push(message);
        if (message.type === 'resume') heard.resumes++;
        if (message.type === 'start' || message.type === 'resume') say({ type: 'ready', take: 't1', next_seq: next, next_sample: 0, part: null });
        if (message.type === 'skip') heard.gaps++;
        if (message.type === 'stop') say({ type: 'saved', take: { id: 't1', heard: false } });
        return;
      }
      const [version, seq, first, sent_ms] = [data.readUInt8(0), data.readUInt32LE(4), Number(data.readBigUInt64LE(8)), data.readDoubleLE(16)];
      if (version !== 1 || seq < next) return void heard.repeated++;
      if (seq > next) return say({ type: 'resend', from_seq: next });
      const samples = new Float32Array(data.buffer.slice(data.byteOffset + 24, data.byteOffset + data.length));
      heard.blocks.push({ seq, first, samples });
      next = seq + 1;
      // Safe on disk a little later than received, as at the real server.
      if (next % 16 === 0) say({ type: 'ack', next_seq: next, durable_seq: Math.max(0, next - 32) });
      say({ type: 'state', at_s: (first + samples.length) / heard.starts[0].sample_rate, sent_ms, f0_hz: null, confidence: 1, level_db: -24, line: null, note: null, ...hear({ first, samples }) });
    });
  });
  /** Cuts every connection; what was not yet safe is forgotten. */
  heard.cut = () => {
    const safe = Math.max(0, next - 32);
    heard.blocks = heard.blocks.filter((one) => one.seq < safe);
    next = safe;
    for (const socket of sockets.clients) socket.terminate();
  };
  heard.close = () => sockets.close();
  return heard;
}
