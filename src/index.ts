/**
 * Footroom's engine as a library: reading sheets, asking questions, drawing. It knows neither a document nor a file
 * system; whoever calls it reads and writes the files. This page is the table of contents.
 *
 * @packageDocumentation
 */

// Answers: format 1, as values.
export * from './answers/types.ts';

// Devices: what a transistor or diode is, as numbers.
export * from './devices/parameters.ts';
// The sheet: format 1, as a value.
export * from './sheet/types.ts';
