// Runs in the page: when a tone enters the microphone, and when the picture that shows it has been painted.
// The microphone's track is heard a second time beside the page's own way, so that all of that way is in the figure:
// its buffers, the audio thread, the line, the ear, and the wait for the screen. The clock starts when the browser
// hands the sound over; what a sound card and its driver take before that can't be seen from in here.
export function watch({ peak, quiet_s }) {
  const seen = (window.delaysSeen = { onsets: [], sent: [], told: [], shown: [] });
  const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
  navigator.mediaDevices.getUserMedia = async (how) => {
    const stream = await ask(how);
    void listen(stream.getAudioTracks()[0].clone());
    return stream;
  };

  // Buffers carry the time of their first sample by the device's clock. The quickest one of all tells how that
  // clock stands against the page's.
  let stands_ms = Infinity;
  async function listen(track) {
    const buffers = new MediaStreamTrackProcessor({ track }).readable.getReader();
    let quiet = 0;
    for (;;) {
      const { value: buffer, done } = await buffers.read();
      if (done) return;
      const [start_ms, rate] = [buffer.timestamp / 1000, buffer.sampleRate];
      stands_ms = Math.min(stands_ms, performance.now() - start_ms - (1000 * buffer.numberOfFrames) / rate);
      seen.stands_ms = stands_ms;
      const samples = new Float32Array(buffer.numberOfFrames);
      buffer.copyTo(samples, { planeIndex: 0, format: 'f32-planar' });
      buffer.close();
      for (const [n, sample] of samples.entries()) {
        if (Math.abs(sample) < peak / 20) quiet++;
        else {
          if (quiet > quiet_s * rate) seen.onsets.push(start_ms + (1000 * n) / rate);
          quiet = 0;
        }
      }
    }
  }

  // On the way: when the block with a tone's start goes into the line, and when the first state with a pitch comes back.
  let [still, pitched] = [0, false];
  const Plain = window.WebSocket;
  window.WebSocket = class extends Plain {
    constructor(...how) {
      super(...how);
      this.addEventListener('message', ({ data }) => {
        const said = JSON.parse(data);
        if (said.type !== 'state') return;
        const now = (said.f0_hz ?? null) !== null;
        if (now && !pitched) seen.told.push(performance.now());
        pitched = now;
      });
    }
    send(data) {
      super.send(data);
      if (typeof data === 'string') return;
      for (const sample of new Float32Array(data.slice(24))) {
        if (Math.abs(sample) < peak / 20) still++;
        else {
          if (still > quiet_s * 44100) seen.sent.push(performance.now());
          still = 0;
        }
      }
    }
  };

  // A message sent while a frame is made is delivered once it has been painted.
  const painted = new MessageChannel();
  let there = false;
  painted.port1.onmessage = () => {
    const now = document.querySelector('.landscape .marker') !== null;
    if (now && !there) seen.shown.push(performance.now());
    there = now;
  };
  const frame = () => {
    painted.port2.postMessage(null);
    requestAnimationFrame(frame);
  };
  requestAnimationFrame(frame);
}

/** How long after each tone's start something that `watch` saw came, in milliseconds; null where it never did. */
export function delaysOf({ onsets, stands_ms }, came, longest_ms) {
  return onsets.map((onset) => {
    const at = onset + stands_ms;
    const first = came.find((one) => one > at - 20 && one < at + longest_ms);
    return first === undefined ? null : first - at;
  });
}

export function spread(delays) {
  const sorted = delays.filter((one) => one !== null).sort((a, b) => a - b);
  const at = (share) => sorted[Math.min(sorted.length - 1, Math.ceil(share * sorted.length) - 1)] ?? NaN;
  return { count: sorted.length, median: at(0.5), p95: at(0.95), most: at(1) };
}
