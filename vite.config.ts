import { createHash } from 'node:crypto';
import { fileURLToPath } from 'node:url';
import { defineConfig, type Plugin } from 'vite';
import solid from 'vite-plugin-solid';

const here = (path: string): string => fileURLToPath(new URL(path, import.meta.url));

/**
 * Writes the service worker beside the built page: the source in `src/page/offline.js` with the list of the build's
 * own files and a version that changes with their content, so that a second visit needs no network.
 */
function offline(source: string): Plugin {
  return {
    name: 'offline',
    apply: 'build',
    async generateBundle(_options, bundle) {
      const { readFile } = await import('node:fs/promises');
      const files = Object.keys(bundle)
        .filter((name) => !name.endsWith('.map'))
        .sort();
      const hash = createHash('sha256');
      for (const name of files) {
        const file = bundle[name];
        if (file !== undefined) hash.update(name).update(file.type === 'chunk' ? file.code : file.source);
      }
      const text = (await readFile(source, 'utf8'))
        .replace("'VERSION'", JSON.stringify(hash.digest('hex').slice(0, 12)))
        .replace("['FILES']", JSON.stringify(['./', ...files.map((name) => `./${name}`)]));
      this.emitFile({ type: 'asset', fileName: 'offline.js', source: text });
    },
  };
}

export default defineConfig({
  root: here('src/page'),
  base: './',
  plugins: [solid(), offline(here('src/page/offline.js'))],
  worker: { format: 'es' },
  build: {
    outDir: here('dist/page'),
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: true,
  },
});
