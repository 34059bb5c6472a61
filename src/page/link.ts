/**
 * A link that carries the whole sheet in its fragment, which no browser sends to a server: the text, deflated, in the
 * URL-safe base64 of RFC 4648.
 */

const PREFIX = '#sheet=';
/** What a fragment may unfold to; a sheet has some ten thousand characters. */
const LONGEST = 300_000;

async function through(
  bytes: Uint8Array<ArrayBuffer>,
  stream: CompressionStream | DecompressionStream,
  limit: number,
): Promise<Uint8Array<ArrayBuffer>> {
  const writer = stream.writable.getWriter();
  const written = writer.write(bytes).then(() => writer.close());
  const chunks: Uint8Array[] = [];
  let length = 0;
  const reader = stream.readable.getReader();
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    length += value.length;
    if (length > limit) throw new Error('The link unfolds to more than a sheet can be.');
    chunks.push(value);
  }
  await written;
  const joined = new Uint8Array(length);
  let at = 0;
  for (const chunk of chunks) {
    joined.set(chunk, at);
    at += chunk.length;
  }
  return joined;
}

/** The fragment that carries a text. */
export async function fragmentOf(text: string): Promise<string> {
  const packed = await through(new TextEncoder().encode(text), new CompressionStream('deflate-raw'), Number.POSITIVE_INFINITY);
  let binary = '';
  for (const byte of packed) binary += String.fromCharCode(byte);
  return PREFIX + btoa(binary).replaceAll('+', '-').replaceAll('/', '_').replaceAll('=', '');
}

/**
 * The text that a fragment carries; null where it carries none.
 * @throws Error where the fragment is damaged, with a sentence for the reader
 */
export async function textOf(fragment: string): Promise<string | null> {
  if (!fragment.startsWith(PREFIX)) return null;
  try {
    const binary = atob(fragment.slice(PREFIX.length).replaceAll('-', '+').replaceAll('_', '/'));
    const packed = Uint8Array.from(binary, (character) => character.charCodeAt(0));
    return new TextDecoder('utf-8', { fatal: true }).decode(await through(packed, new DecompressionStream('deflate-raw'), LONGEST));
  } catch {
    throw new Error('The link is damaged: it was cut short or changed on the way, so the sheet in it cannot be read.');
  }
}
