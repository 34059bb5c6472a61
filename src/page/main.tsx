import './style.css';
import { render } from 'solid-js/web';
import { App } from './app.tsx';
import { desk } from './desk.ts';
import { ink } from './ink.ts';

ink();
render(() => <App />, document.body);
void desk.start();

// Works offline after the first visit; a host without a secure origin simply does without.
if ('serviceWorker' in navigator && import.meta.env.PROD) {
  addEventListener('load', () => {
    navigator.serviceWorker.register('./offline.js').catch(() => undefined);
  });
}
