// The layers of src/, in order: each imports from itself and from those before it. `tools/layers.mjs` runs this and
// also counts the modules seen, because a cruise that saw nothing reports no violation either.
const { layers, host } = require('./tools/layers.json');

const tests = '\\.test\\.tsx?$';
const below = layers.slice(0, layers.indexOf(host));
const folders = (names) => `^src/(${names.join('|')})/`;

const upward = layers.slice(0, -1).map((layer, index) => ({
  name: `${layer}-looks-only-down`,
  comment: `${layer} may import from ${layers.slice(0, index + 1).join(', ')} only`,
  severity: 'error',
  from: { path: `^src/${layer}/` },
  to: { path: folders(layers.slice(index + 1)) },
}));

module.exports = {
  forbidden: [
    ...upward,
    {
      name: 'engine-knows-no-host',
      comment: `only ${host} and tests use Node's own modules; the rest also runs in a browser`,
      severity: 'error',
      from: { path: '^src/', pathNot: [`^src/${host}/`, tests] },
      to: { dependencyTypes: ['core'] },
    },
    {
      name: 'engine-knows-no-document',
      comment: 'what needs a document belongs to page and lesson',
      severity: 'error',
      from: { path: '^src/', pathNot: ['^src/(page|lesson)/'] },
      to: { path: 'node_modules/(solid-js|idb|@codemirror|@fontsource|axe-core|playwright-core)/' },
    },
    {
      name: 'page-knows-no-command-line',
      comment: 'the command line belongs to Node, the page to the browser',
      severity: 'error',
      from: { path: '^src/(page|lesson)/', pathNot: [tests] },
      to: { path: [`^src/${host}/`, 'node_modules/commander/'] },
    },
    {
      name: 'library-is-the-engine',
      comment: 'the entry of the library re-exports the layers below the command line',
      severity: 'error',
      from: { path: '^src/index\\.ts$' },
      to: { path: folders(layers.slice(below.length)) },
    },
    {
      name: 'no-test-in-the-product',
      comment: 'code that ships imports no test and no tool',
      severity: 'error',
      from: { path: '^src/', pathNot: [tests] },
      to: { path: [tests, '^tests/', '^tools/'] },
    },
    {
      name: 'no-loop-of-imports',
      comment: 'files that import each other in a ring are one file, or have a third one in common',
      severity: 'error',
      from: { path: '^src/' },
      to: { circular: true, viaOnly: { dependencyTypesNot: ['type-only'] } },
    },
    {
      name: 'every-import-resolves',
      comment: 'a name that resolves to nothing is a missing dependency',
      severity: 'error',
      from: { path: '^src/' },
      to: { couldNotResolve: true, pathNot: ['\\?(raw|url|inline|worker)', '^virtual:'] },
    },
  ],
  options: {
    // TypeScript 7 has no interface that the cruiser could parse with; without swc it sees no module at all.
    parser: 'swc',
    tsPreCompilationDeps: true,
    doNotFollow: { path: 'node_modules' },
    enhancedResolveOptions: { exportsFields: ['exports'], conditionNames: ['import', 'browser', 'node', 'default', 'types'] },
  },
};
