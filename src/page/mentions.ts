/**
 * Pointing at a part on the drawing underlines where the answers mention it, and the reverse: whatever carries
 * `data-mention` or `data-part` among the answers answers to the part's name.
 */
import { createEffect, createRoot } from 'solid-js';
import { store } from './store.ts';

/** Starts listening; returns what ends it. */
export function mentions(): () => void {
  const over = (event: Event): void => {
    const target =
      event.target instanceof Element ? event.target.closest<HTMLElement>('.answers [data-mention], .answers [data-part]') : null;
    if (target !== null) store.setPointed(target.dataset.mention ?? target.dataset.part ?? null);
    else if (event.target instanceof Element && event.target.closest('.answers') !== null) store.setPointed(null);
  };
  document.addEventListener('pointerover', over);
  const end = createRoot((dispose) => {
    createEffect(() => {
      const pointed = store.pointed();
      for (const element of document.querySelectorAll<HTMLElement>(
        '.answers [data-mention], .answers [data-part], .answers tr[data-quantity]',
      )) {
        const about = element.dataset.mention ?? element.dataset.part ?? '';
        const named =
          pointed !== null &&
          !pointed.startsWith('node:') &&
          (about === pointed || new RegExp(`\\b${pointed.replace(/[^\w]/g, '.')}\\b`).test(element.dataset.quantity ?? ''));
        element.classList.toggle('mentioned', named);
      }
    });
    return dispose;
  });
  return () => {
    document.removeEventListener('pointerover', over);
    end();
  };
}
