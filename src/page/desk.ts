/** What the reader does with the sheet: values, verbs, files, links, keys; and keeping it all in this browser. */
import { createEffect, createRoot, createSignal, on } from 'solid-js';
import { isUnanswered } from '../session/protocol.ts';
import { quantityAt } from '../sheet/index.ts';
import type { DriveWaveform, Sheet } from '../sheet/types.ts';
import { say } from '../words/numbers.ts';
import { type Changed, changedBy, verbOf } from './edits.ts';
import { download, fileNameOf, textOfFile } from './files.ts';
import { FIRST_EXAMPLE } from './first-example.ts';
import { allKept, type Kept, keep, kept } from './keep.ts';
import { fragmentOf, textOf } from './link.ts';
import type { Outline } from './outlines.ts';
import { store } from './store.ts';
import { emptyDraft, endsOf, freeName, VERBS, type Verb, type VerbDraft } from './verbs.tsx';

/** Session storage outlives a reload and belongs to one tab: two tabs keep two sheets. */
const TAB_KEY = 'footroom.sheet';
/** Changes settle this long before they are written to the store, ms. */
const KEEP_AFTER = 300;

function createDesk() {
  const [draft, setDraft] = createSignal<VerbDraft | null>(null);
  const [draftProblem, setDraftProblem] = createSignal('');
  const [selected, setSelected] = createSignal<string | null>(null);
  const [outline, setOutline] = createSignal<Outline | null>(null);
  /** True once it is known what this tab shows. */
  const [started, setStarted] = createSignal(false);
  let id: string = newId();
  /** Lets go of the sheet that this tab holds. */
  let letGo: (() => void) | null = null;

  function newId(): string {
    return crypto.randomUUID();
  }
  function rememberTab(): void {
    try {
      sessionStorage.setItem(TAB_KEY, id);
    } catch {
      // Storage forbidden: a reload starts from the example, which the notice about keeping has said already.
    }
  }

  /** A tab that was duplicated must not write over its twin: the sheet's key belongs to whoever holds its lock. */
  async function hold(wanted: string): Promise<boolean> {
    letGo?.();
    letGo = null;
    if (!('locks' in navigator)) return true;
    return new Promise((resolve) => {
      navigator.locks
        .request(`footroom ${wanted}`, { ifAvailable: true }, (lock) => {
          resolve(lock !== null);
          return lock === null ? undefined : new Promise<void>((done) => (letGo = done));
        })
        .catch(() => resolve(true)); // no locks here: one tab is what there is
    });
  }

  function openText(text: string): void {
    setOutline(null);
    openNew(text);
  }
  function openNew(text: string): void {
    id = newId();
    void hold(id);
    rememberTab();
    setDraft(null);
    setSelected(null);
    store.open(text);
    store.setNotice('');
  }

  function valueWords(path: string, value: number): string {
    const sheet = store.sound();
    const unit = sheet === null ? undefined : quantityAt(sheet, path)?.unit;
    return unit === undefined ? String(value) : say(value, unit);
  }

  function setValue(path: string, value: number): void {
    const changed = changedBy(store.read(), { verb: 'set', path, value }, `${spokenPath(path)} ${valueWords(path, value)}`);
    if ('problem' in changed) {
      store.restore();
      store.setNotice(changed.problem);
      return;
    }
    store.setBefore(null);
    store.commit(changed.name, changed.text);
  }

  function apply(given: VerbDraft): void {
    const sheet = store.sound();
    if (sheet === null) return;
    const changed = changedBy(store.read(), verbOf(given, freeName(sheet, given.kind)));
    if ('problem' in changed) {
      setDraftProblem(changed.problem);
      return;
    }
    setDraftProblem('');
    const shown = store.frame()?.answers.waveform;
    store.setBefore(shown !== undefined && !isUnanswered(shown) && shown.question === 'waveform' ? shown : null);
    store.commit(changed.name, changed.text);
    setDraft(null);
    setSelected(null);
  }

  function commit(changed: Changed): void {
    if ('text' in changed) store.commit(changed.name, changed.text);
    else store.setNotice(changed.problem);
  }
  /** Puts a lifted or shorted part back. */
  function putBack(part: string): void {
    commit(changedBy(store.read(), { verb: 'restore', part }));
    setSelected(null);
  }

  /** A part pointed at on the drawing: fills the verb in hand, or opens the part's own small menu. */
  function choosePart(name: string): void {
    const now = draft();
    if (now === null || now.verb === 'tack') {
      setSelected(selected() === name ? null : name);
      return;
    }
    const sheet = store.sound();
    const filled = { ...now, part: name, first: sheet === null ? '' : (endsOf(sheet, name)[0] ?? '') };
    if (now.verb === 'lift' || now.verb === 'short') apply(filled);
    else setDraft(filled);
  }
  function chooseNode(node: string): void {
    const now = draft();
    if (now === null || now.verb !== 'tack') {
      if (store.sound()?.supplies.some((supply) => supply.node === node))
        setSelected(selected() === `supply ${node}` ? null : `supply ${node}`);
      else togglePin(node);
      return;
    }
    const transistor = now.kind === 'npn' || now.kind === 'pnp';
    if (now.first === '') setDraft({ ...now, first: node });
    else if (transistor && now.third === '') setDraft({ ...now, third: node });
    else setDraft({ ...now, second: node });
  }

  /** A small waveform beside a node, of the reader's choice. */
  function togglePin(node: string): void {
    const sheet = store.sound();
    if (sheet === null) return;
    const usual = [sheet.output, sheet.drive?.node].filter((name) => name !== undefined);
    const now = store.pins() ?? usual;
    store.setPins(now.includes(node) ? now.filter((name) => name !== node) : [...now, node]);
  }

  async function openFile(): Promise<void> {
    const input = document.createElement('input');
    input.type = 'file';
    input.accept = '.yaml,.yml,.json,text/plain';
    const file = await new Promise<File | null>((resolve) => {
      input.addEventListener('change', () => resolve(input.files?.[0] ?? null));
      input.addEventListener('cancel', () => resolve(null));
      input.click();
    });
    if (file !== null) await openGiven(file);
  }
  async function openGiven(file: File): Promise<void> {
    try {
      openText(await textOfFile(file));
    } catch (fault) {
      store.setNotice(sentenceOf(fault));
    }
  }

  function save(): void {
    const text = store.text();
    if (text === null) return;
    download(fileNameOf(store.sound()?.title ?? ''), 'application/yaml', text);
    store.markSaved();
  }

  async function link(): Promise<void> {
    const text = store.text();
    if (text === null) return;
    const fragment = await fragmentOf(text);
    history.replaceState(null, '', fragment);
    try {
      await navigator.clipboard.writeText(location.href);
      store.setNotice('The link is copied. It carries the whole sheet; nothing is stored elsewhere.');
    } catch {
      store.setNotice('The link stands in the address line. It carries the whole sheet; copy it from there.');
    }
  }

  let begun = false;
  function fillOutline(text: string): void {
    if (begun) store.replace(text);
    else openNew(text);
    begun = true;
  }

  /** Opens a sheet that this browser keeps; one that another tab holds is opened as a copy. */
  function openKept(sheet: Kept): void {
    setDraft(null);
    setSelected(null);
    setOutline(null);
    void hold(sheet.id).then((held) => {
      id = held ? sheet.id : newId();
      if (!held) void hold(id);
      rememberTab();
      store.open(sheet.text, { saved: sheet.saved, past: sheet.past });
    });
  }

  /** Opens what this tab showed last, or the sheet of the link, or the example. */
  async function start(): Promise<void> {
    try {
      await openFirst();
    } finally {
      setStarted(true);
    }
  }

  async function openFirst(): Promise<void> {
    try {
      const carried = await textOf(location.hash);
      if (carried !== null) {
        history.replaceState(null, '', location.pathname + location.search);
        openText(carried);
        return;
      }
    } catch (fault) {
      store.setNotice(sentenceOf(fault));
    }
    const found = await lastOfTab();
    if (found !== undefined) {
      // A duplicated tab goes on with a copy of its own.
      if (await hold(found.id)) id = found.id;
      else void hold(id);
      store.open(found.text, { saved: found.saved, past: found.past });
    } else {
      void hold(id);
      store.open(FIRST_EXAMPLE);
    }
    rememberTab();
  }

  async function lastOfTab(): Promise<Kept | undefined> {
    try {
      const last = sessionStorage.getItem(TAB_KEY);
      return last === null ? undefined : await kept(last);
    } catch {
      return undefined; // nothing can be kept here: the example it is
    }
  }

  // Autosave: after each change has settled, and at once when the page is hidden.
  let timer: ReturnType<typeof setTimeout> | undefined;
  let unwritten = false;
  function write(): void {
    clearTimeout(timer);
    const text = store.text();
    if (!unwritten || text === null) return;
    unwritten = false;
    keep({ id, title: store.sound()?.title ?? '', text, saved: store.saved(), past: store.pastSteps(), changed: Date.now() }).catch(
      (fault: unknown) => {
        // Tried again with the next change, and when the page is left.
        unwritten = true;
        store.setNotice(sentenceOf(fault));
      },
    );
  }
  createEffect(
    on(
      [store.text, store.saved],
      () => {
        unwritten = true;
        clearTimeout(timer);
        timer = setTimeout(write, KEEP_AFTER);
      },
      { defer: true },
    ),
  );
  addEventListener('pagehide', write);
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'hidden') write();
  });

  /** Keys and drops that belong to the whole page. */
  function listen(on_: { toggleSheet(): void }): () => void {
    const key = (event: KeyboardEvent): void => {
      const typing = event
        .composedPath()
        .some((target) => target instanceof HTMLElement && (target.isContentEditable || target.matches('input, textarea, select')));
      const command = event.ctrlKey || event.metaKey;
      if (command && !event.altKey && event.key.toLowerCase() === 'z' && !typing) {
        event.preventDefault();
        if (event.shiftKey) store.redo();
        else store.undo();
      } else if (command && event.key.toLowerCase() === 's') {
        event.preventDefault();
        save();
      } else if (command && event.key.toLowerCase() === 'o') {
        event.preventDefault();
        void openFile();
      } else if (!command && !event.altKey && !typing) {
        if (event.key === 't') {
          event.preventDefault();
          on_.toggleSheet();
        } else if (event.key === 'Escape') {
          setDraft(null);
          setSelected(null);
        }
      }
    };
    const over = (event: DragEvent): void => {
      event.preventDefault();
      document.body.classList.add('drop');
    };
    const leave = (): void => document.body.classList.remove('drop');
    const drop = (event: DragEvent): void => {
      event.preventDefault();
      leave();
      const file = event.dataTransfer?.files[0];
      const text = event.dataTransfer?.getData('text/plain') ?? '';
      if (file !== undefined) void openGiven(file);
      else if (looksLikeSheet(text)) openText(text);
    };
    const paste = (event: ClipboardEvent): void => {
      if (
        event
          .composedPath()
          .some((target) => target instanceof HTMLElement && (target.isContentEditable || target.matches('input, textarea')))
      )
        return;
      const text = event.clipboardData?.getData('text/plain') ?? '';
      if (looksLikeSheet(text)) openText(text);
      else if (text.trim() !== '') store.setNotice('What was pasted is not a sheet: a sheet begins with "footroom: 1".');
    };
    const hash = (): void => {
      void textOf(location.hash).then(
        (carried) => {
          if (carried !== null && carried !== store.text()) openText(carried);
        },
        (fault: unknown) => store.setNotice(sentenceOf(fault)),
      );
    };
    document.addEventListener('keydown', key);
    document.addEventListener('dragover', over);
    document.addEventListener('dragleave', leave);
    document.addEventListener('drop', drop);
    document.addEventListener('paste', paste);
    addEventListener('hashchange', hash);
    return () => {
      document.removeEventListener('keydown', key);
      document.removeEventListener('dragover', over);
      document.removeEventListener('dragleave', leave);
      document.removeEventListener('drop', drop);
      document.removeEventListener('paste', paste);
      removeEventListener('hashchange', hash);
    };
  }

  return {
    draft,
    draftProblem,
    selected,
    setSelected,
    setDraft(next: VerbDraft | null): void {
      setDraftProblem('');
      if (next !== null) setSelected(null);
      setDraft(next);
    },
    beginVerb(verb: Verb, part: string): void {
      const sheet = store.sound();
      const begun = { ...emptyDraft(verb), part, first: sheet === null ? '' : (endsOf(sheet, part)[0] ?? '') };
      if (verb === 'lift' || verb === 'short') apply(begun);
      else setDraft(begun);
      setSelected(null);
    },
    apply,
    putBack,
    lift(part: string): void {
      apply({ ...emptyDraft('lift'), part });
    },
    choosePart,
    chooseNode,
    setValue,
    valueWords,
    setLoad(name: string): void {
      commit(changedBy(store.read(), { verb: 'load', name }, `load ${name}`));
    },
    setWaveform(waveform: DriveWaveform): void {
      commit(changedBy(store.read(), { verb: 'set', path: 'drive.waveform', value: waveform }, `waveform ${waveform}`));
    },
    outline,
    beginOutline(chosen: Outline): void {
      setDraft(null);
      setSelected(null);
      begun = false;
      setOutline(chosen);
    },
    /** The outline's sheet with the values given so far: a new sheet at first, then another text of it. */
    fillOutline,
    /** Leaves the outline; its sheet, where there is one, is a sheet like any other from here on. */
    endOutline(text: string | null): void {
      if (text !== null) fillOutline(text);
      store.markSaved();
      setOutline(null);
    },
    openKept,
    openText,
    openFile,
    save,
    link,
    start,
    started,
    listen,
    kept: allKept,
    nodes: nodesOf,
    words(sheet: Sheet | null): string[] {
      return [
        ...new Set([
          ...KEYS,
          ...VERBS.map(String),
          ...(sheet === null
            ? []
            : [...nodesOf(sheet), ...sheet.parts.map((part) => part.name), ...sheet.devices.map((device) => device.name)]),
        ]),
      ];
    },
  };
}

