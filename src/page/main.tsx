import './style.css';
import { render } from 'solid-js/web';
import { App } from './app.tsx';
import { desk } from './desk.ts';
import { ink } from './ink.ts';
import { store } from './store.ts';

ink();
render(() => <App />, document.body);
void desk.start();

// Works offline after the first visit, kept when the first answer stands; a host without a secure origin does without.
if ('serviceWorker' in navigator && import.meta.env.PROD) {
  store.onFirstAnswer(() => {
    navigator.serviceWorker
      .register('./offline.js')
      .catch((fault: unknown) => console.warn(`Not kept for use without a network: ${String(fault)}`));
  });
}
