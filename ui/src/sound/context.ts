// The one audio context, made at the first sound a person asks for.
let made: AudioContext | null = null;

export async function reach(): Promise<AudioContext> {
  made ??= new AudioContext({ latencyHint: 'interactive' });
  if (made.state === 'suspended') await made.resume();
  return made;
}
