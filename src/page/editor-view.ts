/**
 * The text of the sheet, with highlighting, completion and the sheet's own problems in place. Loaded on first use. It
 * lives in a shadow root, where its styles are adopted sheets: the page's policy allows no inline style.
 */
import { autocompletion, type CompletionContext, type CompletionResult } from '@codemirror/autocomplete';
import { defaultKeymap, history, historyKeymap, indentWithTab } from '@codemirror/commands';
import { yaml } from '@codemirror/lang-yaml';
import { HighlightStyle, indentUnit, syntaxHighlighting } from '@codemirror/language';
import { type Diagnostic, lintGutter, setDiagnostics } from '@codemirror/lint';
import { EditorState } from '@codemirror/state';
import { drawSelection, EditorView, highlightActiveLine, keymap, lineNumbers } from '@codemirror/view';
import { tags } from '@lezer/highlight';
import type { Problem } from '../sheet/types.ts';

export interface EditorParts {
  text: string;
  /** Words to offer: keys, device names, and the sheet's nodes and parts. */
  words(): string[];
  onChange(text: string): void;
  /** Escape: back to the page. */
  onLeave(): void;
}

export interface Editor {
  /** Replaces the text where it differs, keeping the cursor. */
  setText(text: string): void;
  setProblems(problems: readonly Problem[]): void;
  goTo(line: number, column: number): void;
  focus(): void;
  destroy(): void;
}

const look = EditorView.theme({
  '&': { fontSize: '14px', backgroundColor: 'var(--leaf)', color: 'var(--ink)', maxHeight: '60vh' },
  '&.cm-focused': { outline: '2px solid var(--focus)', outlineOffset: '1px' },
  '.cm-scroller': { fontFamily: 'ui-monospace, monospace', lineHeight: '1.5' },
  '.cm-gutters': { backgroundColor: 'var(--paper)', color: 'var(--ink2)', border: 'none', borderRight: '1px solid var(--hair)' },
  '.cm-cursor': { borderLeftColor: 'var(--ink)', borderLeftWidth: '2px' },
  '.cm-activeLine': { backgroundColor: 'color-mix(in srgb, var(--env) 55%, transparent)' },
  '&.cm-focused .cm-selectionBackground, .cm-selectionBackground': { background: 'var(--hair) !important' },
  '.cm-tooltip': { backgroundColor: 'var(--paper)', color: 'var(--ink)', border: '1px solid var(--rule)' },
  '.cm-tooltip-autocomplete ul li[aria-selected]': { backgroundColor: 'var(--env)', color: 'var(--ink)' },
});

const colours = HighlightStyle.define([
  { tag: tags.definition(tags.propertyName), color: 'var(--ink)', fontWeight: '600' },
  { tag: tags.propertyName, color: 'var(--ink)', fontWeight: '600' },
  { tag: [tags.string, tags.content], color: 'var(--volt)' },
  { tag: [tags.number, tags.bool], color: 'var(--amp)' },
  { tag: tags.comment, color: 'var(--ink2)', fontStyle: 'italic' },
  { tag: [tags.punctuation, tags.separator], color: 'var(--ink2)' },
]);

function completions(words: () => string[]) {
  return (context: CompletionContext): CompletionResult | null => {
    const word = context.matchBefore(/[\w+-]+/);
    if (word === null && !context.explicit) return null;
    return { from: word?.from ?? context.pos, options: words().map((label) => ({ label })), validFor: /^[\w+-]*$/ };
  };
}

/** Puts the editor into an element of the page. */
export function mountEditor(host: HTMLElement, parts: EditorParts): Editor {
  const leave = (): boolean => {
    parts.onLeave();
    return true;
  };
  const root = host.shadowRoot ?? host.attachShadow({ mode: 'open' });
  let silent = false;
  const view = new EditorView({
    parent: root as unknown as HTMLElement,
    root,
    state: EditorState.create({
      doc: parts.text,
      extensions: [
        lineNumbers(),
        history(),
        drawSelection(),
        highlightActiveLine(),
        indentUnit.of('  '),
        yaml(),
        syntaxHighlighting(colours),
        autocompletion({ override: [completions(parts.words)] }),
        lintGutter(),
        EditorView.lineWrapping,
        EditorView.contentAttributes.of({ 'aria-label': 'Text of the sheet', spellcheck: 'false' }),
        keymap.of([{ key: 'Escape', run: leave }, ...defaultKeymap, ...historyKeymap, indentWithTab]),
        EditorView.updateListener.of((update) => {
          if (update.docChanged && !silent) parts.onChange(update.state.doc.toString());
        }),
        look,
      ],
    }),
  });
  return {
    setText(text) {
      const now = view.state.doc.toString();
      if (now === text) return;
      // Only what differs is replaced, so that the cursor and the view stay where they are.
      let start = 0;
      while (start < now.length && start < text.length && now[start] === text[start]) start += 1;
      let end = 0;
      while (end < now.length - start && end < text.length - start && now[now.length - 1 - end] === text[text.length - 1 - end]) end += 1;
      silent = true;
      view.dispatch({ changes: { from: start, to: now.length - end, insert: text.slice(start, text.length - end) } });
      silent = false;
    },
    setProblems(problems) {
      const doc = view.state.doc;
      const diagnostics = problems.map((problem): Diagnostic => {
        const line = doc.line(Math.min(doc.lines, Math.max(1, problem.place.line)));
        const from = Math.min(line.to, line.from + problem.place.column - 1);
        const word = /^[\w.+-]+/.exec(doc.sliceString(from, line.to));
        return {
          from,
          to: Math.min(line.to, from + Math.max(1, word?.[0].length ?? 1)),
          severity: problem.severity,
          message: problem.sentence,
        };
      });
      view.dispatch(setDiagnostics(view.state, diagnostics));
    },
    goTo(line, column) {
      const at = view.state.doc.line(Math.min(view.state.doc.lines, Math.max(1, line)));
      const position = Math.min(at.to, at.from + column - 1);
      view.dispatch({ selection: { anchor: position }, effects: EditorView.scrollIntoView(position, { y: 'center' }) });
      view.focus();
    },
    focus: () => view.focus(),
    destroy: () => view.destroy(),
  };
}
