/**
 * Keeping work in this browser: every sheet with its text, saved as it changes. Each tab keeps its own sheet under its
 * own key, so that two tabs never overwrite each other; a reload finds the sheet of its tab again.
 */
import { type DBSchema, type IDBPDatabase, openDB } from 'idb';

export interface Kept {
  id: string;
  title: string;
  text: string;
  /** Text as last opened or saved to a file: what a double click on a knob goes back to. */
  saved: string;
  /** Texts before each step, oldest first, with what each step was called: undo survives a reload. */
  past: { text: string; name: string }[];
  changed: number; // ms since 1970
}

interface Store extends DBSchema {
  sheets: { key: string; value: Kept; indexes: { changed: number } };
}

/** Sheets beyond this many, the oldest first, are let go. */
const MOST_KEPT = 200;

let opening: Promise<IDBPDatabase<Store>> | null = null;
function database(): Promise<IDBPDatabase<Store>> {
  opening ??= openDB<Store>('footroom', 1, {
    upgrade(db) {
      db.createObjectStore('sheets', { keyPath: 'id' }).createIndex('changed', 'changed');
    },
  });
  return opening;
}

/**
 * Saves a sheet. Where the browser's storage is full, the oldest other sheets make room.
 * @throws Error with a sentence, where the browser keeps nothing
 */
export async function keep(sheet: Kept): Promise<void> {
  const db = await database();
  for (let attempt = 0; ; attempt += 1) {
    try {
      await db.put('sheets', sheet);
      break;
    } catch (fault) {
      const oldest = await db.transaction('sheets').store.index('changed').openCursor();
      const full = fault instanceof DOMException && fault.name === 'QuotaExceededError';
      if (!full || oldest === null || oldest.value.id === sheet.id || attempt > MOST_KEPT) {
        throw new Error('This browser has no room left, so the last change is not kept. Save the sheet to a file.');
      }
      await db.delete('sheets', oldest.value.id);
    }
  }
  const count = await db.count('sheets');
  if (count <= MOST_KEPT) return;
  let cursor = await db.transaction('sheets', 'readwrite').store.index('changed').openCursor();
  for (let surplus = count - MOST_KEPT; surplus > 0 && cursor !== null; surplus -= 1) {
    if (cursor.value.id !== sheet.id) await cursor.delete();
    cursor = await cursor.continue();
  }
}

/** The sheet kept under a key. */
export async function kept(id: string): Promise<Kept | undefined> {
  return (await database()).get('sheets', id);
}

/** All sheets kept, the latest first. */
export async function allKept(): Promise<Kept[]> {
  return (await (await database()).getAllFromIndex('sheets', 'changed')).reverse();
}
