// Preloaded by tools/layers.mjs: dependency-cruiser asks swc to read every file as plain TypeScript, in which the tags of
// a .tsx file are syntax errors. Here the ending of the file's name decides.
const swc = require('@swc/core');

const { parseFileSync } = swc;
swc.parseFileSync = (file, options) => parseFileSync(file, { ...options, tsx: file.endsWith('.tsx') });
