/** Files in and out, by the browser's own means. */

/** Hands a text to the reader as a file. */
export function download(name: string, type: string, text: string): void {
  const url = URL.createObjectURL(new Blob([text], { type: `${type};charset=utf-8` }));
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

/** A sheet has some ten thousand characters; more than this is not read. */
const LARGEST = 1_000_000;

/**
 * The text of a file.
 * @throws Error with a sentence, where it is too large or no text
 */
export async function textOfFile(file: File): Promise<string> {
  if (file.size > LARGEST) throw new Error(`${file.name} has ${Math.round(file.size / 1000)} kB, which is more than a sheet can be.`);
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(await file.arrayBuffer());
  } catch {
    throw new Error(`${file.name} is not a text file, so it cannot be a sheet.`);
  }
}

/** A file name from a title: what file systems take. */
export function fileNameOf(title: string): string {
  const plain = title
    .normalize('NFKD')
    .replace(/[^\w\s-]/g, '')
    .trim()
    .replace(/\s+/g, '-')
    .toLowerCase();
  return `${plain === '' ? 'stage' : plain}.sheet.yaml`;
}
