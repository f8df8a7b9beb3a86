// Starts the page.
import './look/fonts.css';
import './look/paper.css';
import './look/type.css';
import './look/controls.css';
import './look/sheet-fonts.css';
import './look/engraved.css';
import { mount } from 'svelte';
import App from './App.svelte';
import { light, shine } from './look/light.svelte';
import { language, speak } from './words/words.svelte';

shine(light());
speak(language());
const target = document.getElementById('page');
if (target) mount(App, { target });

if (import.meta.env.PROD && 'serviceWorker' in navigator) {
  navigator.serviceWorker.register('/shell-worker.js').catch(() => {
    // Without the worker the page still works; it only can't open while the server is away.
  });
}
