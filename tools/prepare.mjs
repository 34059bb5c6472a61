// What the commands of this checkout need besides Node and git: the packages, and for some tests a browser and outside
// solvers. Plain Node, as it runs before anything is installed.
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync, statSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

export const root = resolve(fileURLToPath(import.meta.url), '../..');
const works = (command, args) => spawnSync(command, args, { stdio: 'ignore' }).status === 0;

/** Runs `command` with its output passed on; true when it succeeded. */
export function run(command, args, environment = {}) {
  return spawnSync(command, args, { cwd: root, stdio: 'inherit', env: { ...process.env, ...environment } }).status === 0;
}

/** Ends with a sentence where Node is too old. */
export function needNode() {
  const { engines } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
  const least = Number(/\d+/.exec(engines.node)[0]);
  if (Number(process.versions.node.split('.')[0]) >= least) return;
  console.error(`Footroom needs Node ${least} or newer; this is ${process.version}.`);
  process.exit(1);
}

/** Installs the packages that the lock file names, where that has not been done since it last changed. */
export function needPackages() {
  const installed = statSync(join(root, 'node_modules/.package-lock.json'), { throwIfNoEntry: false });
  if (installed !== undefined && installed.mtimeMs >= statSync(join(root, 'package-lock.json')).mtimeMs) return;
  if (installed !== undefined && sameVersions()) return;
  console.log('Installing the packages of package-lock.json ...');
  const npm = process.env.npm_execpath;
  const done = npm === undefined ? run('npm', ['ci'], { CI: '' }) : run(process.execPath, [npm, 'ci']);
  if (done) return;
  console.error('The packages could not be installed; "npm ci" says why.');
  process.exit(1);
}

/** True when what lies in node_modules has the versions of the lock file, whatever the dates say (a fresh checkout's are new). */
function sameVersions() {
  const read = (path) => JSON.parse(readFileSync(join(root, path), 'utf8')).packages;
  const wanted = read('package-lock.json');
  const present = read('node_modules/.package-lock.json');
  return Object.entries(wanted).every(
    ([path, { version, optional }]) => path === '' || present[path]?.version === version || (optional && present[path] === undefined),
  );
}

/** The outside things that some tests need: how to find each, and the Debian packages that bring it. */
const outside = [
  {
    name: 'a browser (Chromium)',
    packages: ['chromium'],
    find: () =>
      [process.env.FOOTROOM_BROWSER, '/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(
        (path) => path && existsSync(path),
      ),
  },
  {
    name: 'Python with SciPy',
    packages: ['python3', 'python3-scipy'],
    find: () =>
      [process.env.FOOTROOM_PYTHON, '/usr/bin/python3', 'python3'].find(
        (python) => python && works(python, ['-c', 'import scipy.integrate']),
      ),
  },
  {
    name: 'SUNDIALS with a C++ compiler',
    packages: ['libsundials-dev', 'g++'],
    find: () =>
      (existsSync('/usr/include/sundials') || existsSync('/usr/local/include/sundials')) && works('g++', ['--version']) ? 'g++' : undefined,
  },
];

/**
 * Looks for the outside things, and installs what is missing where it may (as root, with apt-get).
 * Returns those still missing, each with the command that would install it.
 */
export function needOutside() {
  let missing = outside.filter(({ find }) => find() === undefined);
  const mayInstall = process.platform === 'linux' && process.getuid?.() === 0 && works('apt-get', ['--version']);
  if (missing.length > 0 && mayInstall) {
    console.log(`Installing for the tests: ${missing.map(({ name }) => name).join(', ')} ...`);
    const quiet = { DEBIAN_FRONTEND: 'noninteractive' };
    run('apt-get', ['-qq', 'update'], quiet);
    // One at a time, so that one that is not to be had does not keep out the others.
    for (const { packages } of missing) run('apt-get', ['-qq', 'install', '-y', '--no-install-recommends', ...packages], quiet);
    missing = missing.filter(({ find }) => find() === undefined);
  }
  return missing.map(({ name, packages }) => ({ name, command: `sudo apt-get install ${packages.join(' ')}` }));
}
