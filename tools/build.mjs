// Builds what ships:
//   node tools/build.mjs [command] [engine] [types] [page]      all of them by default
// command  dist/footroom.mjs, the command line in one file
// engine   dist/engine.mjs, the library in one file
// types    dist/types, the library's declarations
// page     dist/page, the page with its assets
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, statSync, symlinkSync, utimesSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = resolve(fileURLToPath(import.meta.url), '../..');
const at = (...names) => join(root, ...names);

/** Bundles `entry` into `target` for Node or any ECMAScript host. Written aside and renamed, as two builds may run at once. */
async function bundle(entry, target, platform) {
  const { build } = await import('esbuild');
  const begun = new Date();
  mkdirSync(at('dist'), { recursive: true });
  const aside = at(`${target}.${process.pid}`);
  const { version } = JSON.parse(readFileSync(at('package.json'), 'utf8'));
  await build({
    absWorkingDir: root,
    entryPoints: [entry],
    outfile: aside,
    bundle: true,
    format: 'esm',
    platform,
    target: 'es2022',
    minifyWhitespace: true,
    minifySyntax: true,
    legalComments: 'inline',
    // CommonJS dependencies ask for Node's own modules through `require`, which a module file does not have.
    banner:
      platform === 'node' ? { js: "import { createRequire } from 'node:module';const require = createRequire(import.meta.url);" } : {},
    define: { FOOTROOM_VERSION: JSON.stringify(version) },
    logLevel: 'error',
  });
  // Edits made while the build ran are newer than the result, so that the next start builds again.
  utimesSync(aside, begun, begun);
  renameSync(aside, at(target));
}

export const buildCommand = () => bundle('src/cli/main.ts', 'dist/footroom.mjs', 'node');
const buildEngine = () => bundle('src/index.ts', 'dist/engine.mjs', 'neutral');

function buildTypes() {
  rmSync(at('dist/types'), { recursive: true, force: true });
  const { status } = spawnSync(process.execPath, [at('node_modules/typescript/bin/tsc'), '-p', at('tsconfig.engine.json')], {
    stdio: 'inherit',
  });
  // The compiler has said what is wrong.
  if (status !== 0) process.exit(1);
}

async function buildPage() {
  const { build } = await import('vite');
  await build({ configFile: at('vite.config.ts'), logLevel: 'warn' });
}

/** True when the built command is missing, or older than a source that it is made of. */
export function commandIsStale() {
  if (!existsSync(at('src/cli/main.ts'))) return false;
  const built = statSync(at('dist/footroom.mjs'), { throwIfNoEntry: false });
  if (built === undefined) return true;
  const newerIn = (folder) =>
    readdirSync(folder, { withFileTypes: true }).some((entry) => {
      const path = join(folder, entry.name);
      if (entry.isDirectory()) return newerIn(path);
      return !/\.test\.tsx?$/.test(entry.name) && statSync(path).mtimeMs > built.mtimeMs;
    });
  return statSync(at('package.json')).mtimeMs > built.mtimeMs || newerIn(at('src'));
}

/** Lets `npx footroom` find the command in the checkout, as npm links only the commands of other packages. */
function linkCommand() {
  const link = at('node_modules/.bin/footroom');
  if (process.platform === 'win32' || existsSync(link) || !existsSync(at('node_modules/.bin'))) return;
  symlinkSync('../../bin/footroom.js', link);
}

const builders = {
  command: async () => {
    await buildCommand();
    linkCommand();
  },
  engine: buildEngine,
  types: buildTypes,
  page: buildPage,
};

if (process.argv[1] !== undefined && resolve(process.argv[1]) === fileURLToPath(import.meta.url)) {
  const wanted = process.argv.length > 2 ? process.argv.slice(2) : Object.keys(builders);
  for (const name of wanted) {
    if (!(name in builders)) {
      console.error(`There is no "${name}" to build; there are ${Object.keys(builders).join(', ')}.`);
      process.exit(2);
    }
    await builders[name]();
  }
}
