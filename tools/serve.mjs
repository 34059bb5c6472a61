// Serves a folder of built pages to this machine alone.
//   node tools/serve.mjs [FOLDER] [PORT]      dist/page and 4170 by default; the next free port where that one is taken
import { createReadStream, realpathSync, statSync } from 'node:fs';
import { createServer } from 'node:http';
import { extname, join, resolve, sep } from 'node:path';
import { fileURLToPath } from 'node:url';

// The page loads nothing from elsewhere and sends nothing anywhere; the policy makes the browser hold it to that.
export const policy = [
  "default-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "style-src 'self'",
  "img-src 'self' data: blob:",
  "font-src 'self'",
  "connect-src 'self'",
  "worker-src 'self' blob:",
  "manifest-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join('; ');

const types = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.mjs': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.json': 'application/json; charset=utf-8',
  '.webmanifest': 'application/manifest+json; charset=utf-8',
  '.yaml': 'application/yaml; charset=utf-8',
  '.csv': 'text/csv; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.ico': 'image/vnd.microsoft.icon',
  '.woff2': 'font/woff2',
  '.wasm': 'application/wasm',
};

/** The file that `url` names inside `folder`, or null: outside of it (also by a symbolic link), missing, or no file. */
function fileFor(folder, url) {
  let path;
  try {
    path = decodeURIComponent(url.split(/[?#]/, 1)[0]);
  } catch {
    return null;
  }
  if (path.includes('\0') || path.includes('\\')) return null;
  if (path.endsWith('/')) path += 'index.html';
  try {
    const file = realpathSync(join(folder, path));
    return file.startsWith(folder + sep) && statSync(file).isFile() ? file : null;
  } catch {
    return null;
  }
}

/**
 * Starts serving `folder` on 127.0.0.1 at `port`, or at the next free one of the twenty after it; port 0 takes any.
 * Resolves to `{ server, address }`.
 */
export async function serve(folder, port) {
  const root = realpathSync(folder);
  const server = createServer((request, response) => {
    response.setHeader('Content-Security-Policy', policy);
    response.setHeader('X-Content-Type-Options', 'nosniff');
    response.setHeader('Referrer-Policy', 'no-referrer');
    response.setHeader('Cross-Origin-Opener-Policy', 'same-origin');
    response.setHeader('Cache-Control', 'no-cache');
    const refuse = (status, sentence) => {
      response.writeHead(status, { 'Content-Type': 'text/plain; charset=utf-8' });
      response.end(sentence);
    };
    // A page elsewhere that has its own name point at this machine asks under that name: not for it.
    const hostname = request.headers.host?.replace(/:\d+$/, '');
    if (hostname !== '127.0.0.1' && hostname !== 'localhost') return refuse(421, 'This server answers to 127.0.0.1 only.\n');
    if (request.method !== 'GET' && request.method !== 'HEAD') return refuse(405, 'Only GET and HEAD.\n');
    const file = fileFor(root, request.url ?? '/');
    if (file === null) return refuse(404, 'There is no such file.\n');
    response.writeHead(200, {
      'Content-Type': types[extname(file)] ?? 'application/octet-stream',
      'Content-Length': statSync(file).size,
    });
    if (request.method === 'HEAD') return response.end();
    createReadStream(file)
      .on('error', () => response.destroy())
      .pipe(response);
  });
  const listen = (at) =>
    new Promise((done, failed) => {
      server.once('error', failed);
      server.listen(at, '127.0.0.1', () => {
        server.off('error', failed);
        done();
      });
    });
  for (let at = port; ; at++) {
    try {
      await listen(at);
      break;
    } catch (problem) {
      if (problem.code !== 'EADDRINUSE' || at >= port + 20) throw problem;
    }
  }
  return { server, address: `http://127.0.0.1:${server.address().port}/` };
}

if (process.argv[1] !== undefined && resolve(process.argv[1]) === fileURLToPath(import.meta.url)) {
  const folder = process.argv[2] ?? fileURLToPath(new URL('../dist/page', import.meta.url));
  const { address } = await serve(folder, Number(process.argv[3] ?? 4170));
  console.log(address);
}