const KEYS = [
  ...[
    'footroom',
    'title',
    'notes',
    'ambient',
    'supplies',
    'parts',
    'devices',
    'heatSinks',
    'drive',
    'output',
    'loads',
    'load',
    'targets',
    'series',
    'drawer',
    'spread',
    'readings',
    'captures',
    'lesson',
  ],
  ...[
    'resistor',
    'trimmer',
    'capacitor',
    'inductor',
    'npn',
    'pnp',
    'diode',
    'voltage',
    'current',
    'speaker',
    'from',
    'to',
    'wiper',
    'collector',
    'base',
    'emitter',
    'anode',
    'cathode',
  ],
  ...[
    'tolerance',
    'power',
    'position',
    'polarized',
    'rating',
    'seriesResistance',
    'leakage',
    'area',
    'heatSink',
    'node',
    'sourceResistance',
    'waveform',
    'peakToPeak',
    'peak',
    'rms',
    'offset',
    'frequency',
  ],
  ...[
    'sine',
    'triangle',
    'square',
    'none',
    'open',
    'small-signal',
    'medium-power',
    'power',
    'signal',
    'rectifier',
    'led',
    'reference',
    'gnd',
    'outputPeakToPeak',
    'distortion',
    'lowCorner',
    'highCorner',
  ],
];

