/** The listening post's sheets, as files of the repository; the first one is what the page opens with. */
const FILES = import.meta.glob<string>('../../examples/*.sheet.yaml', { query: '?raw', import: 'default', eager: true });

export interface Example {
  name: string;
  title: string;
  text: string;
}

/** The example that flattens. */
const FIRST = 'headphone-follower';

function titleOf(text: string): string {
  return /^title:\s*(.+)$/m.exec(text)?.[1]?.trim() ?? 'without a title';
}

export const EXAMPLES: readonly Example[] = Object.entries(FILES)
  .map(([path, text]) => ({ name: path.replace(/^.*\/(.+)\.sheet\.yaml$/, '$1'), title: titleOf(text), text }))
  .sort((a, b) => Number(b.name === FIRST) - Number(a.name === FIRST) || (a.name < b.name ? -1 : 1));
