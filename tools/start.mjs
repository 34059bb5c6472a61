// The page on this machine: `npm start`. Installs what is missing, builds, and serves until it is interrupted.
import { join } from 'node:path';
import { needNode, needPackages, root, run } from './prepare.mjs';

needNode();
needPackages();
if (!run(process.execPath, ['tools/build.mjs', 'page'])) {
  console.error('The page could not be built.');
  process.exit(1);
}
const { serve } = await import('./serve.mjs');
const { address } = await serve(join(root, 'dist/page'), 4170);
console.log(`Footroom is at ${address} (this machine only). Stop it with Ctrl+C.`);