/** Every node of a sheet, in the order of the parts. */
export function nodesOf(sheet: Sheet): string[] {
  const nodes = new Set<string>(sheet.supplies.map((supply) => supply.node));
  for (const part of sheet.parts) {
    if ('collector' in part) for (const node of [part.collector, part.base, part.emitter]) nodes.add(node);
    else if ('anode' in part) for (const node of [part.anode, part.cathode]) nodes.add(node);
    else for (const node of [part.from, part.to]) nodes.add(node);
    if ('wiper' in part) nodes.add(part.wiper);
  }
  nodes.add('gnd');
  return [...nodes];
}

/** `parts.R3.resistor` as people say it: R3; `drive.peakToPeak`: peak to peak. */
function spokenPath(path: string): string {
  const [head, name, key] = path.split('.');
  if (head === 'parts') return key === 'position' ? `${name} position` : (name ?? path);
  if (head === 'loads' || head === 'supplies') return name ?? path;
  if (head === 'devices') return `${name} h_FE`;
  const words: Record<string, string> = { peakToPeak: 'peak to peak', sourceResistance: 'source' };
  return words[name ?? ''] ?? name ?? path;
}

function looksLikeSheet(text: string): boolean {
  return /^\s*(#|footroom\s*:|\{|title\s*:)/m.test(text) && /footroom/.test(text);
}

function sentenceOf(fault: unknown): string {
  return fault instanceof Error ? fault.message : String(fault);
}

export const desk = createRoot(createDesk);
