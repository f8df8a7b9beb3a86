// Day or night paper: the machine's own choice unless the player makes one.
export type Light = 'auto' | 'day' | 'night';
const kept = 'waterkey-light';

function read(): Light {
  const found = localStorage.getItem(kept);
  return found === 'day' || found === 'night' ? found : 'auto';
}
let current = $state<Light>(read());

export function light(): Light {
  return current;
}

export function shine(next: Light): void {
  current = next;
  if (next === 'auto') {
    localStorage.removeItem(kept);
    delete document.documentElement.dataset['light'];
  } else {
    localStorage.setItem(kept, next);
    document.documentElement.dataset['light'] = next;
  }
}
